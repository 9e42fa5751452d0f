"""A terminal that notes what each frame does to its cells: what is erased, written twice, or blank for one frame."""

from dataclasses import dataclass, field

import pyte
from pyte.screens import Char

Place = tuple[int, int]
_BLANK = " "


@dataclass
class Seen:
    """What was seen over some frames.

    A cell that is `twice` had two texts in one frame; one that is `blinked` was blank for one frame, and as before in
    the next.
    """

    frames: int = 0
    bytes: list[int] = field(default_factory=list)
    written: list[int] = field(default_factory=list)
    changed: list[int] = field(default_factory=list)
    erased: int = 0
    twice: int = 0
    blinked: int = 0

    def text(self) -> str:
        """The figures in one line."""
        in_turn = (("bytes", self.bytes), ("cells written", self.written), ("of them changed", self.changed))
        spread = ", ".join(
            f"{name} {sorted(all_)[len(all_) // 2]} median {max(all_)} worst" for name, all_ in in_turn
        )
        return (
            f"{self.frames} frames: {self.erased} erase anything, {self.twice} cells with two texts in a frame, "
            f"{self.blinked} blank for one frame; {spread}"
        )


class WatchedTerminal(pyte.Screen):
    """Takes the bytes of one frame at a time."""

    def __init__(self, columns: int, rows: int) -> None:
        super().__init__(columns, rows)
        self.seen = Seen()
        self._texts: list[tuple[Place, str]] = []
        self._erasing = 0
        self._before: list[list[Char]] = []
        self._last: list[list[Char]] = []
        self._stream = pyte.ByteStream(self)

    def draw(self, data: str) -> None:
        """Write text, and note where."""
        for letter in data:
            self._texts.append(((self.cursor.y, self.cursor.x), letter))
            super().draw(letter)

    def erase_in_display(self, how: int = 0, *args: object, **kwargs: object) -> None:
        """Note that a part of the screen is erased."""
        self._erasing += 1
        super().erase_in_display(how, *args, **kwargs)

    def erase_in_line(self, how: int = 0, private: bool = False) -> None:
        """Note that a part of a line is erased."""
        self._erasing += 1
        super().erase_in_line(how, private)

    def erase_characters(self, count: int | None = None) -> None:
        """Note that cells are erased."""
        self._erasing += 1
        super().erase_characters(count)

    def frame(self, data: bytes) -> None:
        """Take one frame and note what it did."""
        self._texts, self._erasing = [], 0
        self._stream.feed(data)
        now = [[self.buffer[row][column] for column in range(self.columns)] for row in range(self.lines)]
        seen = self.seen
        seen.frames += 1
        seen.bytes.append(len(data))
        places = {place for place, _ in self._texts}
        seen.written.append(len(places))
        seen.erased += self._erasing
        seen.twice += len(set(self._texts)) - len(places)
        if self._last:
            seen.changed.append(sum(one != other for one, other in self._pairs(self._last, now)))
        if self._before:
            rows = zip(self._before, self._last, now, strict=True)
            seen.blinked += sum(
                one == three and one != two and two.data == _BLANK and one.data != _BLANK
                for ones, twos, threes in rows
                for one, two, three in zip(ones, twos, threes, strict=True)
            )
        self._before, self._last = self._last, now

    @staticmethod
    def _pairs(ones: list[list[Char]], others: list[list[Char]]) -> list[tuple[Char, Char]]:
        return [pair for one, other in zip(ones, others, strict=True) for pair in zip(one, other, strict=True)]

"""The client's screens while content is edited: drawn anew at every save, with what is wrong beside them."""

import asyncio
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, ScrollableContainer, VerticalScroll
from textual.events import Resize
from textual.widgets import Static

from coach.authoring.draft import Draft, Edited, read_draft
from coach.model.message_format import fill
from coach.model.messages.authoring import ProofWords
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.client.pages import Page
from coach.screens.coach.client_frame import BORDER, ClientFrame
from coach.screens.coach.proof import Place, Proof, degrees_of, make_proof
from coach.screens.coach.proof_keys import KEYS
from coach.screens.pages_app import PagesApp
from coach.screens.theme import next_theme
from coach.screens.widgets.scrolling import SCROLL_KEYS, scrolled
from coach.screens.widgets.text import key_lines, plain
from coach.store.clock import Clock
from coach.toml.diagnostic import Diagnostic, render, whole_file

Choice = TypeVar("Choice")

LOOKS_A_SECOND = 20
SIZES = ((60, 20), (80, 24), (120, 40))
# Beside the frame where there is room for a line that can be read, else below it.
_FAULT_COLUMNS, _FAULT_EDGES = 36, 6
_KEY_ROWS = 1


class ProofApp(PagesApp):
    """One folder of content, seen with one client."""

    CSS_PATH: ClassVar[list[str | Path]] = ["../client/session.tcss", "proof.tcss"]  # type: ignore[assignment]
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(one.key, one.action, show=False) for one in KEYS),
        *(Binding(key, f"scroll('{key}')", show=False) for key in SCROLL_KEYS),
        *(Binding(f"shift+{way}", f"move('{way}')", show=False) for way in ("up", "down", "left", "right")),
        Binding("ctrl+c", "leave", show=False, priority=True),
        Binding("ctrl+q", "leave", show=False, priority=True),
    ]

    def __init__(
        self,
        edited: Edited,
        profile: Profile,
        prescription: Prescription,
        words_in: Callable[[str], ProofWords],
        clock: Clock,
    ) -> None:
        super().__init__(profile.theme)
        self._edited, self._profile, self._prescription = edited, profile, prescription
        self._words_in, self._clock = words_in, clock
        self._stamp = edited.stamp()
        self._unsettled = False
        self._draft = Draft()
        self._proof: Proof | None = None
        self._before: Proof | None = None
        self._place = Place(prescription.exercise, prescription.positions[0], profile.language)
        self._seen, self._number = "", 0
        self._chosen_size: tuple[int, int] | None = None
        self._changed: tuple[str, ...] = ()
        self._as_of = clock().at
        self._reading = asyncio.Lock()
        self.checked = False  # whether all that there is to say of the last reading is said

    @property
    def _words(self) -> ProofWords:
        """The words around the screen, in the language that is looked at."""
        return self._words_in(self._place.language)

    def compose(self) -> ComposeResult:
        """The client's screen in its frame, what is wrong, and the keys."""
        with Container(id="proof"):
            with ScrollableContainer(id="desk", can_focus=False):
                yield ClientFrame()
            with VerticalScroll(id="faults", can_focus=False):
                yield plain("", id="fault-text")
        yield plain("", id="proof-keys")

    async def on_mount(self) -> None:
        """The first look, and then one so often that a save is seen at once."""
        self.leave_when_told()
        await self._read(settled=True)
        self.set_interval(1 / LOOKS_A_SECOND, self.look)

    async def look(self) -> None:
        """Read anew what was saved. What is wrong is said when the files stood still: an editor may be writing."""
        stamp = self._edited.stamp()
        if stamp != self._stamp:
            self._stamp = stamp
            await self._read(settled=False)
        elif self._unsettled:
            await self._read(settled=True)

    async def _read(self, settled: bool) -> None:
        async with self._reading:
            draft = read_draft(self._edited, self._place.language, self._draft)
            faults = draft.faults
            if draft.content is not None and draft.whole:
                faults = self._seen_with(draft)
            self._unsettled = bool(faults) and not settled
            if self._unsettled:
                return
            self._draft, self.checked = replace(draft, faults=faults), False
            await self._draw()
            self.call_after_refresh(self._check, self._stamp)

    def _seen_with(self, draft: Draft) -> tuple[Diagnostic, ...]:
        """Make the screens of a draft that is whole; what keeps them from being made, else nothing."""
        assert draft.content is not None
        before, place = self._proof, self._place.within(draft.content)
        try:
            proof = make_proof(draft.content, place, self._profile, self._prescription, self._clock().at)
            names = list(proof.sights)
            name = self._seen if self._seen in names else names[min(self._number, len(names) - 1)]
            proof.page(name)
        except NoSession as refused:
            return (whole_file(self._edited.content, str(refused)),)
        except Exception as error:  # whatever files that do not fit each other lead to, the last good view stays
            return (whole_file(self._edited.content, f"{self._words.not_made} ({type(error).__name__}: {error})"),)
        self._proof, self._place, self._as_of = proof, place, self._clock().at
        self._seen, self._number = name, names.index(name)
        self._before = before
        return ()

    async def _check(self, stamp: str) -> None:
        """After the screen: what else is wrong, and which other screens the save of this stamp changed."""
        faults = await asyncio.to_thread(self._edited.check)
        if stamp != self._edited.stamp() or not self.is_running:
            return  # saved meanwhile: what was checked may be half a file, and the next look reads anew
        self._draft = replace(self._draft, faults=faults or self._draft.faults)
        if self._proof is not None and self._before is not None:
            try:
                self._changed = self._proof.changed_since(self._before)
            except Exception:  # a screen that cannot be made is among the faults
                self._changed = ()
            self._before = None
        self.checked = True
        self._say()

    async def _draw(self) -> None:
        """The screen in its frame, at the size chosen."""
        frame, size = self.query_one(ClientFrame), self._frame_size
        self._say()
        proof = self._proof
        if proof is None:
            await frame.show(Page("", self._words.never), [], "", size)
            return
        more = proof.content.words.screens.keys.more
        await frame.show(proof.page(self._seen), proof.keys(self._seen), more, size)

    def _say(self) -> None:
        """All words around the screen: where it is, whether the files are right, and what is wrong."""
        words, faults, size = self._words, self._draft.faults, self._frame_size
        place = {"exercise": self._place.exercise, "position": self._place.position_deg}
        shown = {"number": self._number + 1, "all": len(self._proof.sights) if self._proof else 0, "name": self._seen}
        sizes = {"columns": size[0], "rows": size[1], "language": self._place.language}
        time = {"time": self._as_of.strftime("%H:%M:%S")}
        counts = {"faults": len(faults), "screens": len(self._changed)}
        line = words.broken if faults else words.changed if self._changed else words.right
        around = fill(words.place, {**shown, **place, **sizes}), fill(line, {**time, **counts})
        self.query_one(ClientFrame).say(*(around if self._proof is not None else ("", "")))
        beside = self.size.width - size[0] - BORDER >= _FAULT_COLUMNS
        area = self.query_one("#proof")
        area.set_class(beside, "beside-frame")
        area.set_class(bool(faults), "faulty")
        columns = (self.size.width - size[0] - BORDER if beside else self.size.width) - _FAULT_EDGES - 8
        self.query_one("#fault-text", Static).update("\n\n".join(self._told(fault, columns) for fault in faults))
        keys = [f"{_LOOKS.get(one.key, one.key)} {words.keys[one.word]}" for one in KEYS if self._works(one.word)]
        self.query_one("#proof-keys", Static).update(key_lines(keys, self.size.width))

    def _told(self, fault: Diagnostic, columns: int) -> str:
        inside = self._edited.edited.resolve()
        path = fault.path.resolve()
        short = path.relative_to(inside) if path.is_relative_to(inside) and path != inside else fault.path
        return render(replace(fault, path=short), max(columns, 20))

    def _works(self, word: str) -> bool:
        """Whether a key has anything to do now."""
        content = self._draft.content
        choices = {
            "changed": len(self._changed),
            "exercise": len(content.exercises) - 1 if content else 0,
            "language": len(self._edited.languages()) - 1,
        }
        return choices.get(word, 1) > 0

    @property
    def _frame_size(self) -> tuple[int, int]:
        """The size chosen; without a choice the largest that the window holds, else the smallest."""
        if self._chosen_size is not None:
            return self._chosen_size
        columns, rows = self.size.width - BORDER, self.size.height - BORDER - _KEY_ROWS
        return next((one for one in reversed(SIZES) if one[0] <= columns and one[1] <= rows), SIZES[0])

    async def on_resize(self, _: Resize) -> None:
        """Another window."""
        self.call_later(self._draw)

    async def _go(self, by: int) -> None:
        if self._proof is not None:
            await self._go_to(list(self._proof.sights)[(self._number + by) % len(self._proof.sights)])

    async def _go_to(self, name: str) -> None:
        if self._proof is not None:
            self._seen, self._number = name, list(self._proof.sights).index(name)
            await self._draw()

    async def _look_at(self, place: Place) -> None:
        self._place, self._changed = place, ()
        await self._read(settled=True)

    async def action_following(self) -> None:
        """The next screen."""
        await self._go(1)

    async def action_before(self) -> None:
        """The screen before."""
        await self._go(-1)

    async def action_changed(self) -> None:
        """The next screen that the last save changed."""
        if self._proof is None or not self._changed:
            return
        names = list(self._proof.sights)
        later = [name for name in self._changed if names.index(name) > self._number]
        await self._go_to((later or list(self._changed))[0])

    async def action_position(self) -> None:
        """The next position."""
        if self._draft.content is not None:
            degrees = degrees_of(self._draft.content, self._place.exercise)
            await self._look_at(replace(self._place, position_deg=_after(self._place.position_deg, degrees)))

    async def action_exercise(self) -> None:
        """The next exercise."""
        if self._draft.content is not None:
            exercises = tuple(self._draft.content.exercises)
            await self._look_at(replace(self._place, exercise=_after(self._place.exercise, exercises)))

    async def action_language(self) -> None:
        """The next language."""
        await self._look_at(replace(self._place, language=_after(self._place.language, self._edited.languages())))

    async def action_size(self) -> None:
        """The next size of the client's terminal."""
        self._chosen_size = _after(self._frame_size, SIZES)
        await self._draw()

    async def action_theme(self) -> None:
        """The next look."""
        self.theme = next_theme(self.theme)

    async def action_leave(self) -> None:
        """Nothing is kept, so nothing is asked."""
        self.exit()

    def action_scroll(self, key: str) -> None:
        """The client's page; a window of the faults where there are any."""
        if key.startswith("page") and self._draft.faults:
            scrolled(self.query_one("#faults", VerticalScroll), key)
        else:
            self.query_one(ClientFrame).scroll_by_key(key)

    def action_move(self, way: str) -> None:
        """The frame itself, where it is larger than the window."""
        desk = self.query_one("#desk", ScrollableContainer)
        ways = {"up": (0, -4), "down": (0, 4), "left": (-8, 0), "right": (8, 0)}
        desk.scroll_relative(*ways[way], animate=False)


_LOOKS = {"right": "→", "left": "←"}


def _after(here: Choice, choices: tuple[Choice, ...]) -> Choice:
    """The choice after this one, in a round."""
    return choices[(choices.index(here) + 1) % len(choices)] if here in choices else choices[0]

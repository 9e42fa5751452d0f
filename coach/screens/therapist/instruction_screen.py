"""One word of the therapist to fill in: checked as it is typed, then shown with what it changes, then signed."""

from collections.abc import Callable, Mapping

from coach.model.message_format import fill
from coach.overview.comparison import Part
from coach.screens.therapist.compare_screen import CompareScreen
from coach.screens.therapist.form_screen import Checked, FormScreen, Frame, names_in
from coach.screens.therapist.instruction_forms import INITIALS, REASON, Now, WordPage, fields_of
from coach.screens.widgets.form import Field
from coach.store.clock import Clock
from coach.store.therapist.steering import Asked, Proposed, Seen, propose
from coach.toml.diagnostic import Refusal, in_words

Compared = Callable[[Seen, Proposed], tuple[Part, ...]]


class WordScreen(FormScreen[Proposed, str]):
    """Dismissed with what was signed in words, or with None where nothing was."""

    def __init__(self, page: WordPage, seen: Seen, now: Now, clock: Clock, compared: Compared) -> None:
        words = now.words
        called, keys = page.called(words), words.keys
        frame = Frame(
            called.name,
            called.how,
            (f"enter {keys['next']}", f"ctrl+s {keys['show']}", f"esc {keys['back']}"),
            (words.leave, words.leave_yes, words.leave_no),
        )
        super().__init__(frame, fields_of(page, now))
        self._page, self._seen, self._now, self._clock, self._compared = page, seen, now, clock, compared

    def check(self, typed: Mapping[str, str]) -> Checked[Proposed]:
        """What would come of it, by the checks that read the files."""
        values = {key: text for key, text in typed.items() if key not in (INITIALS, REASON)}
        changes = self._page.word == "change"
        asked = Asked(
            self._page.word,
            typed[INITIALS],
            typed[REASON],
            said={} if changes else values,
            values={key: text for key, text in values.items() if text != self._begun[key]} if changes else {},
        )
        try:
            return Checked(typed, (), propose(self._seen, asked, self._now.content, self._clock().at))
        except Refusal as refusal:
            return Checked(typed, refusal.faults, None)

    def message(self, checked: Checked[Proposed] | None, field: Field, touched: bool) -> list[str]:
        """What is wrong, first with the field in hand; else what is expected there. The signature may come last."""
        if checked is None or checked.typed == self._begun:
            return [field.how]
        if checked.made is not None:
            return [field.how, fill(self._now.words.checked, {"key": "ctrl+s"})]
        here = checked.at(field.key)
        if here is not None and touched:
            return [in_words(here)]
        others = (fault for fault in checked.faults if not {INITIALS, REASON} & names_in(fault))
        return [field.how, *(in_words(fault) for fault in list(others)[:1])]

    def go_on_with(self, made: Proposed) -> None:
        """What it changes, on a page of its own."""
        parts = self._compared(self._seen, made)
        self.app.push_screen(CompareScreen(self._seen, made, parts, self._now.words), self._after)

    def _after(self, signed: str | None) -> None:
        if signed is not None:
            self.dismiss(signed)

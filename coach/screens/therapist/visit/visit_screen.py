"""One visit on one page: what was done since, the form beside or below it, and the signature."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import ClassVar

from msgspec.structs import replace
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.content import Content as StyledText
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.base import Name
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.programme.visit_file import VisitFile
from coach.overview.comparison import ComparisonPart
from coach.overview.comparison_text import ComparisonHeadings
from coach.overview.visits.since_visit import since_lines
from coach.overview.visits.visit_summary import VisitInWords
from coach.screens.therapist.compare_screen import CompareScreen, ToSign
from coach.screens.therapist.form_screen import FormCheck, FormLabels, FormScreen, fault_in_a_sentence, fault_text
from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.therapist.visit.visit_basis import VisitSubject
from coach.screens.therapist.visit.visit_form import visit_fields
from coach.screens.widgets.form import Field, InputForm
from coach.screens.widgets.page_head import Key, PageHead
from coach.screens.widgets.scrolling import scroll_by_key, when_longer
from coach.screens.widgets.text import static_text
from coach.screens.widgets.wide import is_wide
from coach.store.clock import Clock
from coach.store.therapist.signing_visits import ProposedVisit, propose_visit, sign_visit
from coach.store.therapist.visit_draft import DRAFT, forget_draft, keep_draft, read_draft
from coach.store.therapist.visit_values import VisitText, visit_text
from coach.toml.diagnostic import Diagnostic, FileFault, Refusal, collect_faults, error_reason
from coach.toml.reader import parse_model

_LABEL_COLUMNS = 36
_SINCE = "ctrl+up ctrl+down"
_ANYBODY = "AA"  # stands in for initials that are typed last
_NO_PREVIEW: tuple[dict[str, str], VisitFile | None] = ({}, None)
Compare = Callable[[VisitSubject, ProposedVisit], tuple[ComparisonPart, ...]]
Reread = Callable[[], VisitSubject]
Steer = Callable[[Name | None], Screen[None]]


class VisitScreen(FormScreen[ProposedVisit, None]):
    """One client's visit. `signed` is a sentence on what was signed, None where nothing was.

    `reread` reads the client again, `compared` says what a visit changes in the next session, and `steer` makes the
    page on which instructions for an exercise are signed.
    """

    CSS_PATH = "../steering.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f4", "steer", show=False, priority=True),
        Binding("f8", "forget", show=False, priority=True),
        Binding("ctrl+down", "since('pagedown')", show=False, priority=True),
        Binding("ctrl+up", "since('pageup')", show=False, priority=True),
    ]

    def __init__(
        self, subject: VisitSubject, content: Content, clock: Clock, reread: Reread, compared: Compare, steer: Steer
    ) -> None:
        messages = content.messages.therapist.visit
        keys = messages.keys
        shown = (
            ("up down", keys["line"]),
            ("pgup pgdn", keys["part"]),
            ("ctrl+s", keys["show"]),
            ("f4", keys["steer"]),
            (_SINCE, keys["since"]),
            ("esc", keys["leave"]),
            ("f8", keys["forget"]),
        )
        fields, draft = visit_fields(subject.basis), read_draft(subject.seen.path)
        how = ""
        if draft is not None:
            keys_there = {field.key for field in fields}
            lost = [text for key, text in draft.typed.items() if key not in keys_there and text]
            how = fill(messages.draft, {"day": draft.at.strftime("%Y-%m-%d %H:%M")})
            how = " ".join((how, *(fill(messages.left_over, {"text": text}) for text in lost)))
        typed = draft.typed if draft is not None else {}
        restored = tuple(replace(one, typed=typed.get(one.key, one.typed)) if one.key else one for one in fields)
        title = fill(messages.title, {"client": subject.store.profile.name})
        pages = content.messages.therapist.pages
        first = ("ctrl+s", pages.now["fill_in"])
        super().__init__(FormLabels(title, pages.purpose["visit"], first, shown, ("", "", ""), how), restored)
        self._initial = {one.key: one.typed for one in fields if one.key}
        self._kept, self._preview = dict(typed), _NO_PREVIEW
        self._subject, self._content, self._clock = subject, content, clock
        self._reread, self._compared, self._steer = reread, compared, steer
        self._messages = messages
        self.signed: str | None = None

    def compose(self) -> ComposeResult:
        """The head, what was done since, the form, the message about its line, and the keys."""
        yield PageHead(self._labels.title, self._labels.purpose)
        yield static_text(self._labels.how, id="form-how")
        with Container(id="form-split", classes="visit"):
            with VerticalScroll(id="since", can_focus=False):
                yield static_text("", id="since-text")
            yield InputForm(self._fields, _LABEL_COLUMNS, id="form")
            yield static_text("", id="form-message")
        yield static_text("", id="keys")

    def on_mount(self) -> None:
        """Name the keys that scroll what was done since where it is longer than its window."""
        when_longer(self, self.query_one("#since", VerticalScroll), self.name_keys)

    def keys_here(self) -> Sequence[Key]:
        """The keys that have something to do."""
        scrolls = self.query_one("#since", VerticalScroll).show_vertical_scrollbar
        return [key for key in super().keys_here() if scrolls or key[0] != _SINCE]

    def on_resize(self, event: Resize) -> None:
        """Lay the page out for the new width."""
        super().on_resize(event)
        title, *lines = since_lines(self._subject.since, self._content)
        apart = "\n\n" if is_wide(self) else "\n"
        self.query_one("#since").border_title = StyledText(title)
        self.query_one("#since-text", Static).update(apart.join(lines))

    def check(self, typed: Mapping[str, str]) -> FormCheck[ProposedVisit]:
        """Prepare the visit with the checks that also read its file, and keep what was typed."""
        self._keep(dict(typed))
        text = self._text(typed)
        self._preview = (dict(typed), self._unsigned(typed))
        try:
            return FormCheck(
                typed, (), propose_visit(self._subject.seen, text.text, self._content, self._subject.measured)
            )
        except (FileFault, Refusal) as refused:
            return FormCheck(typed, refused.faults, None, self._by_field(refused.faults, text, typed))

    def message(self, checked: FormCheck[ProposedVisit] | None, field: Field, touched: bool) -> list[str]:
        """The fault of the focused field, else what is expected there; then what else is wrong."""
        if checked is None or checked.typed == self._initial:
            return [field.how]
        here = checked.at(field.key)
        if here is not None and touched:
            return [fault_text(here, field, with_expected=field.short and field.how not in here.expected), field.how]
        change = self._change(typed=checked.typed, field=field)
        if checked.made is not None:
            return [*(change or [field.how]), fill(self._messages.checked, {"key": "ctrl+s"})]
        wrong = ((one, checked.at(one.key)) for one in self._fields if one.key and self._touched(one.key))
        first = next(((one, fault) for one, fault in wrong if fault is not None), None)
        if first is None:
            return change or [field.how]
        values = {"field": first[0].label, "what": fault_in_a_sentence(first[1], first[0])}
        return [*(change or [field.how]), fill(self._messages.not_yet, values)]

    def go_on_with(self, made: ProposedVisit) -> None:
        """Show what the visit says and what follows from it."""
        messages = self._messages
        parts = (*self._in_words(made.visit).parts(), *self._compared(self._subject, made))
        headings = ComparisonHeadings(messages.before, messages.today, messages.alike)
        client, visit = self._subject.store.profile.name, made.visit
        what = fill(messages.signed_as, {"kind": messages.kind[visit.kind], "day": visit.day})
        sign, nothing = partial(self._sign, made), messages.nothing_follows
        to_sign = ToSign(client, what, visit.initials, parts, headings, nothing, sign)
        self.app.push_screen(CompareScreen(to_sign, self._content, self._clock().at), self._after)

    async def action_leave(self) -> None:
        """Leave; what was typed is kept for the next time."""
        await self.query_one(InputForm).keys_arrived()
        self._keep(self._typed())
        self.dismiss(None)

    def action_forget(self) -> None:
        """Throw away what was typed, after a question."""
        messages = self._messages
        asked = QuestionScreen(messages.forget, messages.forget_yes, messages.forget_no)
        self.app.push_screen(asked, self._forget)

    async def action_steer(self) -> None:
        """Open the instructions for the exercise that the focused field is about."""
        await self.query_one(InputForm).keys_arrived()
        field = self.query_one(InputForm).focused_field
        name = self._subject.basis.exercise_at(field.key)
        known = self._subject.store.folder.prescribed.names
        self.app.push_screen(self._steer(name if name in known else None), self._read_again)

    def action_since(self, key: str) -> None:
        """Scroll what was done since."""
        scroll_by_key(self.query_one("#since", VerticalScroll), key)

    def _sign(self, made: ProposedVisit) -> str:
        signed = sign_visit(self._subject.seen, made)
        values = {"initials": signed.initials, "at": signed.at.strftime("%Y-%m-%d %H:%M")}
        self.signed = fill(self._messages.signed, values)
        return self.signed

    def _after(self, signed: str | None) -> None:
        if signed is not None:
            self._delete_draft()

    def _read_again(self, _: None) -> None:
        """Look at the files again after something was signed elsewhere: the visit is signed over what it knew."""
        self._subject = self._reread()
        self._checked = None
        self.on_input_form_typed()

    def _forget(self, wanted: bool | None) -> None:
        if wanted:
            self._delete_draft()

    def _delete_draft(self) -> None:
        """Delete what was typed, and leave; where that cannot be done, say so and what is signed all the same."""
        client, messages = self._subject.seen.path, self._messages
        try:
            forget_draft(client)
        except OSError as error:
            left = fill(messages.draft_left, {"file": client / DRAFT, "reason": error_reason(error)})
            told = left if self.signed is None else f"{self.signed} {left}"
            asked = QuestionScreen(told, messages.draft_left_yes, messages.draft_left_no)
            self.app.push_screen(asked, partial(self._try_again, told))
            return
        self.dismiss(None)

    def _try_again(self, told: str, wanted: bool | None) -> None:
        if wanted:
            self._delete_draft()
            return
        self.signed = self.signed and told
        self.dismiss(None)

    def _keep(self, typed: dict[str, str]) -> None:
        """Keep what was typed, where that has changed; a disk that is full prevents nobody from signing."""
        if typed == self._initial or typed == self._kept:
            return
        try:
            keep_draft(self._subject.seen.path, typed, self._clock().at)
            self._kept = typed
        except OSError:
            return

    def _of_today(self, typed: Mapping[str, str]) -> dict[str, str]:
        """What was typed, and goals as they stand only where something was said of one of them."""
        said = any(text != self._initial.get(key) for key, text in typed.items() if key.startswith("goals."))
        return {key: text for key, text in typed.items() if said or not key.startswith("goals.")}

    def _text(self, typed: Mapping[str, str]) -> VisitText:
        dates = self._content.clinic.dates
        return visit_text(self._of_today(typed), self._clock().at, self._subject.basis.said, dates)

    def _unsigned(self, typed: Mapping[str, str]) -> VisitFile | None:
        """The visit as typed so far, whoever will sign it; None where something else is wrong."""
        text = self._text({**typed, "initials": _ANYBODY}).text
        return collect_faults(lambda: parse_model(text, self._subject.seen.path, VisitFile), [])

    def _by_field(
        self, faults: tuple[Diagnostic, ...], text: VisitText, typed: Mapping[str, str]
    ) -> dict[str, Diagnostic]:
        keys = tuple(typed)
        return {text.field_of(one, keys): one for one in reversed(faults)}

    def _in_words(self, visit: VisitFile) -> VisitInWords:
        folder = self._subject.store.folder
        limits = self._content.limit_values(folder.prescription.limits)
        return VisitInWords(visit, folder.own_profile, folder.visits, limits, self._content)

    def _change(self, typed: Mapping[str, str], field: Field) -> list[str]:
        """How what was typed in this field compares with what was measured before."""
        looked_at, visit = self._preview
        if visit is None or looked_at != typed or not field.key.startswith(("ranges.", "strengths.")):
            return []
        told = self._in_words(visit).told_at(field.key)
        return [told] if told else []

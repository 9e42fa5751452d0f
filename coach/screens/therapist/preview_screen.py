"""The client's session exactly as it will be shown, step by step, with other answers on the client's own keys."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import partial
from textwrap import wrap

from textual.app import ComposeResult
from textual.containers import Container, Vertical, VerticalScroll
from textual.content import Content as StyledText
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model import step_names
from coach.model.answers_file import Answers, ExerciseAnswers
from coach.model.message_format import fill
from coach.model.messages.therapist import PreviewKey
from coach.screens.client.client_frame import BORDER
from coach.screens.client.key_bindings import active_bindings
from coach.screens.client.key_help import footer, more_lines
from coach.screens.client.page_types import title_of
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache
from coach.screens.client.views.bodies import make_body
from coach.screens.client.views.page_view import PageView
from coach.screens.therapist.report_sources import PreviewReport, PreviewReportName
from coach.screens.therapist.text_screen import TextScreen
from coach.screens.therapist.timeline_screen import TimelineScreen, clock_time, timeline_lines
from coach.screens.widgets.line_list import LineList
from coach.screens.widgets.page_head import Key as KeyAndWord
from coach.screens.widgets.page_head import PageHead, key_bar
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.scrolling import SCROLL_KEYS
from coach.screens.widgets.text import key_lines, static_text
from coach.screens.widgets.wide import is_wide
from coach.session.admission.client_conditions import therapist_lines
from coach.session.answer_keys import choice_of
from coach.session.plan import Plan
from coach.session.script import Work
from coach.session.timeline import TimelineEntry, session_part, timeline_entries

_STEPS: Mapping[str, int] = {"right": 1, "enter": 1, "space": 1, "left": -1, "backspace": -1}
_REPORTS: Mapping[str, PreviewReportName] = {"c": "compare", "d": "decisions", "s": "setup"}
_KEYS: tuple[tuple[str, PreviewKey], ...] = (
    ("← →", "step"),
    ("tab", "part"),
    ("e", "exercise"),
    ("t", "timeline"),
    ("c", "compare"),
    ("d", "decisions"),
    ("s", "setup"),
    ("esc", "back"),
)
_FRAME_COLUMNS, _FRAME_ROWS = 80, 24
_HEAD_ROWS = 3  # and a blank one below them where the window is high
_PADDING = 4  # columns beside a text, as in therapist.tcss
_NEXT_EXERCISE = "e"
_MORE_OR_FEWER: Mapping[str, int] = {"plus": 1, "minus": -1}


class PreviewScreen(Screen[None]):
    """The pages of today's session, given the answers so far; nothing is saved."""

    def __init__(
        self,
        plans: Sequence[Plan],
        at: datetime,
        reports: Mapping[PreviewReportName, PreviewReport],
        answers: Answers | None = None,
        begin: str | None = None,
    ) -> None:
        """`begin` is the exercise whose pages come first, by its name in the programme."""
        super().__init__()
        self._plans, self._at, self._reports = plans, at, reports
        self._answers = answers or Answers()
        self._entries = timeline_entries(plans, self._answers, at)
        named = (number for number, entry in enumerate(self._entries) if entry.state.plan.name == begin)
        self._index = next(named, 0)
        self._note = ""
        self._setups = SetupCache()
        self._listed: Sequence[TimelineEntry] = ()
        self._lines: list[str] = []
        self._messages = plans[0].content.messages.therapist.preview_screen

    def compose(self) -> ComposeResult:
        """The client's title, page and keys; below them the place in the session, and the therapist's keys.

        Above all of them, why the client may not start now; on the first page the client's conditions as well. In a
        wide window the client's screen is framed, the pages of the session stand beside it, and a head above.
        """
        yield PageHead()
        yield static_text("", id="notice")
        with Container(id="split", classes="preview"):
            with Vertical(id="framed"):
                with Vertical(id="client-screen"):
                    yield static_text("", id="title")
                    yield VerticalScroll(id="body", can_focus=False)
                    yield static_text("", id="client-keys")
                yield static_text("", id="ending")
            with Vertical(id="listing"):
                yield LineList(id="list")
        yield static_text("", id="keys")

    async def on_mount(self) -> None:
        """Show the first page."""
        await self._draw()

    def on_resize(self, _: Resize) -> None:
        """Redraw once the new size is in effect."""
        self.query_one("#split").set_class(is_wide(self), "wide")
        self.call_after_refresh(self._draw)

    async def on_key(self, event: Key) -> None:
        """Step through the session, change an answer, or open a report."""
        if not takes(self, event):
            return
        key = event.key
        self._note = ""
        if key in ("escape", "q"):
            self.dismiss()
            return
        if key in SCROLL_KEYS:
            for body in self.query("#body").results(PageView):  # none while one page is exchanged for another
                body.scroll_by_key(key)
            return
        if key in _REPORTS:
            self._open(_REPORTS[key])
        elif key == "t":
            self.app.push_screen(TimelineScreen(self._entries, self._index, self._setups), self._go_to)
        else:
            self._press(key)
            await self._draw()

    def _press(self, key: str) -> None:
        last = len(self._entries) - 1
        if key in _STEPS:
            self._index = min(max(self._index + _STEPS[key], 0), last)
        elif key in ("tab", "shift+tab"):
            self._index = self._other_part(1 if key == "tab" else -1)
        elif key == _NEXT_EXERCISE and len(self._plans) > 1:
            self._index = self._next_exercise()
        elif key in ("home", "end"):
            self._index = 0 if key == "home" else last
        elif key == "a":
            self._answer(Answers())
        elif key in _MORE_OR_FEWER:
            self._repeat(_MORE_OR_FEWER[key])
        else:
            self._what_if(key)

    def _other_part(self, step: int) -> int:
        """The first page of the next part; going back, of this part, or from there of the previous one."""
        starts = [
            number
            for number, entry in enumerate(self._entries)
            if number == 0 or session_part(entry) != session_part(self._entries[number - 1])
        ]
        if step > 0:
            return next((start for start in starts if start > self._index), len(self._entries) - 1)
        return max((start for start in starts if start < self._index), default=0)

    def _next_exercise(self) -> int:
        """The first page of the next exercise of the session; after the last one, that of the first."""
        here = self._entry.state.record.part
        later = (number for number, one in enumerate(self._entries) if one.state.record.part > here)
        return next(later, 0)

    def _what_if(self, key: str) -> None:
        """Answer the question on the page as the client would."""
        question = self._entry.state.question
        signs = self._plan.content.signs
        chosen = None if question is None or self._entry.state.over else choice_of(key, question, signs)
        if question is None or chosen is None:
            self._explain_key(key)
            return
        given = {**self._given.answer, question.name: chosen.value}
        self._answer(self._with({"answer": given}))

    @property
    def _given(self) -> ExerciseAnswers:
        """The answers that a key on this page adds to: those of its exercise, or of the check-in of them all."""
        state = self._entry.state
        if len(self._plans) == 1 or session_part(self._entry)[1] == step_names.CHECK_IN:
            return self._answers
        return self._answers.exercise.get(state.plan.name or "", ExerciseAnswers())

    def _with(self, update: Mapping[str, object]) -> Answers:
        """The answers with these in the place of those of this page."""
        given = self._given.model_copy(update=update)
        if isinstance(given, Answers):
            return given
        exercise = {**self._answers.exercise, self._plan.name or "": given}
        return self._answers.model_copy(update={"exercise": exercise})

    def _explain_key(self, key: str) -> None:
        """Explain that a key works for the client only."""
        named = self._plan.content.messages.client.keys.model_dump()
        binding = next((one for one in active_bindings(self._entry.state) if one.key == key), None)
        if binding is not None:
            self._note = fill(self._messages.clients_key, {"key": key, "word": named[binding.word]})

    def _repeat(self, more: int) -> None:
        """Do one repetition more or fewer in the set on the page."""
        work = self._entry.state.step
        if not isinstance(work, Work) or self._entry.state.question is not None:
            return
        number, whole = str(work.number), work.time.repetitions
        wanted = min(max(self._given.repetitions.get(number, whole) + more, 0), whole)
        done = {**self._given.repetitions, number: wanted}
        if wanted == whole:
            del done[number]
        self._answer(self._with({"repetitions": done}))

    def _answer(self, answers: Answers) -> None:
        """Plan the session again with other answers; stay on the same page, or on the nearest earlier one."""
        part, name = self._entry.place
        places = ((part, name), (part, f"{name}.again"))
        try:
            made = timeline_entries(self._plans, answers, self._at)
        except ValueError as error:
            self._note = fill(self._messages.not_so, {"why": str(error)})
            return
        self._answers, self._entries = answers, made
        same = [number for number, entry in enumerate(made) if entry.place in places]
        self._index = same[-1] if same else min(self._index, len(made) - 1)

    def _go_to(self, number: int | None) -> None:
        if number is not None:
            self._index = number
        self.call_after_refresh(self._draw)

    def _open(self, report: PreviewReportName) -> None:
        titles: Mapping[PreviewReportName, str] = {
            "compare": self._messages.compare_title,
            "decisions": self._messages.decisions_title,
            "setup": self._messages.setup_title,
        }
        title = fill(titles[report], {"client": self._plan.profile.name})
        made = partial(self._reports[report], self._plan, self._answers.of(self._plan.name), self._at)
        self.app.push_screen(TextScreen(title, report, made, self._plan.content))

    @property
    def _entry(self) -> TimelineEntry:
        return self._entries[self._index]

    @property
    def _plan(self) -> Plan:
        """The plan of the exercise that the page belongs to."""
        return self._entry.state.plan

    async def _draw(self) -> None:
        entry, messages, columns = self._entry, self._plan.content.messages.client.keys, self.size.width
        page = page_at(entry.state, self._setups.of(entry.state), entry.at_s)
        self._name_page()
        here = key_bar([(self._where(), ""), *self._keys_here()], columns)
        keys = key_bar(self._keys(), columns, has_first=not is_wide(self))
        below = StyledText("\n").join([here, keys])
        notice = self._notice(columns - _PADDING)
        above = len(notice) + (_HEAD_ROWS + self.has_class("-high") if is_wide(self) else 0)
        rows = self.size.height - below.plain.count("\n") - 1 - above
        inner, high = (columns, rows) if not is_wide(self) else (_FRAME_COLUMNS, min(rows - BORDER, _FRAME_ROWS))
        client_screen = self.query_one("#client-screen")
        client_screen.styles.height = high + BORDER if is_wide(self) else "1fr"
        self.query_one("#notice", Static).update("\n".join(notice))
        self.query_one("#notice").display = bool(notice)
        self.query_one("#client-screen > #title", Static).update(title_of(page))
        self.query_one("#client-keys", Static).update(key_lines(footer(entry.state), inner))
        self.query_one("#keys", Static).update(below)
        await self.query("#body").remove()
        if client_screen.is_attached:  # it is not once the app is to end
            await client_screen.mount(make_body(page, "", more_lines(messages), inner, high), after="#title")
        lines = self._timeline()
        self.query_one(LineList).show(lines, self._index, self._plan.content.messages.therapist.client_screen)
        ending = timeline_lines(self._entries[-1:], self._setups)[0].strip()
        self.query_one("#ending", Static).update(ending if is_wide(self) else "")

    def _name_page(self) -> None:
        """In a wide window, what the page is for; a narrow one has no row to spare above the client's page."""
        head, content = self.query_one(PageHead), self._plan.content
        head.display = is_wide(self)
        pages, words = content.messages.therapist.pages, content.messages.therapist.client_screen
        named = {"client": self._plan.profile.name, "page": words.report["preview"]}
        head.name_page(fill(words.page_title, named), pages.purpose["preview"])
        is_last = self._index == len(self._entries) - 1
        head.ask_for(*(("esc", pages.now["read"]) if is_last else ("→", pages.now["page"])))

    def _timeline(self) -> list[str]:
        """The pages of the session as lines, made again when an answer changes them."""
        if self._listed is not self._entries:
            self._listed = self._entries
            self._lines = timeline_lines(self._entries, self._setups, repeats=False)
        return self._lines

    def _notice(self, columns: int) -> list[str]:
        """The lines above the client's page."""
        profile, refused = self._plan.profile, self._plans[0].no_session
        title = self._plan.content.messages.therapist.caseload.no_session_title
        texts = [f"{title}: {refused}"] if refused else []
        if self._index == 0:
            conditions, limits, today = profile.condition, self._plan.limits, self._at.date()
            texts += therapist_lines(conditions, profile.irritability, self._plan.content, limits, today)
        return [line for text in texts for line in wrap(text, max(columns, 1))]

    def _where(self) -> str:
        messages = self._messages
        changed = sum(
            len(one.answer) + len(one.repetitions) for one in (self._answers, *self._answers.exercise.values())
        )
        values = {"number": self._index + 1, "stops": len(self._entries), "time": clock_time(self._entry.at_s)}
        so = fill(messages.changed, {"answers": changed}) if changed else messages.clean
        return self._message() or f"{fill(messages.where, values)} · {so}"

    def _message(self) -> str:
        """A message that takes the place of the position in the session; empty if there is none."""
        return self._note or (self._messages.stuck if self._entry.name.endswith(".again") else "")

    def _keys(self) -> list[KeyAndWord]:
        messages = self._messages.keys
        return [(key, messages[name]) for key, name in _KEYS if name != "exercise" or len(self._plans) > 1]

    def _keys_here(self) -> list[KeyAndWord]:
        """The keys of this page only, on the line with the position, to leave all rows to the client's page."""
        if self._message():
            return []
        messages, state, keys = self._messages.keys, self._entry.state, list[KeyAndWord]()
        if isinstance(state.step, Work) and state.question is None:
            keys.append(("- +", messages["fewer"]))
        if self._answers != Answers():
            keys.append(("a", messages["clean"]))
        return keys

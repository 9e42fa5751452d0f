"""The client's session exactly as it will be seen, step by step; the client's own keys say what if."""

from collections.abc import Mapping
from datetime import datetime
from functools import partial

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.answers_file import Answers
from coach.model.message_format import fill
from coach.model.messages.client_page import ClientPageWords
from coach.model.messages.preview_page import PreviewKey, PreviewPageWords
from coach.screens.client.key_bindings import fitting
from coach.screens.client.pages import Setups, shown
from coach.screens.client.views import PageView, body_of
from coach.screens.therapist.report_sources import PreviewLook, PreviewReport
from coach.screens.therapist.text_screen import TextScreen
from coach.screens.therapist.timeline_screen import TimelineScreen, clock_time
from coach.screens.widgets.scrolling import SCROLL_KEYS
from coach.screens.widgets.text import key_lines, plain
from coach.session.answer_keys import choice_of
from coach.session.plan import Plan
from coach.session.script import Work
from coach.session.timeline import Stop, part_of, stops

_STEPS: Mapping[str, int] = {"right": 1, "enter": 1, "space": 1, "left": -1, "backspace": -1}
_REPORTS: Mapping[str, PreviewLook] = {"c": "compare", "d": "decisions", "s": "setup"}
_KEYS: tuple[tuple[str, PreviewKey], ...] = (
    ("← →", "step"),
    ("tab", "part"),
    ("t", "timeline"),
    ("c", "compare"),
    ("d", "decisions"),
    ("s", "setup"),
    ("esc", "back"),
)
_MORE_OR_FEWER: Mapping[str, int] = {"plus": 1, "minus": -1}


class PreviewScreen(Screen[None]):
    """The stops of today's session with the answers so far; none of it is kept."""

    def __init__(
        self, plan: Plan, at: datetime, reports: Mapping[PreviewLook, PreviewReport], answers: Answers | None = None
    ) -> None:
        super().__init__()
        self._plan, self._at, self._reports = plan, at, reports
        self._answers = answers or Answers()
        self._stops = stops(plan, self._answers, at)
        self._here = 0
        self._note = ""
        self._setups = Setups()
        self._words = plan.content.words.of(PreviewPageWords)

    def compose(self) -> ComposeResult:
        """The client's title, page and keys; below them where this is, and the therapist's keys."""
        yield plain("", id="title")
        yield VerticalScroll(id="body", can_focus=False)
        yield plain("", id="client-keys")
        yield plain("", id="keys")

    async def on_mount(self) -> None:
        """The first page."""
        await self._draw()

    def on_resize(self, _: Resize) -> None:
        """Drawn anew for another size, once the size is known."""
        self.call_after_refresh(self._draw)

    async def on_key(self, event: Key) -> None:
        """Through the stops, an answer of the client's, or another look."""
        event.stop()
        key, body = event.key, self.query_one("#body")
        self._note = ""
        if key in ("escape", "q"):
            self.dismiss()
            return
        if key in SCROLL_KEYS:
            if isinstance(body, PageView):
                body.scrolled(key)
            return
        if key in _REPORTS:
            self._open(_REPORTS[key])
        elif key == "t":
            self.app.push_screen(TimelineScreen(self._plan, self._stops, self._here, self._setups), self._go_to)
        else:
            self._press(key)
            await self._draw()

    def _press(self, key: str) -> None:
        last = len(self._stops) - 1
        if key in _STEPS:
            self._here = min(max(self._here + _STEPS[key], 0), last)
        elif key in ("tab", "shift+tab"):
            self._here = self._other_part(1 if key == "tab" else -1)
        elif key in ("home", "end"):
            self._here = 0 if key == "home" else last
        elif key == "a":
            self._answer(Answers())
        elif key in _MORE_OR_FEWER:
            self._repeat(_MORE_OR_FEWER[key])
        else:
            self._what_if(key)

    def _other_part(self, step: int) -> int:
        """The first stop of the part after this one; or of this part, and from there of the one before."""
        starts = [
            number
            for number, stop in enumerate(self._stops)
            if number == 0 or part_of(stop) != part_of(self._stops[number - 1])
        ]
        if step > 0:
            return next((start for start in starts if start > self._here), len(self._stops) - 1)
        return max((start for start in starts if start < self._here), default=0)

    def _what_if(self, key: str) -> None:
        """One of the client's own keys, where a question is asked."""
        question = self._stop.state.question
        signs = self._plan.content.signs
        chosen = None if question is None or self._stop.state.over else choice_of(key, question, signs)
        if question is None or chosen is None:
            self._say_whose(key)
            return
        given = {**self._answers.answer, question.name: chosen.value}
        self._answer(self._answers.model_copy(update={"answer": given}))

    def _say_whose(self, key: str) -> None:
        """A key that the page names for the client and that leads nowhere here."""
        named = self._plan.content.words.screens.keys.model_dump()
        command = next((one for one in fitting(self._stop.state) if one.key == key), None)
        if command is not None:
            self._note = fill(self._words.clients_key, {"key": key, "word": named[command.word]})

    def _repeat(self, more: int) -> None:
        """One repetition more or fewer in the set that is seen."""
        work = self._stop.state.step
        if not isinstance(work, Work) or self._stop.state.question is not None:
            return
        number, whole = str(work.number), work.time.repetitions
        wanted = min(max(self._answers.repetitions.get(number, whole) + more, 0), whole)
        done = {**self._answers.repetitions, number: wanted}
        if wanted == whole:
            del done[number]
        self._answer(self._answers.model_copy(update={"repetitions": done}))

    def _answer(self, answers: Answers) -> None:
        """The session anew with other answers, at the same place, or at the nearest before it that is left."""
        place = self._stop.place
        try:
            made = stops(self._plan, answers, self._at)
        except ValueError as refused:
            self._note = fill(self._words.not_so, {"why": str(refused)})
            return
        self._answers, self._stops = answers, made
        same = [number for number, stop in enumerate(made) if stop.place in (place, f"{place}.again")]
        self._here = same[-1] if same else min(self._here, len(made) - 1)

    def _go_to(self, number: int | None) -> None:
        if number is not None:
            self._here = number
        self.call_after_refresh(self._draw)

    def _open(self, look: PreviewLook) -> None:
        titles: Mapping[PreviewLook, str] = {
            "compare": self._words.compare_title,
            "decisions": self._words.decisions_title,
            "setup": self._words.setup_title,
        }
        title = fill(titles[look], {"client": self._plan.profile.name})
        made = partial(self._reports[look], self._plan, self._answers, self._at)
        self.app.push_screen(TextScreen(title, made, self._plan.content.words.of(ClientPageWords)))

    @property
    def _stop(self) -> Stop:
        return self._stops[self._here]

    async def _draw(self) -> None:
        stop, words, columns = self._stop, self._plan.content.words.screens.keys, self.size.width
        page = shown(stop.state, self._setups.of(stop.state), stop.at_s)
        named: Mapping[str, str] = words.model_dump()
        own = [f"{command.key} {named[command.word]}" for command in fitting(stop.state)]
        below = f"{key_lines([self._where(), *self._keys_here()], columns)}\n{key_lines(self._keys(), columns)}"
        rows = self.size.height - below.count("\n") - 1
        self.query_one("#title", Static).update(page.title)
        self.query_one("#client-keys", Static).update(key_lines(own, columns))
        self.query_one("#keys", Static).update(below)
        await self.query("#body").remove()
        await self.mount(body_of(page, "", words.more, columns, rows), after="#title")

    def _where(self) -> str:
        words, changed = self._words, len(self._answers.answer) + len(self._answers.repetitions)
        values = {"number": self._here + 1, "stops": len(self._stops), "time": clock_time(self._stop.at_s)}
        so = fill(words.changed, {"answers": changed}) if changed else words.clean
        return self._told() or f"{fill(words.where, values)} · {so}"

    def _told(self) -> str:
        """What is said instead of where this is; empty where nothing is."""
        return self._note or (self._words.stuck if self._stop.place.endswith(".again") else "")

    def _keys(self) -> list[str]:
        words = self._words.keys
        return [f"{key} {words[name]}" for key, name in _KEYS]

    def _keys_here(self) -> list[str]:
        """The keys that only this page has, beside where it is: they cost the client's page no row."""
        if self._told():
            return []
        words, state, keys = self._words.keys, self._stop.state, []
        if isinstance(state.step, Work) and state.question is None:
            keys.append(f"- + {words['fewer']}")
        if self._answers != Answers():
            keys.append(f"a {words['clean']}")
        return keys

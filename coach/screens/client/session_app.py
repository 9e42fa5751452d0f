"""The client's session in the terminal: keys and time in, pages out. Every rule is elsewhere."""

import asyncio
from functools import partial
from typing import ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Key, Resize
from textual.widget import Widget
from textual.widgets import Static

from coach.model.content import Content
from coach.model.layout_limits import LEAST_COLUMNS, LEAST_ROWS
from coach.model.message_format import fill
from coach.model.theme_name import ThemeName
from coach.screens.client.answer_player import Prompter
from coach.screens.client.key_bindings import LEAVE, QUIT, THEME, command_for, fitting
from coach.screens.client.pages import Page, RestPage, SetPage, Setups, shown
from coach.screens.client.resume_prompts import LEAVING, RESUMING, leave_page, resume_page
from coach.screens.client.views import PageView, RestView, SetView, body_of
from coach.screens.pages_app import PagesApp
from coach.screens.sound.players import SILENCE, Means
from coach.screens.sound.sounder import Sounder
from coach.screens.theme import next_theme
from coach.screens.widgets.text import key_lines, plain
from coach.session.phrases import what_to_do
from coach.session.runner import pause
from coach.session.set_words import set_words, spoken
from coach.session.signals import signals_between, until_change_s
from coach.store.clock import Clock
from coach.store.live_session import LiveSession, NotSaved, Opening, start_session

FRAMES_A_SECOND = 20
# A timer may wake a hair before its time: so it is set to just after the change.
_JUST_AFTER_S = 0.0005
Offer = Literal["resume", "leave"]


class SessionApp(PagesApp):
    """One session of one client."""

    CSS_PATH = "session.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "ask_to_leave", show=False, priority=True),
        Binding("ctrl+q", "keep_and_close", show=False, priority=True),
    ]

    def __init__(
        self,
        content: Content,
        opening: Opening,
        clock: Clock,
        heard: Means = SILENCE,
        theme: ThemeName | None = None,
        prompter: Prompter | None = None,
    ) -> None:
        profile, exercise = opening.folder.profile, opening.plan.before.exercise
        super().__init__(theme or profile.theme)
        said_aloud = spoken(content.words.screens.sound, set_words(content, exercise))
        self._sounder = Sounder(heard, said_aloud, profile.language, self.bell, clock)
        self._wake: asyncio.TimerHandle | None = None
        self._wake_at_s = 0.0
        self._content = content
        self._opening = opening
        self._clock = clock
        self._prompter = prompter
        self._live: LiveSession | None = None
        self._setups = Setups()
        self._offer: Offer | None = None
        self._note = ""
        self._drawn: object = None
        self._drawn_for: object = None
        self._around = ("", "")
        self._drawing = asyncio.Lock()

    def on_load(self) -> None:
        """The offer to go on, or the first step."""
        if self._opening.interrupted is not None:
            self._offer = "resume"
        else:
            self._live = start_session(self._opening, self._clock)

    def compose(self) -> ComposeResult:
        """A title, a body that is exchanged, and the keys."""
        page, keys = self._page()
        yield plain(page.title, id="title")
        yield self._body(page)
        yield plain(keys, id="keys")
        self._around, self._drawn, self._drawn_for = (page.title, keys), (page, self._note), self.size

    def on_mount(self) -> None:
        """From here on time passes."""
        self.leave_when_told()
        self.set_interval(1 / FRAMES_A_SECOND, self._frame)
        if self._prompter is not None:
            self.set_interval(1 / FRAMES_A_SECOND, partial(self._prompt, self._prompter))
        self._wake_at_change()

    def on_ready(self) -> None:
        """The tones wait for the first screen."""
        self.run_worker(self._sounder.prepare, thread=True)

    def on_unmount(self) -> None:
        """Nothing is woken and nothing is heard any more."""
        if self._wake is not None:
            self._wake.cancel()
        self._sounder.close()

    async def on_key(self, event: Key) -> None:
        """One key: an answer, a command, or nothing."""
        event.stop()
        key = event.key
        if self._too_small():
            return
        body = self.query_one("#body")
        if isinstance(body, PageView) and body.scrolled(key):
            return
        try:
            self._press(key)
        except NotSaved as refused:
            self._note = fill(self._content.words.screens.offer.not_saved, {"reason": str(refused)})
        await self._draw()

    def on_resize(self, _: Resize) -> None:
        """The size is another once this message is through."""
        self.call_later(self._resized)

    async def _resized(self) -> None:
        """Draw anew for another size; stand still where nothing can be shown."""
        if self.size == self._drawn_for:
            return  # a terminal says its size once more as it begins
        if self._live is not None and self._too_small():
            self._live.act(pause)
        self._drawn, self._drawn_for = None, self.size
        await self._draw()

    async def action_ask_to_leave(self) -> None:
        """Ctrl-C: ask whether to end; once more, close and keep."""
        if self._offer is not None or self._live is None or self._live.state.over:
            self.exit()
            return
        self._ask_to_leave(self._live)
        await self._draw()

    def action_keep_and_close(self) -> None:
        """Close at once; the session is kept as it stands and offered again at the next start."""
        self.exit()

    def _press(self, key: str) -> None:
        if self._offer is not None:
            self._answer_offer(self._offer, key)
            return
        live = self._live
        if live is None:
            return
        command = command_for(key, live.state)
        self._note = ""
        if command is QUIT:
            self.exit(return_code=0)
        elif command is THEME:
            self.theme = next_theme(self.theme)
        elif command is LEAVE:
            self._ask_to_leave(live)
        elif command is not None:
            live.act(command.run)

    def _answer_offer(self, offer: Offer, key: str) -> None:
        if offer == "leave" and self._live is not None and key in LEAVING:
            self._live.act(LEAVING[key])
        elif offer == "resume" and key in RESUMING:
            self._live = start_session(self._opening, self._clock, RESUMING[key])
        else:
            return
        self._offer = None

    def _ask_to_leave(self, live: LiveSession) -> None:
        live.act(pause)
        self._offer = "leave"

    @property
    def farewell(self) -> str:
        """What was decided, or that the session is kept as it stands."""
        ended = self._live.state.record.ended if self._live is not None else None
        if ended is not None:
            return f"{what_to_do(ended.decision, self._content)} {ended.decision.reason}".strip()
        words = self._content.words.screens
        return words.rehearsal.saved if self._opening.plan.rehearsal else words.offer.kept

    async def _frame(self) -> None:
        """Time has passed: only what time changes is drawn."""
        live = self._live
        if live is None or self._offer is not None or live.state.watch.since_s is None:
            return
        before = live.state
        try:
            live.tick()
            self._note = ""
        except NotSaved as refused:
            self._note = fill(self._content.words.screens.offer.not_saved, {"reason": str(refused)})
        self._sounder.sound(signals_between(before, live.state))
        await self._draw()

    async def _prompt(self, prompter: Prompter) -> None:
        """The answers of a rehearsal, where they come from a file and their time has come."""
        live = self._live
        if live is not None and self._offer is None and prompter.wait_s(live) == 0:
            prompter.act(live)
            await self._draw()

    def _wake_at_change(self) -> None:
        """Besides the frames, look at the clock just when the phase or the number changes: once for each change."""
        live = self._live
        wait_s = until_change_s(live.state, live.now_s) if live is not None else None
        if live is None or wait_s is None or self._offer is not None:
            return
        change_at_s = live.now_s + wait_s
        if abs(change_at_s - self._wake_at_s) < _JUST_AFTER_S:
            return
        if self._wake is not None:
            self._wake.cancel()
        loop = asyncio.get_running_loop()
        self._wake = loop.call_later(wait_s + _JUST_AFTER_S, self.call_later, self._frame)
        self._wake_at_s = change_at_s

    async def _draw(self) -> None:
        """Show what the state says: the next frame of the same screen, or another screen."""
        async with self._drawing:  # time and keys come from two tasks, and one body stands on the screen
            if self.is_running:
                await self._draw_page()
                self._wake_at_change()

    async def _draw_page(self) -> None:
        page, keys = self._page()
        if (page.title, keys) != self._around:
            self.query_one("#keys", Static).update(keys)
            self.query_one("#title", Static).update(page.title)
            self._around = (page.title, keys)
        match page, self.query_one("#body"):
            case SetPage(), SetView() as body if self._drawn is not None:
                body.show(page)
            case RestPage(), RestView() as body if self._drawn is not None and body.says_as_much(page):
                body.show(page)
            case _ if (page, self._note) != self._drawn:
                await self._exchange(page)
            case _:
                pass
        self._drawn = (page, self._note)

    async def _exchange(self, page: Page | SetPage | RestPage) -> None:
        """Another body in the place of the one on the screen."""
        await self.query("#body").remove()
        await self.mount(self._body(page), after="#title")

    def _body(self, page: Page | SetPage | RestPage) -> Widget:
        more = self._content.words.screens.keys.more
        return body_of(page, self._note, more, self.size.width, self.size.height)

    def _page(self) -> tuple[Page | SetPage | RestPage, str]:
        """What is to be seen now, and its line of keys."""
        offers = self._content.words.screens.offer
        if self._too_small():
            sizes = {"columns": self.size.width, "rows": self.size.height}
            least = {"least_columns": LEAST_COLUMNS, "least_rows": LEAST_ROWS}
            return Page("", fill(offers.too_small, {**sizes, **least})), ""
        live = self._live
        if self._offer is not None or live is None:
            left = self._opening.interrupted
            if self._offer == "leave" or left is None:
                return leave_page(self._opening.plan), ""
            return resume_page(self._opening.plan, left.record), ""
        words = self._content.words.screens.keys.model_dump()
        keys = [f"{command.key} {words[command.word]}" for command in fitting(live.state)]
        page = shown(live.state, self._setups.of(live.state), live.now_s)
        if self._note and not isinstance(page, Page):
            page = Page(page.title, "")  # the note must not be overlooked for the letters of a set
        return page, key_lines(keys, self.size.width)

    def _too_small(self) -> bool:
        return self.size.width < LEAST_COLUMNS or self.size.height < LEAST_ROWS

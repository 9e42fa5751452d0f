"""The client's session on screens: turns keys and time into session events, and shows the resulting pages."""

import asyncio
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cached_property, partial
from textwrap import wrap
from typing import TYPE_CHECKING, ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Key, Resize
from textual.widget import Widget
from textual.widgets import Static

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.layout_limits import EDGE_COLUMNS, LEAST_COLUMNS, LEAST_ROWS
from coach.model.option_names import SignChoice, ThemeName
from coach.screens.base_app import BaseApp
from coach.screens.change_timer import ChangeTimer
from coach.screens.client.key_bindings import (
    CLOSING,
    HEAR,
    HELP,
    LEAVE,
    PAIN,
    THEME,
    VOICE,
    WHY,
    PlanAnswer,
    acts_at_once,
    at_the_end,
    binding_for,
)
from coach.screens.client.key_guard import REPEAT_S, KeyGuard, Moment
from coach.screens.client.key_help import help_page, more_lines, named_keys, no_key_note, unknown_key_line
from coach.screens.client.live_page import farewell_of, live_page, not_kept_line, place_of
from coach.screens.client.number_entry import NumberEntry
from coach.screens.client.page_types import ScreenPage, TextPage, title_of
from coach.screens.client.resume_prompts import LEAVING, RESUMING, prompt_page, start_as_answered, too_small_page
from coach.screens.client.setup_context import SetupCache
from coach.screens.client.views.bodies import make_body, show_next
from coach.screens.theme import next_theme
from coach.screens.widgets.scrolling import ScrolledPage
from coach.screens.widgets.text import clickable, key_lines, static_text
from coach.session.answer_keys import meant_key
from coach.session.phrases import why_line
from coach.session.runner import pause
from coach.session.signals import until_change_s
from coach.store.clock import Clock
from coach.store.live_session import LiveSession, Opening, SaveFailed, start_session

if TYPE_CHECKING:
    from coach.screens.client.answer_player import AnswerPlayer
    from coach.screens.sound.announcer import Announcer
    from coach.screens.sound.players import SoundOutput

FRAMES_PER_SECOND = 20
OpenPrompt = Literal["resume", "leave", "help"]


class SessionApp(BaseApp):
    """One session of one client."""

    CSS_PATH = "session.tcss"
    plan_answer: PlanAnswer = ""  # what the key that closed the last page said about the client's own plan
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "ask_to_leave", show=False, priority=True),
        Binding("ctrl+q", "keep_and_close", show=False, priority=True),
    ]

    def __init__(
        self,
        content: Content,
        opening: Opening,
        clock: Clock,
        sound_output: "Callable[[], SoundOutput] | None" = None,
        theme: ThemeName | None = None,
        answer_player: "AnswerPlayer | None" = None,
        guard: KeyGuard | None = None,
        signs: SignChoice | None = None,
        begin: Callable[[], LiveSession] | None = None,
    ) -> None:
        """`begin` starts a new session, else it is started here; `sound_output` finds what can sound."""
        super().__init__(theme or opening.store.profile.theme, signs or opening.store.profile.signs)
        self._setups = SetupCache()
        self._sound_output = sound_output
        self._change = ChangeTimer(0.5 / FRAMES_PER_SECOND)  # with other programs busy a frame takes as long
        self._content, self._opening, self._clock = content, opening, clock
        self._answer_player = answer_player
        self._live: LiveSession | None = None
        self._begin_session = begin or partial(start_session, opening, clock)
        self._open_prompt: OpenPrompt | None = None
        self._guard = guard
        self._number = NumberEntry()
        self._note = self._key_note = self._not_kept = ""
        self._why_shown = False
        self._place_shown: object = None
        self._drawn: object = None
        self._drawn_for: object = None
        self._title_and_keys = ("", "")
        self._drawing = asyncio.Lock()

    def on_load(self) -> None:
        """Begin with the question whether to resume, or start the session."""
        if self._opening.interrupted is not None:
            self._open_prompt = "resume"
        else:
            self._live = self._begin_session()

    def compose(self) -> ComposeResult:
        """A title, a body that is replaced page by page, and the keys."""
        page, keys = self._page()
        yield static_text(title_of(page), id="title")
        yield self._body(page)
        yield static_text(clickable(keys, self._named_keys()), id="keys")
        self._title_and_keys, self._drawn, self._drawn_for = (title_of(page), keys), (page, self._note), self.size

    def on_mount(self) -> None:
        """Start the timers, and the sound once the first page is on the terminal."""
        self.exit_on_signal()
        self._await_paint()
        self.call_after_refresh(self._begin_sound)
        self.set_interval(1 / FRAMES_PER_SECOND, self._regular_frame)
        if self._answer_player is not None:
            self.set_interval(1 / FRAMES_PER_SECOND, partial(self._play_answer, self._answer_player))
        self._wake_at_change()

    def _begin_sound(self) -> None:
        """Prepare tones and words, and say the first page."""
        self.run_worker(partial(self._announcer.prepare, self._clock().at), thread=True)
        self._announce(self._page()[0])

    @cached_property
    def _announcer(self) -> "Announcer":
        """Made when it is first used: the first page does not wait for the import of all that makes sound."""
        from coach.screens.sound.announcer import announcer_for
        from coach.screens.sound.players import SILENCE

        output = SILENCE if self._sound_output is None else self._sound_output()
        return announcer_for(self._opening, output, self.bell, self._clock, self._setups)

    def on_unmount(self) -> None:
        """Cancel the timer and silence the sound."""
        self._change.cancel()
        self._announcer.sounder.close()

    async def on_key(self, event: Key) -> None:
        """Handle one key: an answer, a binding, or a key without meaning."""
        event.stop()
        key = event.key
        # While one page is exchanged for another there is no body, and a key that scrolls has nothing to scroll.
        if any(body.scroll_by_key(key) for body in self.query("#body").results(ScrolledPage)):
            return
        if not self._too_small():
            await self._take_key(key)
            return
        self._key_note = no_key_note(key, self._content)
        await self._draw()

    def action_press_key(self, key: str) -> None:
        """Handle a key that was clicked where it is shown.

        The clicked widget waits for its action, and the key may remove that widget, which waits for the widget in
        turn: so the key is handled after the click.
        """
        self.call_next(self._take_key, key)

    async def _take_key(self, key: str, pressed: Moment | None = None) -> None:
        """Handle a key; one that may be the repeat of a held key once more, when that is known."""
        live = self._live if self._open_prompt is None else None
        at_once = live is not None and acts_at_once(key, live.state)
        verdict = "meant" if self._guard is None else self._guard.judge(key, at_once, pressed)
        if self._guard is not None and verdict == "perhaps_held":
            self.set_timer(REPEAT_S, partial(self._take_key, key, self._guard.moment))
        if verdict in ("perhaps_held", "held"):
            return
        if verdict == "too_soon":
            self._key_note = self._content.messages.client.keys.too_soon
        else:
            with self._save_failures_noted():
                self._press(key)
        if self._key_note:
            self._announcer.note(self._key_note)
        await self._draw()

    @contextmanager
    def _save_failures_noted(self) -> Iterator[None]:
        """Note what could not be saved; the session is then paused, and the note stays until a key is pressed."""
        try:
            yield
        except SaveFailed as error:
            self._note = fill(self._content.messages.client.offer.not_saved, {"reason": str(error)})
            self._announcer.note(self._note)

    def on_resize(self, _: Resize) -> None:
        """Redraw after this message; only then is the new size in effect."""
        self.call_later(self._resized)

    async def _resized(self) -> None:
        """Redraw for the new size; pause if the window is too small to show anything."""
        if self.size == self._drawn_for:
            return  # terminals report their size again at the start
        if self._live is not None and self._too_small():
            with self._save_failures_noted():
                self._live.act(pause)
        self._drawn, self._drawn_for, self._key_note = None, self.size, ""
        await self._draw()

    async def action_ask_to_leave(self) -> None:
        """Ctrl-C: ask whether to end; pressed again, close and keep the session."""
        if self._open_prompt is not None or self._live is None or self._live.state.over:
            self.exit()
            return
        with self._save_failures_noted():
            self._ask_to_leave(self._live)
        await self._draw()

    def action_keep_and_close(self) -> None:
        """Close at once; the session is kept and the next start offers to resume it."""
        self.exit()

    def _press(self, key: str) -> None:
        self._key_note = ""
        if self._open_prompt is not None:
            self._answer_prompt(self._open_prompt, key)
            return
        live = self._live
        if live is None:
            return
        self._note = ""
        asked = None if live.state.over or live.state.chosen is not None else live.state.question
        meant = self._number.press(meant_key(key, self._content), asked)
        if meant is None:
            self._key_note = self._number.note(self._content.messages.client.keys)
            return
        binding = binding_for(meant, live.state)
        if binding is not None and binding.word in CLOSING:
            self.plan_answer = CLOSING[binding.word]
            self.exit(return_code=0)
        elif binding is WHY and live.state.record.ended is not None:
            self._why_shown = True
            self._announcer.note(why_line(live.state.plan, live.state.record.ended))
        elif binding is THEME:
            self.theme = next_theme(self.theme)
        elif binding is VOICE:
            self._key_note = self._announcer.switch_voice()
        elif binding is HEAR:
            self._key_note = self._announcer.hear_again(self._page_of(live), live.state)
        elif binding is LEAVE:
            self._ask_to_leave(live)
        elif binding is HELP:
            live.act(pause)
            self._open_prompt = "help"
        elif binding is not None:
            live.act(binding.run)
        elif not self._announcer.next_group(meant, self._page_of(live), live.state) and not at_the_end(live.state):
            self._key_note = unknown_key_line(key, live.state, self._page_of(live))

    def _answer_prompt(self, offer: OpenPrompt, key: str) -> None:
        pressed, key = key, meant_key(key, self._content)
        if offer == "help" and self._live is not None:
            if key == PAIN.key:
                self._live.act(PAIN.run)
        elif offer == "leave" and self._live is not None and key in LEAVING:
            self._live.act(LEAVING[key])
        elif offer == "resume" and key in RESUMING:
            self._live = start_as_answered(self._opening, self._clock, key)
        else:
            self._key_note = no_key_note(pressed, self._content)
            return
        self._open_prompt = None

    def _ask_to_leave(self, live: LiveSession) -> None:
        live.act(pause)
        self._open_prompt, self._key_note, self._not_kept = "leave", "", not_kept_line(live)

    @property
    def farewell(self) -> str:
        """The closing message: the decision, or that the session is kept as it stands."""
        return farewell_of(self._live, self._opening)

    @property
    def unsaved(self) -> bool:
        """Whether not all of the session is saved."""
        return self._live is not None and self._live.why_not_kept() != ""

    async def _regular_frame(self) -> None:
        """A frame, unless a change is near: that has a frame of its own."""
        if not self._change.is_near(self._clock().s):
            await self._frame()

    async def _frame(self) -> None:
        """Let time pass, and draw what it changes."""
        live = self._live
        if live is not None and self._open_prompt is None and not live.state.over:
            await self._pass_time(live)
        if why := self._announcer.why_no_voice():
            self._key_note = why
            await self._draw()
        self._announcer.advance(live.state if live is not None and self._open_prompt is None else None)

    async def _pass_time(self, live: LiveSession) -> None:
        before = live.state
        with self._save_failures_noted():
            live.tick(self._announcer.passed)
        if before.watch.since_s is None and live.state.script is before.script and live.ended_why is None:
            return  # nothing on this page moves with time
        if live.state.step is not before.step:
            self._key_note = ""  # it was about a key of the page before
        await self._draw()

    async def _play_answer(self, answer_player: "AnswerPlayer") -> None:
        """Give the next answer from a file, if it is due."""
        live = self._live
        if live is not None and self._open_prompt is None and answer_player.wait_s(live) == 0:
            answer_player.act(live)
            await self._draw()

    def _wake_at_change(self) -> None:
        """Set a timer for the moment when the phase or the number changes, in addition to the regular frames."""
        live = self._live
        wait_s = until_change_s(live.state, live.now_s) if live is not None else None
        if live is not None and wait_s is not None and self._open_prompt is None:
            self._change.wake_at(live.now_s + wait_s, wait_s, partial(self.call_later, self._frame))

    async def _draw(self) -> None:
        """Show the current state: the next frame of the same screen, or another screen."""
        async with self._drawing:  # time and keys come from two tasks, and there is only one body
            if self.is_running and self.screen.is_attached:
                await self._draw_page()
                self._wake_at_change()

    async def _draw_page(self) -> None:
        page, keys = self._page()
        self.screen.set_class(self._too_small(), "tiny")
        if (title := title_of(page), keys) != self._title_and_keys:
            self.query_one("#keys", Static).update(clickable(keys, self._named_keys()))
            self.query_one("#title", Static).update(title)
            self._title_and_keys = (title, keys)
        moved = self._drawn is not None and show_next(self.query_one("#body"), page)
        if not moved and (page, self._note) != self._drawn:
            await self.query("#body").remove()
            if self.screen.is_attached:  # it is not once the app is to end, which another key may have asked for
                await self.mount(self._body(page), after="#title")
        self._drawn = (page, self._note)
        self._await_paint()
        self._announce(page)

    def _await_paint(self) -> None:
        """Tell the guard when another page is painted: keys pressed before that are no answers to it."""
        place = (self._open_prompt, place_of(self._live.state) if self._live is not None else None)
        if self._guard is not None and place != self._place_shown:
            self._guard.page_changed()
            self.call_after_refresh(self._guard.page_shown)
        self._place_shown = place
        self.call_after_refresh(self.place_cursor)

    def _announce(self, page: ScreenPage) -> None:
        """Say a page, if it is another one."""
        state = self._live.state if self._live is not None and self._open_prompt is None else None
        if not self._too_small():
            self._announcer.page(self._place_shown, page, state)

    def _named_keys(self) -> list[tuple[str, str]]:
        """Each key of the footer as it is shown, and the key."""
        live = self._live if self._open_prompt is None else None
        return [] if live is None else named_keys(live.state)

    def _body(self, page: ScreenPage) -> Widget:
        return make_body(page, self._note, more_lines(self._content.messages.client.keys), *self.size)

    def _page(self) -> tuple[ScreenPage, str]:
        """The page to show now, and its line of keys with the note on the last one."""
        page, keys = self._full_page()
        if self._too_small():
            page, keys = too_small_page(self._content, *self.size, page), ""
        note = wrap(self._key_note, max(1, self.size.width - EDGE_COLUMNS))
        return page, "\n".join([*note, keys] if keys else note)

    def _full_page(self) -> tuple[ScreenPage, str]:
        """The page and its line of keys in a window that is large enough."""
        live = self._live
        if self._open_prompt == "help" and live is not None:
            return help_page(live.state, self._page_of(live), scrolls=True), ""
        if self._open_prompt is not None or live is None:
            return prompt_page(self._opening, live, self._not_kept), ""
        page = self._page_of(live)
        if self._note and not isinstance(page, TextPage):
            page = TextPage(page.title, "")  # so that the note is not overlooked among the large letters
        return page, key_lines([name for name, _ in self._named_keys()], self.size.width)

    def _page_of(self, live: LiveSession) -> ScreenPage:
        page = live_page(live, self._setups, self._why_shown)
        return self._number.on_page(page) if isinstance(page, TextPage) else page

    def _too_small(self) -> bool:
        return self.size.width < LEAST_COLUMNS or self.size.height < LEAST_ROWS

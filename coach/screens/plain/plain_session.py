"""A session line by line, with the same pages, keys, runner and record as on screens."""

from collections.abc import Callable
from contextlib import suppress

from msgspec.structs import replace

from coach.model.content import Content
from coach.model.message_format import fill
from coach.screens.client.answer_player import AnswerPlayer
from coach.screens.client.key_bindings import (
    CLOSING,
    CUE,
    HEAR,
    HELP,
    LEAVE,
    QUIT,
    THEME,
    VOICE,
    WHY,
    PlanAnswer,
    acts_at_once,
    binding_for,
)
from coach.screens.client.key_guard import REPEAT_S, KeyGuard
from coach.screens.client.key_help import help_page
from coach.screens.client.live_page import farewell_of, live_page, not_kept_line
from coach.screens.client.page_types import LessonPage, RestPage, ScreenPage, SetPage, TextPage
from coach.screens.client.resume_prompts import LEAVING, leave_page_of, resume_page, start_as_answered
from coach.screens.client.setup_context import SetupCache
from coach.screens.plain.drawing_sentences import drawing_sentences
from coach.screens.plain.line_input import EndOfInput, LineSource, NoInput
from coach.screens.plain.page_lines import (
    cue_line,
    has_short_answers,
    page_lines,
    rest_left_line,
    rest_lines,
    set_lines,
    signal_line,
    spoken_title,
)
from coach.screens.plain.sign_groups import (
    any_group_line,
    asks_for_signs,
    group_lines,
    group_page,
    sign_groups,
)
from coach.screens.plain.typed_keys import key_of, keys_line, no_key_line, prompt_line
from coach.screens.sound.announcer import Announcer, announcer_for
from coach.screens.sound.players import SILENCE
from coach.session.answer_keys import meant_key
from coach.session.form_feedback import feedback
from coach.session.phrases import option_text, why_line
from coach.session.runner import pause
from coach.session.script import Teach
from coach.session.signals import signals_between, until_change_s
from coach.session.state import State
from coach.store.clock import Clock
from coach.store.live_session import LiveSession, Opening, SaveFailed, start_session

Write = Callable[[str], None]

# A wait may end slightly early and is then repeated; never in a busy loop.
_SHORTEST_WAIT_S = 0.001


class PlainSession:
    """One session of one client as lines of text."""

    def __init__(
        self,
        content: Content,
        opening: Opening,
        clock: Clock,
        source: LineSource,
        write: Write,
        answer_player: AnswerPlayer | None = None,
        announcer: Announcer | None = None,
        guard: KeyGuard | None = None,
    ) -> None:
        self._content = content
        self._opening = opening
        self._clock = clock
        self._source = source
        self._write = write
        self._answer_player = answer_player
        self._guard = guard
        self._setups = SetupCache()
        self._announcer = announcer or announcer_for(opening, SILENCE, lambda: None, clock, self._setups)
        self.plan_answer: PlanAnswer = ""
        self._told: set[str] = set()
        self._group = 0
        self._last_shown: object = None
        self._following: str | None = None  # a line that came at once after one that may be held
        self._live: LiveSession | None = None
        self._messages = content.messages.client

    def run(self) -> bool:
        """Run the session to its decision; return False if the input ended before that.

        Raises:
            SaveFailed: The session could not be saved when it began.
        """
        try:
            live = self._live = self._begin()
            self._show_page(live)
            while not live.state.over or live.state.another_follows:
                self._once(live)
            self._close(live)
        except EndOfInput:
            rehearsal = self._opening.plan.rehearsal
            ended = self._messages.rehearsal.input_ended if rehearsal else self._messages.plain.input_ended
            self._block([ended] if rehearsal else [ended, self.farewell])
            return False
        return True

    @property
    def farewell(self) -> str:
        """What is kept of a session that was closed, in a sentence or two."""
        return farewell_of(self._live, self._opening)

    @property
    def unsaved(self) -> bool:
        """Whether not all of the session is saved."""
        return self._live is not None and self._live.why_not_kept() != ""

    def _begin(self) -> LiveSession:
        """Start a new session, or resume an interrupted one if the client chooses to."""
        left = self._opening.interrupted
        if left is None:
            return start_session(self._opening, self._clock)
        key = self._chosen(resume_page(self._opening.plan, left.record))
        return start_as_answered(self._opening, self._clock, key)

    def _once(self, live: LiveSession) -> None:
        """Wait for a line or for the next change, and handle it."""
        line, self._following = self._following, None
        if line is None:
            line = self._source.line(self._wait_s(live))
        self._announcer.advance(live.state)
        try:
            self._let_pass(live)
            if line is not None:
                self._press(live, line)
            elif self._answer_player is not None and self._answer_player.wait_s(live) == 0:
                self._play_answer(live, self._answer_player)
        except SaveFailed as error:
            self._write(fill(self._messages.offer.not_saved, {"reason": str(error)}))
            self._last_shown = None
        self._show_page(live)

    def _wait_s(self, live: LiveSession) -> float | None:
        """Seconds until something changes by itself; None if only a line can change anything."""
        self._announcer.advance(live.state)
        waits = [until_change_s(live.state, live.now_s), self._announcer.sounder.wait_s]
        if self._answer_player is not None:
            waits.append(self._answer_player.wait_s(live))
        known = [wait for wait in waits if wait is not None]
        return max(min(known), _SHORTEST_WAIT_S) if known else None

    def _let_pass(self, live: LiveSession) -> None:
        """Let time pass, and write a short line for each change."""
        before, before_s = live.state, live.state.seen_s
        after = live.tick(self._announcer.passed)
        for signal in signals_between(before, after):
            self._write_if(signal_line(signal, before))
        if after.step is before.step and not after.paused:
            was_s, is_s = before.rest_left_s(before_s), after.rest_left_s(after.seen_s)
            self._write_if(rest_left_line(after.step, was_s, is_s, after.plan))

    def _press(self, live: LiveSession, line: str) -> None:
        """Handle a line: an answer, a key, or neither, which is reported."""
        state = live.state
        if state.over and not state.another_follows:
            return
        page = self._page(live)
        key = key_of(line, page.choices if isinstance(page, TextPage) else (), self._content)
        binding = binding_for(key, state)
        if self._guard is not None and not self._meant(key, acts_at_once(key, state), self._guard):
            self._tell(self._messages.keys.too_soon)
        elif binding is VOICE:
            self._tell(self._announcer.switch_voice())
        elif binding is HEAR:
            self._hear_again(live)
        elif binding is LEAVE:
            self._leave(live)
        elif binding is HELP:
            self._show_keys(state, page)
        elif binding is None and key == "enter" and isinstance(page, TextPage) and self._next_group(page, state):
            self._announcer.next_group(key, page, state)
        elif binding is None or binding in (THEME, QUIT):
            self._tell(no_key_line(line, self._content), self._keys(state, page))
        else:
            live.act(binding.run)
            if binding is CUE and not isinstance(page, TextPage):
                self._tell(cue_line(feedback(state.plan, state.record).cue, self._messages.plain))

    def _meant(self, key: str, at_once: bool, guard: KeyGuard) -> bool:
        """Whether a line was meant; one that may be the repeat of a held key is, if no other follows at once."""
        verdict = guard.judge(key, at_once)
        if verdict == "perhaps_held":
            with suppress(EndOfInput):  # then nothing follows, and the next wait ends the session
                self._following = self._source.line(REPEAT_S)
            verdict = "meant" if self._following is None else "held"
        return verdict == "meant"

    def _play_answer(self, live: LiveSession, answer_player: AnswerPlayer) -> None:
        """Give the next answer from the file, and show it as if it had been typed."""
        question, done = live.state.question, len(live.state.record.entry)
        answer_player.act(live)
        given = live.state.record.answer(question.name) if question is not None else None
        if question is not None and given is not None and len(live.state.record.entry) > done:
            self._write(f"> {option_text(question, given, live.state.plan)}")

    def _leave(self, live: LiveSession) -> None:
        """Ask whether to end the session, which is paused until that is answered."""
        live.act(pause)
        live.act(LEAVING[self._chosen(leave_page_of(live.state, not_kept_line(live)))])
        self._last_shown = None

    def _chosen(self, page: TextPage) -> str:
        """Ask a question about the session itself; return the key of the answer."""
        keys = prompt_line(page, self._content)
        self._block([*page_lines(page, self._messages.plain), keys])
        self._announcer.page(page, page)
        while True:
            line = self._line_while_heard()
            key = meant_key(key_of(line or "", page.choices, self._content), self._content)
            if key in [meant_key(choice.key, self._content) for choice in page.choices]:
                return key
            self._block([no_key_line(line or "", self._content), keys])

    def _line_while_heard(self) -> str | None:
        """Wait for a line, and begin one sound after the other meanwhile."""
        self._announcer.advance()
        while (wait_s := self._announcer.sounder.wait_s) is not None:
            line = self._source.line(wait_s)
            if line is not None:
                return line
            self._announcer.advance()
        return self._source.line(None)

    def _close(self, live: LiveSession) -> None:
        """The keys of the last page, until one closes it or the input ends."""
        ended = live.state.record.ended
        with suppress(EndOfInput):
            while ended is not None:
                line = self._line_while_heard()
                binding = binding_for(key_of(line or "", (), self._content), live.state)
                if line is None:
                    continue
                if binding is not None and binding.word in CLOSING:
                    self.plan_answer = CLOSING[binding.word]
                    return
                if binding is WHY:
                    self._tell(why_line(live.state.plan, ended))
                elif binding is HEAR:
                    self._hear_again(live)
                elif binding is HELP:
                    self._show_keys(live.state, self._page(live))
                else:
                    self._tell(no_key_line(line, self._content), keys_line(live.state, None, self._content))

    def _show_keys(self, state: State, page: ScreenPage) -> None:
        """Every key in lines, on one where all names are short. Nothing is opened here that a key would close."""
        shown = help_page(state, page)
        lines = [line for line in page_lines(shown, self._messages.plain) if line != shown.lead]
        self._block([*lines, *([prompt_line(shown, self._content)] if has_short_answers(shown) else [])])

    def _hear_again(self, live: LiveSession) -> None:
        why = self._announcer.hear_again(self._page(live), live.state)
        self._write_if(why or None)

    def _page(self, live: LiveSession) -> ScreenPage:
        """Nobody can ask for the rule and its source where nothing is typed, so they are written there."""
        return live_page(live, self._setups, why_shown=isinstance(self._source, NoInput))

    def _show_page(self, live: LiveSession) -> None:
        """Write the current page, unless it was the last one written."""
        state, page, messages = live.state, self._page(live), self._messages.plain
        place = page if isinstance(page, TextPage) else (type(page), state.at_step, state.paused)
        if place == self._last_shown:
            return
        self._last_shown = place
        closed = state.over and isinstance(self._source, NoInput)
        paused: list[str] = []
        if isinstance(page, SetPage):
            lines = set_lines(page, state, messages)
        elif isinstance(page, RestPage):
            lines = rest_lines(page, messages)
            paused = [self._messages.set.paused] if state.paused else []
        elif isinstance(page, LessonPage):
            self._told |= {state.step.question} if isinstance(state.step, Teach) else set()
            lines = iter((spoken_title(page.title), page.lead, *page.lines))
        else:
            self._group = 0
            page = self._how_to_tell_once(page, state)
            if asks_for_signs(state):
                self._write_group(page, state)
                self._announcer.page(place, page, state)
                return
            drawn = drawing_sentences(state.step, self._setups.of(state)) if page.drawing is not None else ()
            lines = page_lines(page, messages, drawn)
        self._block([*paused, *lines, *([] if closed else [keys_line(state, page, self._content)])])
        self._announcer.page(place, page, state)

    def _write_group(self, page: TextPage, state: State) -> None:
        """The signs of one group; the keys of all of them answer at any time."""
        more = self._group + 1 < len(sign_groups(page))
        given = tuple(option for option in page.choices if option.chosen)
        heading = page_lines(replace(page, choices=given), self._messages.plain) if not self._group else ()
        following = [self._messages.plain.next_group] if more else []
        lines = group_lines(page, self._group, self._content)
        self._block([*heading, *lines, *following, self._keys(state, page)])

    def _keys(self, state: State, page: ScreenPage) -> str:
        """The keys that work now; of the warning signs, those that were written last, and that all of them answer."""
        if not isinstance(page, TextPage) or not asks_for_signs(state):
            return keys_line(state, page, self._content)
        shown = group_page(page, self._group)
        return keys_line(state, shown, self._content, any_group_line(page, self._content))

    def _next_group(self, page: TextPage, state: State) -> bool:
        """Go on to the next group of the signs; whether there was one."""
        if not asks_for_signs(state) or self._group + 1 >= len(sign_groups(page)):
            return False
        self._group += 1
        self._write_group(page, state)
        return True

    def _how_to_tell_once(self, page: TextPage, state: State) -> TextPage:
        """The page of a form question, without how to tell if that was written before in this session."""
        question = state.question
        if question is None or question.scale != "how_often" or state.chosen is not None:
            return page
        if question.question in self._told:
            return replace(page, list_title="", listed=())
        self._told.add(question.question)
        return page

    def _block(self, lines: list[str]) -> None:
        """Write lines that belong together, after an empty one."""
        self._write("")
        for line in lines:
            self._write(line)
        if self._guard is not None:
            self._guard.page_changed()
            self._guard.page_shown()

    def _tell(self, *lines: str) -> None:
        """Write what came of a key, and say it."""
        for line in lines:
            self._write(line)
        self._announcer.note(lines[0])

    def _write_if(self, line: str | None) -> None:
        if line is not None:
            self._write(line)

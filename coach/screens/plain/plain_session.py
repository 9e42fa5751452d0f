"""A session line by line: lines and time in, lines out. Pages, keys, runner and record are those of the screens."""

from collections.abc import Callable, Sequence

from coach.model.content import Content
from coach.model.message_format import fill
from coach.screens.client.answer_player import Prompter
from coach.screens.client.key_bindings import CUE, LEAVE, QUIT, THEME, command_for
from coach.screens.client.pages import Page, RestPage, SetPage, Setups, shown
from coach.screens.client.resume_prompts import LEAVING, RESUMING, leave_page, resume_page
from coach.screens.plain.drawing_sentences import drawing_sentences
from coach.screens.plain.line_input import EndOfInput, Lines
from coach.screens.plain.page_lines import cue_line, page_lines, rest_line, rest_lines, set_lines, signal_line
from coach.screens.plain.typed_keys import key_of, keys_line, no_key_line, offer_line
from coach.session.form_feedback import feedback
from coach.session.phrases import option
from coach.session.runner import pause
from coach.session.signals import Signal, signals_between, until_change_s
from coach.store.clock import Clock
from coach.store.live_session import LiveSession, NotSaved, Opening, start_session

Write = Callable[[str], None]
Hear = Callable[[Sequence[Signal]], None]

# A wait may end a hair before its time: then it is waited again, but never without a breath.
_SHORTEST_WAIT_S = 0.001


class PlainSession:
    """One session of one client, told in lines."""

    def __init__(
        self,
        content: Content,
        opening: Opening,
        clock: Clock,
        typed: Lines,
        write: Write,
        prompter: Prompter | None = None,
        hear: Hear | None = None,
    ) -> None:
        self._content = content
        self._opening = opening
        self._clock = clock
        self._typed = typed
        self._write = write
        self._prompter = prompter
        self._hear = hear
        self._setups = Setups()
        self._told: object = None
        self._words = content.words.screens

    def run(self) -> bool:
        """Go through the session to its decision; False where the input ended before. NotSaved at the very start."""
        try:
            live = self._begin()
            self._tell(live)
            while not live.state.over:
                self._once(live)
        except EndOfInput:
            rehearsal = self._opening.plan.rehearsal
            said = (
                [self._words.rehearsal.input_ended]
                if rehearsal
                else [self._words.plain.input_ended, self._words.offer.kept]
            )
            self._block(said)
            return False
        return True

    def _begin(self) -> LiveSession:
        """A new session, or the interrupted one where the client wants it."""
        left = self._opening.interrupted
        if left is None:
            return start_session(self._opening, self._clock)
        goes_on = RESUMING[self._chosen(resume_page(self._opening.plan, left.record))]
        return start_session(self._opening, self._clock, goes_on)

    def _once(self, live: LiveSession) -> None:
        """Wait for a line or for the next change, and do what follows from it."""
        line = self._typed.line(self._wait_s(live))
        try:
            self._let_pass(live)
            if line is not None:
                self._press(live, line)
            elif self._prompter is not None and self._prompter.wait_s(live) == 0:
                self._prompt(live, self._prompter)
        except NotSaved as refused:
            self._write(fill(self._words.offer.not_saved, {"reason": str(refused)}))
            self._told = None
        self._tell(live)

    def _wait_s(self, live: LiveSession) -> float | None:
        """Seconds until something changes by itself; None where only a line leads on."""
        waits = [until_change_s(live.state, live.now_s)]
        if self._prompter is not None:
            waits.append(self._prompter.wait_s(live))
        known = [wait for wait in waits if wait is not None]
        return max(min(known), _SHORTEST_WAIT_S) if known else None

    def _let_pass(self, live: LiveSession) -> None:
        """Time has passed: a short line for each change that it brought."""
        before, before_s = live.state, live.state.seen_s
        after = live.tick()
        signals = signals_between(before, after)
        if self._hear is not None:
            self._hear(signals)
        for signal in signals:
            self._write_if(signal_line(signal, before))
        if after.step is before.step and not after.paused:
            left = rest_line(before.rest_left_s(before_s), after.rest_left_s(after.seen_s), self._words.plain)
            self._write_if(left)

    def _press(self, live: LiveSession, line: str) -> None:
        """An answer, a command, or the word that it is neither."""
        state = live.state
        if state.over:
            return
        page = self._page(live)
        key = key_of(line, page.choices if isinstance(page, Page) else (), self._content)
        command = command_for(key, state)
        if command is LEAVE:
            self._leave(live)
        elif command is None or command in (THEME, QUIT):
            self._write(no_key_line(line, self._content))
            self._write(keys_line(state, page, self._content))
        else:
            live.act(command.run)
            if command is CUE and not isinstance(page, Page):
                self._write(cue_line(feedback(state.plan, state.record).cue, self._words.plain))

    def _prompt(self, live: LiveSession, prompter: Prompter) -> None:
        """The next word of the answers; what was answered is shown as if it had been typed."""
        question, done = live.state.question, len(live.state.record.entry)
        prompter.act(live)
        given = live.state.record.answer(question.name) if question is not None else None
        if question is not None and given is not None and len(live.state.record.entry) > done:
            self._write(f"> {option(question, given, live.state.plan)}")

    def _leave(self, live: LiveSession) -> None:
        """End it here? Until that is answered the session stands still."""
        live.act(pause)
        live.act(LEAVING[self._chosen(leave_page(live.state.plan))])
        self._told = None

    def _chosen(self, page: Page) -> str:
        """A question about the session itself; the key of the answer."""
        keys = offer_line(page, self._content)
        self._block([*page_lines(page, self._words.plain), keys])
        while True:
            line = self._typed.line(None)
            key = key_of(line or "", page.choices, self._content)
            if key in [choice.key for choice in page.choices]:
                return key
            self._block([no_key_line(line or "", self._content), keys])

    def _page(self, live: LiveSession) -> Page | SetPage | RestPage:
        return shown(live.state, self._setups.of(live.state), live.now_s)

    def _tell(self, live: LiveSession) -> None:
        """Tell the page where it is another than the one told last."""
        state, page, words = live.state, self._page(live), self._words.plain
        place = page if isinstance(page, Page) else (type(page), state.at_step, state.paused)
        if place == self._told:
            return
        self._told = place
        paused: list[str] = []
        if isinstance(page, SetPage):
            lines = set_lines(page, state, words)
        elif isinstance(page, RestPage):
            lines = rest_lines(page, words)
            paused = [self._words.set.paused] if state.paused else []
        else:
            drawn = drawing_sentences(state.step, self._setups.of(state)) if page.scene is not None else ()
            lines = page_lines(page, words, drawn)
        self._block([*paused, *lines, *([] if state.over else [keys_line(state, page, self._content)])])

    def _block(self, lines: list[str]) -> None:
        """Lines that belong together, after an empty one."""
        self._write("")
        for line in lines:
            self._write(line)

    def _write_if(self, line: str | None) -> None:
        if line is not None:
            self._write(line)

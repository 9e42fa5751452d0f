"""Says a session as it goes on: the same for the screens and the plain mode."""

import math
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime

from coach.model import step_names
from coach.model.message_format import fill
from coach.screens.client.key_bindings import PAIN
from coach.screens.client.page_types import ScreenPage, SetPage, TextPage
from coach.screens.client.setup_context import SetupCache
from coach.screens.plain.page_lines import rest_left_line
from coach.screens.plain.sign_groups import asks_for_signs, sign_groups
from coach.screens.sound.players import SoundOutput
from coach.screens.sound.said_so_far import SaidSoFar
from coach.screens.sound.sound_queue import Priority, Sound
from coach.screens.sound.sounder import Sounder, speech_for
from coach.screens.sound.spoken_lines import (
    as_spoken,
    cue_of_phase,
    free_until_s,
    group_words,
    is_tick,
    page_words,
    session_words,
    set_start_words,
    signal_words,
    state_words,
    take_words,
)
from coach.session.phrases import hurts_line, stops_line
from coach.session.script import Rest
from coach.session.signals import Signal, signals_between
from coach.session.state import State
from coach.store.clock import Clock
from coach.store.home_settings import keep_choice
from coach.store.live_session import Opening
from coach.toml.diagnostic import error_reason

# How long after its second a line on the seconds left of a rest may begin.
_STILL_SO_S = 2.0
# How long before the end of a rest it is said what to do if it hurts: the count-in has no room for that and the cue.
_HURTS_AT_S = 6.0


class Announcer:
    """Turns pages and passing time into sounds. It never waits; `advance` begins what is next."""

    def __init__(self, sounder: Sounder, opening: Opening, setups: SetupCache) -> None:
        self.sounder = sounder
        self._opening = opening
        self._content = opening.plan.content
        self._setups = setups
        self._said = SaidSoFar()
        self._place: object = None
        self._step_before = ""
        self._group = 0
        self._took = False
        self._warned = False
        self._told_no_voice = False

    def prepare(self, at: datetime) -> None:
        """Write the tones, and begin to make the sound files of the session."""
        lines = session_words(self._opening.plan, at) if self.sounder.voice_on else ()
        self.sounder.prepare(as_spoken(line, self._content) for line in lines if line)

    def page(self, place: object, page: ScreenPage, state: State | None = None) -> None:
        """Say a page when it is shown, and nothing while its `place` is the same. Without a state, of no step."""
        if place == self._place:
            return
        self._place, self._group = place, 0
        self.sounder.end_page()
        if state is not None and isinstance(page, SetPage) and self.sounder.speaks:
            self._set_begins(state)
        elif not self.sounder.reads_pages:
            if state is not None:
                self._said.pass_over(state)
        elif state is None:
            self._say(page_words(page, self._content, self._said))
        else:
            self._say(state_words(page, state, self._setups, self._said))
        self._took = self._warned = False
        self._step_before = state.step.name if state is not None else ""

    def _set_begins(self, state: State) -> None:
        """At every count-in, also after a pause; without what was said as the rest ended, or by the page before."""
        hurts, cue = set_start_words(state)
        time = state.remaining_set
        count_in_over_s = state.seen_s + (time.count_in_s if time is not None else 0.0)
        told = self._took or self._step_before == step_names.REACH
        self._say([] if told else [take_words(state)], until_s=count_in_over_s)
        self._say([] if self._warned else [hurts], Priority.STOP)
        self._say([cue])

    def hear_again(self, page: ScreenPage, state: State) -> str:
        """Say the page again, in full, or in a set what to do if it hurts; returns why that cannot be heard."""
        messages = self._content.messages.client
        if not self.sounder.speaks:
            why = self.sounder.no_voice
            return messages.voice.off if why is None else messages.voice.none[why]
        if not self.sounder.reads_pages and not isinstance(page, SetPage):
            return messages.voice.recorded
        self.sounder.end_page()
        if isinstance(page, SetPage):
            line = stops_line(state.plan, PAIN.key) if self.sounder.reads_pages else hurts_line(state.plan)
            self._say([line], Priority.STOP)
        elif isinstance(page, TextPage) and asks_for_signs(state) and self._group:
            self._say(group_words(page, self._group, self._content))
        else:
            in_full = SaidSoFar(in_full=True)
            in_full.pass_over(state)
            self._say(state_words(page, state, self._setups, in_full))
        return ""

    def next_group(self, key: str, page: ScreenPage, state: State) -> bool:
        """Go on to the next group of the warning signs; whether this key did that."""
        if key != "enter" or not self.sounder.reads_pages or not asks_for_signs(state):
            return False
        if not isinstance(page, TextPage) or self._group + 1 >= len(sign_groups(page)):
            return False
        self._group += 1
        self.sounder.end_page()
        self._say(group_words(page, self._group, self._content))
        return True

    def note(self, line: str) -> None:
        """Say a line about a key that was pressed, in place of what is left of the page."""
        self.sounder.end_page()
        self._say([line])

    def passed(self, before: State, after: State) -> tuple[Signal, ...]:
        """Begin to sound what came due between two states; returns all of these signals."""
        signals = signals_between(before, after)
        if signals:
            tick = self.sounder.speaks and is_tick(signals[-1], before)
            self.sounder.sound(signals, self._words(signals, before), tick)
            self._took = signals[-1].name == "rest_over"
            self._say([cue_of_phase(signals[-1], before)], until_s=after.seen_s + _STILL_SO_S)
        if after.step is before.step and not after.paused:
            was_s, is_s = before.rest_left_s(before.seen_s), after.rest_left_s(after.seen_s)
            line = rest_left_line(after.step, was_s, is_s, after.plan)
            self._say([line] if line else [], until_s=after.seen_s + _STILL_SO_S)
            before_set = isinstance(after.step, Rest) and after.step.name != step_names.BETWEEN
            if before_set and was_s > _HURTS_AT_S >= is_s and self.sounder.speaks:
                self._say([hurts_line(after.plan)], Priority.STOP)
                self._warned = True
        if signals:
            self.advance(after)
        return signals

    def _words(self, signals: Sequence[Signal], before: State) -> str:
        return as_spoken(signal_words(signals[-1], before), self._content)

    def advance(self, state: State | None = None) -> None:
        """Begin the next sound, if there is room for it."""
        free_s = free_until_s(state) if state is not None else None
        self.sounder.advance(math.inf if free_s is None else free_s)

    def switch_voice(self) -> str:
        """Switch the voice and keep the choice; returns the line that says so, or why there is no voice."""
        messages = self._content.messages.client.voice
        if self.sounder.no_voice is not None:
            return messages.none[self.sounder.no_voice]
        self.sounder.switch_voice(not self.sounder.voice_on)
        line, on = messages.on if self.sounder.voice_on else messages.off, self.sounder.voice_on
        if self._opening.plan.rehearsal:
            return line
        try:
            keep_choice(self._opening.store.path, voice=on)
        except OSError as error:
            return f"{line} {fill(messages.not_kept, {'reason': error_reason(error)})}"
        return line

    def why_no_voice(self) -> str:
        """Why nothing, or only a set, is said although it is wanted; once, and empty afterwards or if all is said."""
        why, voice = self.sounder.no_voice, self._content.messages.client.voice
        if why == "silent" or self._told_no_voice or not self.sounder.voice_on or self.sounder.reads_pages:
            return ""
        self._told_no_voice = True
        return voice.none[why] if why is not None else voice.recorded

    def _say(self, lines: Iterable[str], priority: Priority = Priority.LINE, until_s: float | None = None) -> None:
        said = (as_spoken(line, self._content) for line in lines if line)
        if until_s is None:
            self.sounder.say(Sound(priority, line) for line in said)
        else:
            self.sounder.say(Sound(priority, line, until_s=until_s) for line in said)


def announcer_for(
    opening: Opening, output: SoundOutput, ring: Callable[[], None], clock: Clock, setups: SetupCache
) -> Announcer:
    """The announcer of a session on this machine."""
    speech = speech_for(output, opening.store.profile.language)
    return Announcer(Sounder(output, speech, ring, clock), opening, setups)

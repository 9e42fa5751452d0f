"""Answers from a file in a session under way: each after the seconds that a client is reckoned to need."""

from coach.model.answers_file import Answers
from coach.session.rehearsal import act, due_s
from coach.session.script import Work
from coach.session.state import Present, State
from coach.store.live_session import LiveSession


class Prompter:
    """Says when the answers have their next word, and says it."""

    def __init__(self, answers: Answers) -> None:
        self._answers = answers
        self._place: object = None
        self._since_s = 0.0
        self._ran: object = None

    def wait_s(self, live: LiveSession) -> float | None:
        """Seconds until the answers say something; None where they leave it to time or to a hand."""
        state, now_s = live.state, live.now_s
        place = (state.at_step, state.asking, state.paused, len(state.record.entry))
        if place != self._place:
            self._place, self._since_s = place, now_s
        due = due_s(state, self._answers)
        if due is None or self._paused_by_hand(state):
            return None
        in_set = isinstance(state.step, Work) and not state.paused
        gone_s = state.watch.elapsed_s(now_s) if in_set else now_s - self._since_s
        return max(0.0, due - gone_s)

    def _paused_by_hand(self, state: State) -> bool:
        """Whether it stands still and nothing was answered since it ran: no answer of the file brought that about."""
        if state.question is not None:
            return False
        place = (state.at_step, len(state.record.entry))
        if not state.paused:
            self._ran = place
        return state.paused and place == self._ran

    def act(self, live: LiveSession) -> None:
        """Say it, unless time has led on at this very moment."""
        before = live.state

        def key(state: State, now: Present) -> State:
            here = (state.at_step, state.asking) == (before.at_step, before.asking)
            return act(state, self._answers, now) if here else state

        live.act(key)

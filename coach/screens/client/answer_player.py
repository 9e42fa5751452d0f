"""Plays answers from a file into a running session, each after the time that a client is assumed to need."""

from typing import TYPE_CHECKING

from coach.session.rehearsal import apply_answers, seconds_to_answer
from coach.session.script import Trial, Work
from coach.session.state import Instant, State
from coach.store.live_session import LiveSession

if TYPE_CHECKING:
    from coach.model.answers_file import Answers


class AnswerPlayer:
    """Tells when the next answer is due, and gives it."""

    def __init__(self, answers: "Answers") -> None:
        self._answers = answers
        self._seen_at: object = None
        self._since_s = 0.0
        self._ran_at: object = None

    def wait_s(self, live: LiveSession) -> float | None:
        """Seconds until the next answer is due; None if there is none, or the session was paused by hand."""
        state, now_s = live.state, live.now_s
        timed_since_s = state.watch.since_s if isinstance(state.step, Trial) else None
        step = (state.at_step, state.asking, state.paused, len(state.record.entry), timed_since_s)
        if step != self._seen_at:
            self._seen_at, self._since_s = step, now_s
        due = seconds_to_answer(state, self._answers)
        if due is None or self._paused_by_hand(state):
            return None
        in_set = isinstance(state.step, Work) and not state.paused
        elapsed_s = state.watch.elapsed_s(now_s) if in_set else now_s - self._since_s
        return max(0.0, due - elapsed_s)

    def _paused_by_hand(self, state: State) -> bool:
        """Whether the session is paused although no answer since it last ran could have paused it."""
        if state.question is not None:
            return False
        step = (state.at_step, len(state.record.entry))
        if not state.paused:
            self._ran_at = step
        return state.paused and step == self._ran_at

    def act(self, live: LiveSession) -> None:
        """Give the answer, unless the session has moved on in the meantime."""
        before = live.state

        def key(state: State, now: Instant) -> State:
            unchanged = (state.at_step, state.asking) == (before.at_step, before.asking)
            return apply_answers(state, self._answers, now) if unchanged else state

        live.act(key)

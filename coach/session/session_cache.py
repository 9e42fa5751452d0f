"""Sessions already gone through: the same answers at the same load are not gone through twice."""

from datetime import datetime

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.base import MOST_SETS
from coach.model.record import Record
from coach.progression.state_machine import matching_rules
from coach.session.plan import Plan, about_last, activities_due, gap_share, goal_on
from coach.session.rehearsal import first_state, states
from coach.session.script import Work
from coach.session.state import State

_Asked = tuple[object, ...]
_ALL = MOST_SETS + 1


class GoneThrough:
    """The sessions of one client on one ladder, each gone through by the runner as far as no other went the same way.

    What the runner makes of a session hangs on what is asked, on the answers so far, and on the client's past in
    three ways only: whether there was a session before, whether the load was made easier and not tried, and which
    rules of the check-in match. The rules of a set look at nothing before the session.
    """

    def __init__(self) -> None:
        self._kept: dict[_Asked, list[tuple[tuple[str, ...], State]]] = {}

    def session(self, plan: Plan, answers: Answers, at: datetime) -> Record:
        """The record of this session; its entries keep the times of the day on which they were gone through.

        So does the decision of its closing entry, which is not of this day.
        """
        asked = _asked(plan, at)
        known = self._as_far_as_known(asked, plan, answers, at)
        if known.over:
            return known.record
        state = known
        for state in states(known, answers):
            if state.over or (isinstance(state.step, Work) and not state.whole):
                self._keep(asked, state, answers)
        return state.record

    def _as_far_as_known(self, asked: _Asked, plan: Plan, answers: Answers, at: datetime) -> State:
        """To its end, or to the beginning of the last set up to which another session went the same way."""
        for number in range(_ALL, 0, -1):
            for matched, state in self._kept.get((asked, _said_before(number, answers)), ()):
                record = state.record.on(at)
                if matching_rules(plan.before, record, plan.book, "check_in") == matched:
                    return state._replace(plan=plan, record=record)
        return first_state(plan, at)

    def _keep(self, asked: _Asked, state: State, answers: Answers) -> None:
        matched = matching_rules(state.plan.before, state.record, state.plan.book, "check_in")
        number = state.step.number if isinstance(state.step, Work) and not state.over else _ALL
        self._kept.setdefault((asked, _said_before(number, answers)), []).append((matched, state))


def _asked(plan: Plan, at: datetime) -> _Asked:
    """Everything that a session hangs on but the answers and the rules of its check-in."""
    step, before = plan.step, plan.before
    due = bool(activities_due(plan, at))
    return (
        step.grade,
        step.strands,
        step.distance_cm,
        goal_on(plan, at),
        about_last(plan, at),
        gap_share(plan, at),
        before.eased,
        due,
    )


def _said_before(number: int, answers: Answers) -> _Asked:
    """The answers that can be said before a set is begun, among them whether it is begun at all."""
    given, done = answers.answer.items(), answers.repetitions.items()
    if number == _ALL:
        return number, *given, *done
    later = tuple(step_names.in_set(each, "") for each in range(number, _ALL))
    said = (one for one in given if not one[0].startswith(later) or one[0].endswith(step_names.SKIP))
    return number, *said, *(one for one in done if int(one[0]) < number)

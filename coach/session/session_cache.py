"""A cache of rehearsed sessions, so that the same answers at the same load are not run twice."""

from datetime import datetime

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.base import MOST_SETS
from coach.model.record import Record
from coach.progression.facts import gap_share
from coach.progression.state_machine import matching_rules
from coach.session.plan import Plan, about_last, activities_due, days_since_last, goal_on
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.script import Work
from coach.session.state import State

_Key = tuple[object, ...]
_ALL = MOST_SETS + 1


class SessionCache:
    """Rehearsed sessions of one client on one ladder; a new one starts from the longest known common part.

    The course of a session depends on what is asked, on the answers so far, and on the client's history in three
    ways only: whether there was a session before, whether the load was made easier and not tried yet, and which
    rules of the check-in match. The rules of a set use nothing from before the session.
    """

    def __init__(self) -> None:
        self._states: dict[_Key, list[tuple[tuple[str, ...], State]]] = {}

    def rehearse(self, plan: Plan, answers: Answers, at: datetime) -> Record:
        """The record of a session with these answers.

        Its entries, and the decision in the closing entry, may be those of an earlier day with the same answers.
        """
        key = _plan_key(plan, at)
        known = self._longest_known(key, plan, answers, at)
        if known.over:
            return known.record
        state = known
        for state in rehearsed_states(known, answers):
            if state.over or (isinstance(state.step, Work) and not state.whole):
                self._add(key, state, answers)
        return state.record

    def _longest_known(self, key: _Key, plan: Plan, answers: Answers, at: datetime) -> State:
        """The end of a known session with the same answers, else the start of the last set with a common course."""
        for number in range(_ALL, 0, -1):
            for matched, state in self._states.get((key, _answers_before(number, answers)), ()):
                record = state.record.on(at)
                if matching_rules(plan.before, record, plan.book, "check_in") == matched:
                    return state._replace(plan=plan, record=record)
        return first_state(plan, at)

    def _add(self, key: _Key, state: State, answers: Answers) -> None:
        matched = matching_rules(state.plan.before, state.record, state.plan.book, "check_in")
        number = state.step.number if isinstance(state.step, Work) and not state.over else _ALL
        self._states.setdefault((key, _answers_before(number, answers)), []).append((matched, state))


def _plan_key(plan: Plan, at: datetime) -> _Key:
    """Everything that a session depends on except the answers and the rules of its check-in."""
    step, before = plan.step, plan.before
    due = bool(activities_due(plan, at))
    return (
        step.grade,
        step.strands,
        step.distance_cm,
        goal_on(plan, at),
        about_last(plan, at),
        gap_share(days_since_last(plan, at) or 0, plan.limits),
        before.eased,
        plan.lessons,
        plan.form_of_sets,
        plan.trial_due,
        due,
    )


def _answers_before(number: int, answers: Answers) -> _Key:
    """The answers that can matter before set `number` starts, including which sets are skipped."""
    answered, repetitions = answers.answer.items(), answers.repetitions.items()
    if number == _ALL:
        return number, answers.trial_s, *answered, *repetitions
    later = tuple(step_names.in_set(each, "") for each in range(number, _ALL))
    earlier = (one for one in answered if not one[0].startswith(later) or one[0].endswith(step_names.SKIP))
    return number, answers.trial_s, *earlier, *(one for one in repetitions if int(one[0]) < number)

"""A simulated client whose answers depend on strength, learning and chance.

Random numbers from 0 to 1 are passed in. All values are our own assumptions; none was measured.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.session.plan import Plan

Chance = Callable[[], float]
# The load falls by a thirtieth of itself for each additional repetition: Epley B, 1985 (memory).
_REPETITIONS_TO_ZERO = 30
_TWO_MORE = 2


@dataclass(frozen=True)
class VirtualClient:
    """A virtual client. `strength_nm`: the mean torque that the client can overcome once. Shares are from 0 to 1."""

    strength_nm: float
    gain: float = 0.003  # of the strength, for each session done
    variation: float = 0.05  # standard deviation of the strength of a day, as a share
    fault: float = 0.30  # share of sets with a fault in the first session
    fault_at_last: float = 0.03
    learning_sessions: float = 6.0
    soreness: float = 0.05  # share of check-ins at which the pain of the last session has not settled
    missed: float = 0.15  # share of training days left out

    def trained(self) -> "VirtualClient":
        """The client after one more session."""
        return replace(self, strength_nm=self.strength_nm * (1 + self.gain))

    def strength_today_nm(self, chance: Chance) -> float:
        """The strength on one day, in newton metres."""
        return self.strength_nm * max(0.5, 1 + self.variation * normal(chance))

    def fault_share(self, sessions: int) -> float:
        """The probability of a fault in a set after so many sessions."""
        rest = self.fault - self.fault_at_last
        return self.fault_at_last + rest * math.exp(-sessions / self.learning_sessions)


def normal(chance: Chance) -> float:
    """A random number with the standard normal distribution (Box and Muller 1958)."""
    return math.sqrt(-2 * math.log(1 - chance())) * math.cos(2 * math.pi * chance())


def clean_repetitions(strength_nm: float, load_nm: float) -> int:
    """The repetitions that a strength allows at a load, both in newton metres."""
    return max(0, math.floor(_REPETITIONS_TO_ZERO * (strength_nm / load_nm - 1)))


def virtual_answers(client: VirtualClient, plan: Plan, strength_nm: float, chance: Chance) -> Answers:
    """The client's answers of one session.

    If the strength allows fewer repetitions than the bottom of the range, the end range is lost more than once; if
    it allows fewer than the goal, the sets end early.
    """
    dose, goal, questions = plan.prescription.dose, plan.repetitions, plan.content.questions
    good_for = clean_repetitions(strength_nm, plan.step.mean_nm)
    answers: dict[str, int | str] = {}
    if plan.before.last_session is not None and chance() < client.soreness:
        answers[step_names.SETTLED] = "not_yet"
    asked = [questions[name] for name in plan.position.questions]
    for number in range(1, dose.sets + 1):
        for question in asked:
            lost = good_for < dose.repetitions_min and question.when_too_heavy
            if not lost and chance() >= client.fault_share(plan.before.sessions) / len(asked):
                continue
            answers[step_names.in_set(number, question.name)] = "more_than_once" if lost else "once"
    if good_for < goal + _TWO_MORE:
        answers[step_names.TWO_MORE] = "no"
    short = {str(number): max(good_for, 1) for number in range(1, dose.sets + 1)} if good_for < goal else {}
    return Answers.model_construct(format=1, answer=answers, repetitions=short)

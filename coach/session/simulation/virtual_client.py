"""A simulated client whose answers depend on strength, learning, pain and chance.

Random numbers from 0 to 1 are passed in. What is assumed stands in content/limits.toml, under names that begin with
forecast_.
"""

import math
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.session.plan import Plan

Chance = Callable[[], float]
# The load falls by a thirtieth of itself for each additional repetition: Epley B, 1985 (memory).
_REPETITIONS_TO_ZERO = 30
_TWO_MORE = 2


class VirtualClient(Struct, frozen=True):
    """A virtual client. Shares are from 0 to 1, pain from 0 to 10.

    `strength_nm` is the mean torque that the client can overcome once, `usual_pain` the level around which pain
    wavers; `sore_until` is when a rise of pain is over, and from `idle_from` on strength is lost.
    """

    strength_nm: float
    usual_pain: float
    gain: float
    gain_share: float
    keep_days: float
    loss: float
    variation: float
    fault: float
    fault_at_last: float
    learning_sessions: float
    pain_deviation: float
    flare: float
    flare_over: float
    flare_points: float
    flare_days: float
    unsettled: float
    missed: float
    away: float
    away_days: float
    sore_until: datetime | None = None
    idle_from: datetime | None = None

    @classmethod
    def assumed(cls, strength_nm: float, usual_pain: float, limits: Mapping[str, float]) -> "VirtualClient":
        """A client of this strength and usual pain, for the rest as the content assumes."""
        return cls(
            strength_nm=strength_nm,
            usual_pain=usual_pain,
            gain=limits["forecast_gain"],
            gain_share=limits["forecast_gain_share"],
            keep_days=limits["forecast_keep_days"],
            loss=limits["forecast_loss"],
            variation=limits["forecast_variation"],
            fault=limits["forecast_fault_first"],
            fault_at_last=limits["forecast_fault_last"],
            learning_sessions=limits["forecast_learning"],
            pain_deviation=limits["forecast_pain_sd"],
            flare=limits["forecast_flare"],
            flare_over=limits["forecast_flare_over"],
            flare_points=limits["forecast_flare_points"],
            flare_days=limits["forecast_flare_days"],
            unsettled=limits["forecast_unsettled"],
            missed=limits["forecast_missed"],
            away=limits["forecast_away"],
            away_days=limits["forecast_away_days"],
        )

    def on(self, at: datetime) -> "VirtualClient":
        """The client at this time, with the strength that the days away have left."""
        if self.idle_from is None or at <= self.idle_from:
            return self
        weeks = (at - self.idle_from) / timedelta(weeks=1)
        return replace(self, strength_nm=self.strength_nm * (1 - self.loss) ** weeks, idle_from=at)

    def trained(self, load_nm: float, done: float, over: bool, at: datetime, chance: Chance) -> "VirtualClient":
        """The client after a session: stronger by the load and the share `done` of its sets, and perhaps sore.

        `over` says whether the load was above the strength of the day.
        """
        full = min(load_nm / self.strength_nm / self.gain_share, 1.0)
        flares = chance() < (self.flare_over if over else self.flare)
        return replace(
            self,
            strength_nm=self.strength_nm * (1 + self.gain * full * done),
            idle_from=at + timedelta(days=self.keep_days),
            sore_until=at + timedelta(days=self.flare_days) if flares else self.sore_until,
        )

    def strength_today_nm(self, chance: Chance) -> float:
        """The strength on one day, in newton metres."""
        return self.strength_nm * max(0.5, 1 + self.variation * normal(chance))

    def pain_at(self, at: datetime, chance: Chance) -> int:
        """One answer to pain: the level of that day, and the scatter of the answer."""
        sore = self.sore_until is not None and at < self.sore_until
        level = self.usual_pain + (self.flare_points if sore else 0.0)
        return min(max(round(level + self.pain_deviation * normal(chance)), 0), 10)

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


def virtual_answers(client: VirtualClient, plan: Plan, strength_nm: float, at: datetime, chance: Chance) -> Answers:
    """The client's answers of one session.

    If the strength allows fewer repetitions than the bottom of the range, the end range is lost more than once; if
    it allows fewer than the goal, the sets end early. Pain is drawn twice: for the check-in, and for the sets.
    """
    dose, goal, questions = plan.prescription.dose, plan.repetitions, plan.content.questions
    good_for = clean_repetitions(strength_nm, plan.step.mean_nm)
    answers: dict[str, int | str] = {
        step_names.PAIN_NOW: client.pain_at(at, chance),
        step_names.PAIN: client.pain_at(at, chance),
    }
    if plan.before.last_session is not None and chance() < client.unsettled:
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

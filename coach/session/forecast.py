"""Virtual lives: the very script, runner and machine, with made-up answers and a made-up calendar."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from coach.mechanics.ladder import find_step
from coach.model.instruction import SignOff
from coach.progression.apply_instructions import apply_instruction
from coach.progression.state_machine import advance
from coach.session.plan import Plan
from coach.session.session_cache import GoneThrough
from coach.session.virtual_client import Chance, VirtualClient, answers_of, clean_repetitions

LOOKS_AFTER = timedelta(days=3)
"""How soon a therapist ends a review: ours."""


@dataclass(frozen=True)
class Lived:
    """One session of a virtual life: the week it fell in, its load, and whether that was over the strength."""

    week: int
    mean_nm: float
    over: bool
    rule: str


def live(
    plan: Plan, client: VirtualClient, weeks: int, chance: Chance, first: datetime, gone_through: GoneThrough
) -> Iterator[Lived]:
    """The sessions of some weeks from today's state on. The position stays: a review is ended, nothing unlocked."""
    looked_at = first
    for week in range(weeks):
        for at in _days(plan, first + timedelta(weeks=week)):
            if chance() < client.missed or at < looked_at:
                continue
            strength_nm = client.strength_today_nm(chance)
            record = gone_through.session(plan, answers_of(client, plan, strength_nm, chance), at)
            judged = advance(plan.before, record, plan.book)
            step, bottom = record.rungs.step, record.dose.repetitions_min
            over = clean_repetitions(strength_nm, step.mean_nm) < bottom
            yield Lived(week, step.mean_nm, over, judged.decision.rule)
            client = client.trained() if record.sets_done else client
            progress = judged.after
            if progress.status == "review":
                looked_at = at + LOOKS_AFTER
                word = SignOff(at=looked_at, initials="XX", what="end_review", reason="simulated")
                progress = apply_instruction(progress, word, plan.prescription, plan.book)
            load = progress.load or plan.step
            plan = replace(plan, before=progress, step=find_step(plan.ladder, load) or plan.ladder.steps[0])


def _days(plan: Plan, first: datetime) -> list[datetime]:
    """The training days of a week, as evenly apart as the days a week allow."""
    number = plan.prescription.dose.days_a_week
    return [first + timedelta(days=7 * day // number) for day in range(number)]

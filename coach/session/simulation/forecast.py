"""Simulated weeks of training: the same script, runner and rules, with the answers of a virtual client."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from coach.mechanics.ladder import find_step
from coach.model.instruction import Instruction
from coach.progression.apply_instructions import apply_instruction
from coach.progression.state_machine import advance
from coach.session.plan import Plan
from coach.session.session_cache import SessionCache
from coach.session.simulation.virtual_client import Chance, VirtualClient, clean_repetitions, virtual_answers


class SimulatedSession(Struct, frozen=True):
    """One simulated session: its week, its mean torque, whether that was too heavy, and the rule that decided it.

    `over`: the strength of the day was enough for fewer repetitions than the bottom of the range.
    """

    week: int
    mean_nm: float
    over: bool
    rule: str


def simulate_sessions(
    plan: Plan, client: VirtualClient, weeks: int, chance: Chance, first: datetime, cache: SessionCache
) -> Iterator[SimulatedSession]:
    """Simulate the sessions of `weeks` weeks, from the state of the plan on.

    The position stays the same: the simulated therapist ends every review and clears no position.

    Args:
        plan: where the client stands today.
        client: the virtual client.
        weeks: how many weeks to simulate.
        chance: a source of random numbers from 0 to 1.
        first: the day and time of the first session.
        cache: sessions already rehearsed for this client on this ladder.
    """
    back = first
    for week in range(weeks):
        monday = first + timedelta(weeks=week)
        if chance() < client.away:
            back = max(back, monday + timedelta(days=client.away_days))
        for at in _days(plan, monday):
            if chance() < client.missed or at < back:
                continue
            client = client.on(at)
            strength_nm = client.strength_today_nm(chance)
            record = cache.rehearse(plan, virtual_answers(client, plan, strength_nm, at, chance), at)
            judged_record = advance(plan.before, record, plan.book)
            step, bottom = record.rungs.step, record.dose.repetitions_min
            over = clean_repetitions(strength_nm, step.mean_nm) < bottom
            yield SimulatedSession(week, step.mean_nm, over, judged_record.decision.rule)
            if record.sets_done:
                client = client.trained(step.mean_nm, len(record.sets_done) / record.dose.sets, over, at, chance)
            progress = judged_record.after
            if progress.status == "review":
                ended = at + timedelta(days=plan.limits["forecast_review_days"])
                back = max(back, ended)
                instruction = Instruction(at=ended, initials="XX", what="end_review", reason="simulated")
                progress = apply_instruction(progress, instruction, plan.prescription, plan.book)
            load = progress.load or plan.step
            plan = replace(
                plan,
                before=progress,
                step=find_step(plan.ladder, load) or plan.ladder.with_interval(plan.ladder.found[0]),
            )


def _days(plan: Plan, first: datetime) -> list[datetime]:
    """The training days of a week, spread as evenly as possible."""
    number = plan.prescription.dose.days_a_week
    return [first + timedelta(days=7 * day // number) for day in range(number)]

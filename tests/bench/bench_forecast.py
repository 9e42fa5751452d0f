"""The policy against a fixed weekly increase and "one grade up when it feels easy".

Run as `python tests/bench/bench_forecast.py`.

All three see the same virtual clients with the same luck. Prints, for each: the share of sessions at a load over the
strength of that day, the swings (a step up followed by a step down), the weeks to the target, and sessions a second
of one core, for ours also where every session is gone through whole; without pain, and with a pain that scatters.
"""

import statistics
import time
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from itertools import pairwise
from random import Random

from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.mechanics.ladder import rungs
from coach.model.load_step import LoadStep
from coach.model.progress import Progress
from coach.session.plan import Plan, plan_session
from coach.session.session_cache import SessionCache
from coach.session.simulation.forecast import simulate_sessions
from coach.session.simulation.virtual_client import VirtualClient, clean_repetitions
from tests.mechanics.clients import prescription, profile
from tests.session.whole import Whole

LIVES, WEEKS, FIRST = 400, 12, datetime(2026, 3, 2, 18, tzinfo=timezone(timedelta(hours=1)))
Policy = Callable[[Plan, VirtualClient, Random], Iterator[tuple[int, float, bool]]]


def ours(way: SessionCache) -> Policy:
    """The rules, through script and runner."""

    def policy(plan: Plan, client: VirtualClient, random: Random) -> Iterator[tuple[int, float, bool]]:
        for one in simulate_sessions(plan, client, WEEKS, random.random, FIRST, way):
            yield one.week, one.mean_nm, one.over

    return policy


def weekly(plan: Plan, client: VirtualClient, random: Random) -> Iterator[tuple[int, float, bool]]:
    """One step of the ladder up every week, whatever happens; back a step after a session that was too heavy."""
    yield from _simple(plan, client, random, lambda week, last, _: week > last)


def when_easy(plan: Plan, client: VirtualClient, random: Random) -> Iterator[tuple[int, float, bool]]:
    """The next heavier grade at the same mark as soon as the top of the range leaves five to spare."""
    grades = [band.name for band in plan.profile.bands]

    def heavier(step: LoadStep) -> LoadStep | None:
        wanted = grades[grades.index(step.grade) + 1 :]
        found = [one for one in plan.ladder.steps if one.grade in wanted and one.distance_cm == step.distance_cm]
        return min(found, key=lambda one: one.mean_nm, default=None)

    yield from _simple(plan, client, random, lambda _, __, spare: spare >= 5, heavier)


def _simple(
    plan: Plan,
    client: VirtualClient,
    random: Random,
    up: Callable[[int, int, int], bool],
    heavier: Callable[[LoadStep], LoadStep | None] | None = None,
) -> Iterator[tuple[int, float, bool]]:
    step, came_from, last_rise = plan.step, plan.step, 0
    dose = plan.prescription.dose
    for week in range(WEEKS):
        for day in range(dose.days_a_week):
            if random.random() < client.missed:
                continue
            at = FIRST + timedelta(weeks=week, days=7 * day // dose.days_a_week)
            client = client.on(at)
            hurt = client.pain_at(at, random.random) > plan.limits["pain_max"]
            good_for = clean_repetitions(client.strength_today_nm(random.random), step.mean_nm)
            over = good_for < dose.repetitions_min
            yield week, step.mean_nm, over
            client = client.trained(step.mean_nm, 1.0, over, at, random.random)
            if over or hurt:
                step, last_rise = came_from, week
            elif up(week, last_rise, good_for - dose.repetitions_max):
                following = heavier(step) if heavier else rungs(plan.ladder, step).next_step
                came_from, step, last_rise = step, following or step, week


def figures(policy: Policy, plan: Plan, pain: float) -> tuple[float, float, float, float, float]:
    """Share over the strength, swings a life, share that reach the target, weeks to it, sessions a second.

    `pain` is the usual level; where it is above 0 it scatters and flares as the forecast assumes.
    """
    over, swings, reached, sessions, began = [], [], [], 0, time.process_time()
    for seed in range(LIVES):
        random = Random(seed)
        client = VirtualClient.assumed(plan.step.mean_nm * random.uniform(1.4, 2.2), pain, plan.limits)
        if not pain:
            client = replace(client, pain_deviation=0.0, flare=0.0, flare_over=0.0)
        target_nm = client.strength_nm / (1 + plan.prescription.dose.repetitions_max / 30)
        lived = list(policy(plan, client, random))
        sessions += len(lived)
        over += [one[2] for one in lived]
        moves = [later - earlier for (_, earlier, _), (_, later, _) in pairwise(lived) if later != earlier]
        swings.append(sum(1 for one, other in pairwise(moves) if one > 0 > other))
        reached.append(next((week + 1 for week, mean_nm, _ in lived if mean_nm >= 0.97 * target_nm), None))
    weeks = [week for week in reached if week is not None]
    seconds = time.process_time() - began
    return (
        100 * sum(over) / len(over),
        statistics.mean(swings),
        100 * len(weeks) / LIVES,
        statistics.median(weeks) if weeks else float("nan"),
        sessions / seconds,
    )


def main() -> None:
    """Print the table."""
    content, client, set_by = load_content(content_folder(), "en"), profile(rest_m=0.75), prescription()
    begun = Progress(exercise="external_rotation", position="0", repetitions=set_by.dose.repetitions_min)
    lowest = plan_session(client, set_by, content, begun)
    before = begun.model_copy(update={"load": lowest.ladder.steps[len(lowest.ladder.steps) // 4]})
    plan = plan_session(client, set_by, content, before)
    print(f"{LIVES} lives of {WEEKS} weeks, seeds 0 to {LIVES - 1}, from {plan.step.mean_nm:.2f} Nm")
    policies: dict[str, Policy] = {
        "ours": ours(SessionCache()),
        "ours, whole": ours(Whole()),
        "weekly": weekly,
        "when easy": when_easy,
    }
    for pain in (0.0, plan.limits["forecast_pain"]):
        print(f"usual pain {pain:g}{', which scatters and at times lasts' if pain else ''}")
        print("policy       over, %  swings  at target, %  weeks  sessions/s")
        for name, policy in policies.items():
            over, swings, reached, weeks, speed = figures(policy, plan, pain)
            print(f"{name:<12} {over:7.1f}  {swings:6.2f}  {reached:12.0f}  {weeks:5.1f}  {speed:10.0f}")


if __name__ == "__main__":
    main()

"""The client's next twelve weeks as a fan of simulated courses, labelled as a simulation."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from random import Random
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from coach.drawing.plots.axes import even_ticks, numeric_axis
from coach.drawing.plots.plot import Line, Marks, Plot, Spread
from coach.drawing.plots.plot_rows import plot_lines
from coach.mechanics.first_step import known_strength_nm, measured_strength_nm
from coach.model.measured.measured_course import MeasuredCourse
from coach.model.message_format import fill
from coach.overview.measured_sets.course_lines import forecast_line
from coach.overview.text_columns import text_columns
from coach.progression.decision_messages import load_placeholders
from coach.reports.text.layout import columns, heading, nm, paragraph
from coach.session.plan import Plan
from coach.session.session_cache import SessionCache
from coach.session.simulation.forecast import SimulatedSession, simulate_sessions
from coach.session.simulation.virtual_client import VirtualClient

WEEKS, LIVES = 12, 40
_PLOT_HEIGHT = 14
# The assumptions that the text names, by the limits forecast_...
_PERCENTS = ("gain", "gain_share", "loss", "variation", "flare", "flare_over", "unsettled", "missed", "away")
_NUMBERS = ("keep_days", "pain_sd", "flare_points", "flare_days", "away_days")


_UNMEASURED = MeasuredCourse()


class Fan(Struct, frozen=True):
    """The simulated courses, and the range of strengths they started with, in newton metres or newtons."""

    lives: tuple[tuple[SimulatedSession, ...], ...]
    low_nm: float
    high_nm: float

    def of_week(self, week: int) -> list[float]:
        """The load of each course at the end of a week, lowest first."""
        lasts = ([one.mean_nm for one in life if one.week <= week] for life in self.lives)
        return sorted(loads[-1] for loads in lasts if loads)


def fan(plan: Plan, seed: int, now: datetime, lives: int, weeks: int = WEEKS) -> Fan:
    """Simulate courses from today's state; the same seed gives the same fan."""
    random = Random(seed)
    last = plan.before.last_session
    first = max(now, last + timedelta(days=2)) if last is not None else now
    pain = usual_pain(plan)
    clients = [VirtualClient.assumed(random.uniform(*_strengths_nm(plan)), pain, plan.limits) for _ in range(lives)]
    gone = SessionCache()
    lived = tuple(tuple(simulate_sessions(plan, client, weeks, random.random, first, gone)) for client in clients)
    strengths = [client.strength_nm for client in clients]
    return Fan(lived, min(strengths), max(strengths))


def _strengths_nm(plan: Plan) -> tuple[float, float]:
    """The strengths of the lives: the measured one with its error either way, else a range around today's load."""
    limits, measured_nm = plan.limits, known_strength_nm(plan.profile, plan.position)
    if measured_nm is None:
        load_nm = plan.step.mean_nm
        return load_nm * limits["forecast_strength_low"], load_nm * limits["forecast_strength_high"]
    error = limits["strength_error"]
    return measured_nm * (1 - error), measured_nm * (1 + error)


def usual_pain(plan: Plan) -> float:
    """The level of pain of the lives: the client's usual one, else the last check-in, else the assumed one."""
    before = plan.before
    if before.usual_pain is not None:
        return before.usual_pain
    return before.pains[-1].pain if before.pains else plan.limits["forecast_pain"]


def forecast_text(
    plan: Plan, seed: int, now: datetime, lives: int | None = None, measured: MeasuredCourse = _UNMEASURED
) -> str:
    """The forecast as text, at most 80 columns wide; `measured` is what a sensor saw so far.

    `lives`: how many clients are simulated; None for LIVES.
    """
    lives = LIVES if lives is None else lives
    # The simulation starts as if the therapist had ended a review.
    begun = replace(plan, before=plan.before.model_copy(update={"status": "active"}))
    made, messages = fan(begun, seed, now, lives), plan.content.messages.therapist.forecast
    tenths, values = _tenths(made), {**_values(plan, made), "lives": lives, "seed": seed}
    lines = [*heading(fill(messages.title, values)), *paragraph(fill(messages.simulation, values))]
    lines += [
        *paragraph(fill(messages.today, values)),
        "",
        *paragraph(fill(messages.drawn, values)),
        *_plot(tenths, plan.step.mean_nm, messages.title),
        "",
        *_table(tenths, tuple(fill(head, values) for head in messages.columns)),
    ]
    lines += ["", *paragraph(fill(messages.over, values)), *paragraph(fill(messages.speed, values)), ""]
    assumed = (
        fill(messages.strength[_strength_from(plan)], values),
        fill(messages.training, values),
        *forecast_line(measured, plan.content),
        fill(messages.pain, values),
        messages.sources,
    )
    lines += [*heading(messages.assumed_title), *(line for text in assumed for line in ("", *paragraph(text)))]
    return "\n".join(lines) + "\n"


def _values(plan: Plan, made: Fan) -> dict[str, object]:
    """The values that the messages of the forecast are filled with."""
    sessions, limits = [one for life in made.lives for one in life], plan.limits
    return {
        "profile": plan.profile.name,
        "weeks": WEEKS,
        "position": plan.content.position_label(plan.position.name, plan.before.exercise),
        "unit": plan.position.load_unit,
        "low": nm(made.low_nm),
        "high": nm(made.high_nm),
        "pain": f"{usual_pain(plan):g}",
        "days": round(limits["forecast_review_days"]),
        **{name: f"{limits[f'forecast_{name}'] * 100:g}" for name in _PERCENTS},
        **{name: f"{limits[f'forecast_{name}']:g}" for name in _NUMBERS},
        **load_placeholders(plan.step, plan.content),
        "sessions": len(sessions),
        "share": f"{100 * sum(one.over for one in sessions) / max(len(sessions), 1):.1f}",
    }


def _strength_from(plan: Plan) -> Literal["here", "elsewhere", "load"]:
    """What the strength of the lives is taken from."""
    if measured_strength_nm(plan.profile, plan.position) is not None:
        return "here"
    return "load" if known_strength_nm(plan.profile, plan.position) is None else "elsewhere"


def _tenths(made: Fan) -> dict[int, tuple[float, float, float]]:
    """The 10th, 50th and 90th percentile of the load at the end of each week that anyone came to."""
    weeks = ((week, made.of_week(week)) for week in range(WEEKS))
    return {week + 1: (_part(loads, 0.1), _part(loads, 0.5), _part(loads, 0.9)) for week, loads in weeks if loads}


def _plot(tenths: Mapping[int, tuple[float, float, float]], today_nm: float, like: str) -> list[str]:
    """The load over the weeks: the median as a line, and the spread between the tenths."""
    highs = [high for _, _, high in tenths.values()]
    up = even_ticks(0.0, max([today_nm, *highs]), _PLOT_HEIGHT // 2, _PLOT_HEIGHT)
    spread = Spread(tuple((float(week), low, high) for week, (low, _, high) in tenths.items()))
    line = Line(((0.0, today_nm), *((float(week), middle) for week, (_, middle, _) in tenths.items())))
    x_axis, y_axis = numeric_axis(range(WEEKS + 1), like), numeric_axis(up, like)
    today = Marks(((0.0, today_nm),), "●")
    return plot_lines(Plot(x_axis, y_axis, (spread,), (line,), (today,)), text_columns(), _PLOT_HEIGHT)


def _table(tenths: Mapping[int, tuple[float, float, float]], head: tuple[str, ...]) -> list[str]:
    """The percentiles of every second week."""
    rows = [[str(week), *map(nm, of_week)] for week, of_week in tenths.items() if week % 2 == 0]
    return columns([head, *rows], head[0], left=0)


def _part(loads: list[float], part: float) -> float:
    return loads[round(part * (len(loads) - 1))]

"""The next session beside what it would be: where the client stands, the script, and what it could lead to."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.steering import SteeringWords
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.overview.comparison import Part, compare
from coach.overview.comparison_text import Headings, compare_lines
from coach.progression.decision_messages import load_placeholders
from coach.reports.text.decision_table import table_rows
from coach.reports.text.layout import WIDTH, paragraph
from coach.reports.text.preview import script_lines
from coach.session.plan import Plan, open_record, plan_session
from coach.session.set_words import tempo_values


@dataclass(frozen=True)
class NextSession:
    """Lines, none wrapped yet."""

    standing: tuple[str, ...]
    script: tuple[str, ...]
    leads: tuple[str, ...]


def next_session(
    profile: Profile, prescription: Prescription, progress: Progress, content: Content, at: datetime
) -> NextSession:
    """The next session; where there can be none, why."""
    words = content.words.of(SteeringWords)
    state = tuple(_state(prescription, progress, content))
    try:
        plan = plan_session(profile, prescription, content, progress)
    except NoSession as none:
        return NextSession(state, (fill(words.no_session, {"why": str(none)}),), ())
    state = (*state, *_asked(plan))
    if progress.status == "review":
        return NextSession(state, (words.none_while_in_review,), ())
    record = open_record(plan, at)
    script = tuple(text for _, texts in script_lines(plan, record) for text in texts)
    leads = tuple(", ".join(cells) for cells in table_rows(plan, at))
    return NextSession(state, script, leads)


def _state(prescription: Prescription, progress: Progress, content: Content) -> Iterator[str]:
    """What does not depend on the load ladder."""
    words = content.words.of(SteeringWords)
    state, dose = words.state, prescription.dose
    yield words.status[progress.status]
    yield fill(state.goal, {"goal": prescription.goal})
    positions = ", ".join(map(str, prescription.positions))
    yield fill(state.position, {"position_deg": progress.position_deg, "positions": positions})
    values = {"sets": dose.sets, "least": dose.repetitions_min, "most": dose.repetitions_max, "rest": dose.rest_s}
    repetitions = min(max(progress.repetitions, dose.repetitions_min), dose.repetitions_max)
    yield fill(state.dose, {**values, "repetitions": repetitions, "days": dose.days_a_week})
    yield fill(state.tempo, tempo_values(content, prescription.exercise, dose.tempo))
    if progress.frozen:
        until = progress.frozen_until
        yield fill(state.frozen, {"until": until}) if until else state.frozen_open
    for cap in progress.range_caps:
        yield fill(state.range_cap, {"available_deg": f"{cap.available_deg:g}", "position_deg": cap.position_deg})
    if progress.position_cap_deg is not None:
        yield fill(state.position_cap, {"position_deg": progress.position_cap_deg})
    if progress.strengthening_allowed:
        yield state.allowed
    values_now = content.limit_values(prescription.limits)
    for limit in content.limits:
        if values_now[limit.name] != limit.value:
            said = {"name": limit.name, "value": f"{values_now[limit.name]:g}", "unit": limit.unit}
            yield fill(state.limit, said)


def _asked(plan: Plan) -> Iterator[str]:
    """The load step, and the bands where not all of them are used."""
    state = plan.content.words.of(SteeringWords).state
    yield fill(state.load, load_placeholders(plan.step, plan.content))
    if plan.prescription.bands:
        yield fill(state.bands, {"bands": ", ".join(band.name for band in plan.profile.bands)})


def parts(before: NextSession, after: NextSession, words: SteeringWords) -> tuple[Part, ...]:
    """The comparison, part by part; parts without a line are left out."""
    both = (
        (words.standing, before.standing, after.standing),
        (words.script, before.script, after.script),
        (words.leads, before.leads, after.leads),
    )
    return tuple(Part(title, compare(one, other)) for title, one, other in both if one or other)


def comparison_text(compared: tuple[Part, ...], words: SteeringWords) -> str:
    """The parts that differ, side by side, at most 80 columns wide."""
    lines = compare_lines(compared, Headings(words.before, words.after, words.alike), WIDTH)
    return "\n".join(lines or paragraph(words.nothing)) + "\n"

"""The next session compared with another one: the client's state, the script, and the possible decisions."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from functools import partial
from math import ceil

from msgspec import Struct

from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.therapist import SteeringMessages
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Ended
from coach.overview.comparison import ComparisonPart, compare
from coach.overview.comparison_text import ComparisonHeadings, comparison_lines
from coach.overview.text_columns import text_columns
from coach.progression.decision_messages import load_placeholders
from coach.progression.state_machine import advance
from coach.reports.text.decision_table import DecisionRow, decision_table
from coach.reports.text.layout import paragraph
from coach.reports.text.preview import decision_lines, no_session_lines, script_lines
from coach.session.admission.admit import admit
from coach.session.admission.client_conditions import awaiting_permission
from coach.session.phrases import tempo_values
from coach.session.plan import Plan, open_record
from coach.session.rehearsal import rehearse

_DAYS_PER_WEEK = 7


class NextSession(Struct, frozen=True):
    """The unwrapped lines of a session."""

    state: tuple[str, ...]
    script: tuple[str, ...]
    decisions: tuple[str, ...]
    no_session: str = ""
    """Why none may start, and what to do; empty where one may."""


def next_session(
    profile: Profile, prescription: Prescription, progress: Progress, content: Content, at: datetime
) -> NextSession:
    """The lines of the next session; if none is possible, the reason instead of the script."""
    messages = content.messages.therapist.steering
    state = tuple(_state(profile, prescription, progress, content, at.date()))
    admission = admit(profile, prescription, content, progress, at)
    plan, why = admission.plan, admission.sentence
    state = (*state, *(_load_lines(plan) if plan is not None else ()))
    if plan is None or not admission.may_start:
        return NextSession(state, (fill(messages.no_session, {"why": why}),), (), why)
    record = open_record(plan, at)
    script = tuple(text for _, texts in script_lines(plan, record) for text in texts)
    decisions = tuple(_lead(row, plan) for row in decision_table(plan, at))
    return NextSession(state, script, decisions)


def _lead(row: DecisionRow, plan: Plan) -> str:
    """What one kind of session would lead to, in words; where training stands after it only if it does not go on."""
    messages, decision = plan.content.messages.therapist, row.decision
    status = messages.decision_table.status[decision.status]
    values = {
        **load_placeholders(decision.load, plan.content),
        "kind": messages.decision_table.kind[row.kind],
        "move": plan.content.messages.client.scale.move[decision.move],
        "repetitions": decision.repetitions,
        "status": "" if decision.status == "active" else f", {status}",
    }
    return fill(messages.steering.lead, values)


def _state(
    profile: Profile, prescription: Prescription, progress: Progress, content: Content, today: date
) -> Iterator[str]:
    """The lines that do not depend on the load ladder."""
    messages = content.messages.therapist.steering
    state, dose = messages.state, prescription.dose_at(progress.position)
    yield messages.status[progress.status]
    yield fill(state.goal, {"goal": prescription.goal})
    label = partial(content.position_label, exercise=prescription.exercise)
    positions = ", ".join(one if one.isdecimal() else label(one) for one in prescription.positions)
    yield fill(state.position, {"position": label(progress.position), "positions": positions})
    values = {"sets": dose.sets, "least": dose.repetitions_min, "most": dose.repetitions_max, "rest": dose.rest_s}
    repetitions = dose.within_range(progress.repetitions)
    yield fill(state.dose, {**values, "repetitions": repetitions, "days": dose.days_a_week})
    yield fill(state.tempo, tempo_values(content, prescription.exercise, dose.tempo))
    if progress.is_frozen_on(today):
        until = progress.frozen_until
        yield fill(state.frozen, {"until": until}) if until else state.frozen_open
    coordinate = content.exercise(prescription.exercise).positions[0].coordinate
    along = content.messages.therapist.along[coordinate]
    for cap in progress.range_caps:
        yield fill(
            state.range_cap,
            {"available_deg": f"{cap.available_deg:g}", "along": along, "position": label(cap.position)},
        )
    if progress.position_cap is not None:
        yield fill(state.position_cap, {"position": label(progress.position_cap)})
    if progress.may_strengthen and not any(awaiting_permission(profile, content, progress)):
        yield state.allowed
    values_now = content.limit_values(prescription.limits)
    if progress.night_pain_known_on is not None:
        until = progress.night_pain_known_on + timedelta(days=values_now["night_pain_days"] - 1)
        yield fill(state.night_pain, {"until": until.isoformat()})
    for limit in content.limits:
        if values_now[limit.name] != limit.value:
            called = content.messages.therapist.steering.limit[limit.name]
            value = f"{values_now[limit.name]:g}"
            yield fill(state.limit, {"limit": called, "name": limit.name, "value": value, "unit": limit.unit})


def _load_lines(plan: Plan) -> Iterator[str]:
    """The load step, and the bands if the prescription selects some of them."""
    state = plan.content.messages.therapist.steering.state
    yield fill(state.load, load_placeholders(plan.step, plan.content))
    if plan.prescription.bands:
        yield fill(state.bands, {"bands": ", ".join(band.name for band in plan.profile.bands)})


def compare_next_sessions(
    before: NextSession, after: NextSession, messages: SteeringMessages
) -> tuple[ComparisonPart, ...]:
    """The comparison in parts; parts without lines are left out."""
    both = (
        (messages.standing, before.state, after.state),
        (messages.script, before.script, after.script),
        (messages.leads, before.decisions, after.decisions),
    )
    return tuple(ComparisonPart(title, compare(one, other)) for title, one, other in both if one or other)


def comparison_text(compared: tuple[ComparisonPart, ...], messages: SteeringMessages) -> str:
    """The differing parts side by side, at most 80 columns wide."""
    lines = comparison_lines(
        compared, ComparisonHeadings(messages.before, messages.after, messages.alike), text_columns()
    )
    return "\n".join(lines or paragraph(messages.nothing)) + "\n"


class Following(Struct, frozen=True):
    """The client's progress after a session, and the next session compared with today's.

    `no_session` says why the next one may not start on its day; empty where it may.
    """

    after: Progress
    no_session: str
    parts: tuple[ComparisonPart, ...]


def what_if(plan: Plan, answers: Answers, at: datetime) -> tuple[Ended, Following]:
    """Rehearse today's session with these answers: how it ends, and what follows.

    Raises ValueError for an answer that a question does not take.
    """
    record, ended = rehearse(plan, answers, at)
    return ended, following(plan, advance(plan.before, record, plan.book).after, at)


def following(plan: Plan, after: Progress, at: datetime) -> Following:
    """The session that follows today's, on its day, where the client then stands so."""
    then = at + timedelta(days=ceil(_DAYS_PER_WEEK / plan.prescription.dose.days_a_week))
    today, later = (
        next_session(plan.profile, plan.prescription, progress, plan.content, on)
        for progress, on in ((plan.before, at), (after, then))
    )
    messages = plan.content.messages.therapist.steering
    return Following(after, later.no_session, compare_next_sessions(today, later, messages))


def what_if_text(plan: Plan, answers: Answers, at: datetime) -> str:
    """The decision, then both sessions side by side with the differences marked, at most 80 columns wide."""
    messages, (ended, found) = plan.content.messages.therapist.preview, what_if(plan, answers, at)
    decided = [*no_session_lines(plan.no_session), messages.what_if, "", *decision_lines(ended.decision, plan)]
    return "\n".join([*decided, "", *following_lines(plan, found)])


def following_lines(plan: Plan, found: Following) -> list[str]:
    """Today's session and the next one side by side; the last of them ends with a line break."""
    messages = plan.content.messages.therapist.preview
    heads = {"before": messages.beside_before, "after": messages.beside_after, "nothing": messages.alike}
    beside = comparison_text(found.parts, plan.content.messages.therapist.steering.model_copy(update=heads))
    return [messages.next_session, "", *no_session_lines(found.no_session), beside]

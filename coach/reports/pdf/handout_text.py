"""The text of the handout, before layout. Pure."""

from collections.abc import Sequence
from datetime import timedelta

from msgspec import Struct
from msgspec.structs import replace

from coach.mechanics.setup import Setup
from coach.model.content_entries import Fault, Urgency
from coach.model.message_format import fill
from coach.model.record import Record
from coach.progression.facts import extract_facts
from coach.session.admission.bad_day import bad_day_plan
from coach.session.admission.client_conditions import cautions_of
from coach.session.lessons.limit_lines import limit_lines
from coach.session.phrases import (
    exercise_line,
    place_lines,
    plan_line,
    position_messages,
    set_messages,
    setup_of,
    setup_values,
)
from coach.session.plan import Plan

_CUES = 3
# How many sessions back faults are counted to choose the cues. Ours.
_SESSIONS_BACK = 6


class StopRule(Struct, frozen=True):
    """Signs that the client may notice, and what to do then."""

    noticed: tuple[str, ...]
    what_to_do: str


class TempoPart(Struct, frozen=True):
    """One part of a repetition: its word, its seconds, and the seconds as text."""

    word: str
    seconds: float
    duration: str


class HandoutText(Struct, frozen=True):
    """All text of the page in the client's language, and the setup to draw."""

    setup: Setup
    exercise: str
    position: str
    as_of: str
    dose: str
    rest_and_days: str
    tempo: tuple[TempoPart, ...]
    views: tuple[str, str]
    """The titles of the drawings: from above, from the side."""
    setup_title: str
    setup_lines: tuple[str, ...]
    checks_title: str
    checks: tuple[str, ...]
    cues_title: str
    cues: tuple[str, ...]
    stop_title: str
    not_before: str | None
    stops: tuple[StopRule, ...]
    log_title: str
    log_rows: tuple[str, ...]
    """The day, then one row for each set, then the pain."""
    foot: str


class OverviewItem(Struct, frozen=True):
    """One exercise in the list of all of them: with its number and side, its position, and its dose."""

    exercise: str
    position: str
    dose: str
    rest_and_days: str


class Overview(Struct, frozen=True):
    """What all exercises of a programme have in common, said once; when to stop and the log stand in `shared`."""

    title: str
    items: tuple[OverviewItem, ...]
    said: tuple[str, ...]
    cautions_title: str
    cautions: tuple[str, ...]
    shared: HandoutText


def overview_of(texts: Sequence[HandoutText], plans: Sequence[Plan]) -> Overview:
    """The overview of these exercises in their order; of several limits of pain the lowest is said."""
    strictest = min(range(len(plans)), key=lambda number: plans[number].limits["pain_max"])
    plan, shared = plans[strictest], texts[strictest]
    messages = plan.content.messages.client
    own = plan_line(plan.training, plan.content)
    ticked = tuple(text.exercise for text in texts)
    return Overview(
        title=messages.programme.handout_title,
        items=tuple(OverviewItem(text.exercise, text.position, text.dose, text.rest_and_days) for text in texts),
        said=(*((own,) if own else ()), _line_of_all(plans), messages.handout.spread),
        cautions_title=messages.today.cautions_title,
        cautions=(*_of_the_band(plan), *cautions_of(plan.profile, plan.content)),
        shared=replace(
            shared,
            as_of=max(text.as_of for text in texts),
            log_title=messages.programme.handout_log,
            log_rows=(shared.log_rows[0], *ticked, shared.log_rows[-1]),
        ),
    )


def exercise_text(plan: Plan, records: Sequence[Record], number: int, days: Sequence[str]) -> HandoutText:
    """The text of one exercise of a programme; `records` are those of this exercise, `days` those it is due on."""
    text, messages = handout_text(plan, records), plan.content.messages.client.programme
    places = len(text.setup_lines) - len(_every_time(plan))
    due = fill(messages.handout_days, {"days": ", ".join(days), "rest": plan.prescription.dose.rest_s})
    return replace(
        text,
        exercise=f"{number}. {text.exercise}",
        rest_and_days=due if days else text.rest_and_days,
        # What is the same for every exercise stands in the overview.
        setup_lines=text.setup_lines[:places],
        checks=text.checks[: len(plan.position.checks)],
    )


def handout_text(plan: Plan, records: Sequence[Record]) -> HandoutText:
    """The text of the handout for the next session of a client with these records."""
    content = plan.content
    screens, messages = content.messages.client, position_messages(plan)
    views = content.messages.therapist.setup_report
    own, dose = plan.content.messages.client.handout, plan.prescription.dose
    setup = setup_of(plan, plan.step)
    values = setup_values(plan, setup)
    numbers = {"sets": dose.sets, "repetitions": plan.repetitions, "rest": dose.rest_s, "days": dose.days_a_week}
    return HandoutText(
        setup=setup,
        exercise=_exercise(plan),
        position=messages.title,
        as_of=_as_of(plan, records),
        dose=fill(own.dose, numbers),
        rest_and_days=fill(own.rest_and_days, numbers),
        tempo=_tempo(plan),
        views=(views.from_above, views.from_the_side),
        setup_title=screens.setup.title,
        setup_lines=tuple(
            fill(line, values)
            for line in (*place_lines(plan, values), *messages.arm, *limit_lines(plan), *_every_time(plan))
        ),
        checks_title=screens.setup.check_title,
        checks=(
            *(content.messages.safety.check[name].ask for name in plan.position.checks),
            *_of_the_band(plan),
            *cautions_of(plan.profile, content),
        ),
        cues_title=own.cues_title,
        cues=_cues(plan, records),
        stop_title=own.stop_title,
        not_before=_not_before(plan),
        stops=(*_stops(plan), *_bad_day(plan)),
        log_title=own.log_title,
        log_rows=(own.log_day, *(fill(own.log_set, {"set": one + 1}) for one in range(dose.sets)), own.log_pain),
        foot=own.foot,
    )


def _every_time(plan: Plan) -> tuple[str, ...]:
    """The lines of the setup that are the same for every exercise; where a limit stands before them, not the line."""
    messages = plan.content.messages.client.handout
    return (messages.spread,) if plan.range_limit is not None else (messages.line, messages.spread)


def _line_of_all(plans: Sequence[Plan]) -> str:
    """How the line of every exercise is found."""
    messages = plans[0].content.messages.client.handout
    limited = any(plan.range_limit is not None for plan in plans)
    return messages.line_or_limit if limited else messages.line


def _of_the_band(plan: Plan) -> tuple[str, ...]:
    """What to take care of with every band; of latex where a band is not known to be free of it."""
    messages = plan.content.messages.client.handout
    latex = () if all(band.latex_free for band in plan.profile.bands) else (messages.latex,)
    return messages.glasses, messages.let_go, *latex


def _exercise(plan: Plan) -> str:
    """What is trained; of a programme also on which side, because there it may be either."""
    if plan.name is None:
        return plan.content.messages.exercises[plan.before.exercise].title
    return exercise_line(plan.before.exercise, plan.profile.side, plan.content)


def _as_of(plan: Plan, records: Sequence[Record]) -> str:
    """The date of the page: that of the last session, or of the prescription if there is none."""
    messages = plan.content.messages.client.handout
    line = messages.after_session if records else messages.as_of
    day = records[-1].started.date() if records else plan.prescription.on
    return fill(line, {"profile": plan.profile.name, "date": day.isoformat()})


def _tempo(plan: Plan) -> tuple[TempoPart, ...]:
    messages, tempo = set_messages(plan.content, plan.before.exercise), plan.prescription.dose.tempo
    parts = (
        (messages.out, tempo.out_s),
        (messages.hold, tempo.hold_s),
        (messages.back, tempo.back_s),
        (messages.relax, tempo.relax_s),
    )
    return tuple(
        TempoPart(word, seconds, fill(plan.content.messages.client.handout.seconds, {"seconds": f"{seconds:g}"}))
        for word, seconds in parts
        if seconds > 0
    )


def _cues(plan: Plan, records: Sequence[Record]) -> tuple[str, ...]:
    """The first cue of the position, then cues for the client's most frequent recent faults, then the others."""
    messages = position_messages(plan)
    here = [record for record in records if record.exercise_position == plan.before.exercise_position]
    recent = [extract_facts(plan.before, record, plan.book, "session") for record in here[-_SESSIONS_BACK:]]
    faults: list[Fault] = [fault for facts in recent for one in facts.sets for fault in one.faults]
    in_order = sorted(messages.cues, key=lambda cue: -faults.count(cue.fault))
    return tuple(dict.fromkeys((messages.first_cue, *(cue.text for cue in in_order))))[:_CUES]


def _not_before(plan: Plan) -> str | None:
    """After a repair (D3), the first day of strengthening, unless the therapist has allowed it already."""
    repaired, weeks = plan.before.repaired_on, plan.limits["repair_weeks"]
    if repaired is None or plan.before.may_strengthen:
        return None
    first_day = repaired + timedelta(weeks=weeks)
    messages = plan.content.messages.client.handout
    return fill(messages.not_before, {"date": first_day.isoformat(), "weeks": round(weeks)})


def _bad_day(plan: Plan) -> tuple[StopRule, ...]:
    """What the therapist set for after a stop; nothing where they set nothing."""
    lines, title = bad_day_plan(plan.prescription, plan.content), plan.content.messages.client.bad_day.title
    return (StopRule((title,), " ".join(lines)),) if lines else ()


def _stops(plan: Plan) -> tuple[StopRule, ...]:
    """The warning signs grouped by urgency, the most urgent first as in the content; then the pain limit."""
    content, own = plan.content, plan.content.messages.client.handout
    safety = content.messages.safety
    urgencies: list[Urgency] = list(dict.fromkeys(sign.urgency for sign in content.signs))
    named = {urgency: [sign.name for sign in content.signs if sign.urgency == urgency] for urgency in urgencies}
    signs = [
        StopRule(tuple(safety.sign[name] for name in names), safety.urgency[urgency])
        for urgency, names in named.items()
    ]
    pain = fill(own.pain, {"pain_max": f"{plan.limits['pain_max']:g}"})
    phone = content.clinic.phone
    ring = (fill(own.phone, {"phone": phone}),) if phone else ()
    return (*signs, StopRule((pain,), " ".join((own.pain_what_to_do, *ring))))

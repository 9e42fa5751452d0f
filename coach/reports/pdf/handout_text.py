"""What the handout says, before it has a place on the page. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from coach.mechanics.setup import Setup
from coach.model.content_entries import Fault, Urgency
from coach.model.message_format import fill
from coach.model.messages.handout import HandoutWords
from coach.model.messages.setup_report import SetupReportWords
from coach.model.record import Record
from coach.progression.facts import extract_facts
from coach.session.phrases import position_words, setup_of, setup_values
from coach.session.plan import Plan
from coach.session.set_words import set_words

_CUES = 3
# A therapist's page looks this far back for what goes wrong with this client: ours.
_SESSIONS_BACK = 6


@dataclass(frozen=True)
class Stop:
    """What is noticed, and what to do then."""

    noticed: tuple[str, ...]
    what_to_do: str


@dataclass(frozen=True)
class TempoPart:
    """One part of a repetition: its word, its seconds, and the seconds in words."""

    word: str
    seconds: float
    said: str


@dataclass(frozen=True)
class HandoutText:
    """Every word of the page in the client's language, and the setup that is drawn."""

    setup: Setup
    exercise: str
    position: str
    as_of: str
    dose: str
    rest_and_days: str
    tempo: tuple[TempoPart, ...]
    views: tuple[str, str]
    """What the drawings are called: from above, from the side."""
    setup_title: str
    setup_lines: tuple[str, ...]
    checks_title: str
    checks: tuple[str, ...]
    cues_title: str
    cues: tuple[str, ...]
    stop_title: str
    not_before: str | None
    stops: tuple[Stop, ...]
    log_title: str
    log_rows: tuple[str, ...]
    """The day first, then a row a set, then the pain."""
    foot: str


def handout_text(plan: Plan, records: Sequence[Record]) -> HandoutText:
    """The words of the handout for the next session of a client with these records."""
    content = plan.content
    screens, words = content.words.screens, position_words(plan)
    views = content.words.of(SetupReportWords)
    own, dose = plan.content.words.of(HandoutWords), plan.prescription.dose
    setup = setup_of(plan, plan.step)
    values = setup_values(plan, setup)
    numbers = {"sets": dose.sets, "repetitions": plan.repetitions, "rest": dose.rest_s, "days": dose.days_a_week}
    return HandoutText(
        setup=setup,
        exercise=content.words.exercises[plan.before.exercise].title,
        position=words.title,
        as_of=_as_of(plan, records),
        dose=fill(own.dose, numbers),
        rest_and_days=fill(own.rest_and_days, numbers),
        tempo=_tempo(plan),
        views=(views.from_above, views.from_the_side),
        setup_title=screens.setup.title,
        setup_lines=tuple(fill(line, values) for line in (*words.place, *words.arm, own.line)),
        checks_title=screens.setup.check_title,
        checks=tuple(content.words.safety.check[name].ask for name in plan.position.checks),
        cues_title=own.cues_title,
        cues=_cues(plan, records),
        stop_title=own.stop_title,
        not_before=_not_before(plan),
        stops=_stops(plan),
        log_title=own.log_title,
        log_rows=(own.log_day, *(fill(own.log_set, {"set": one + 1}) for one in range(dose.sets)), own.log_pain),
        foot=own.foot,
    )


def _as_of(plan: Plan, records: Sequence[Record]) -> str:
    """The day for which the page holds: that of the last session, else of the prescription."""
    words = plan.content.words.of(HandoutWords)
    line = words.after_session if records else words.as_of
    day = records[-1].started.date() if records else plan.prescription.on
    return fill(line, {"profile": plan.profile.name, "date": day.isoformat()})


def _tempo(plan: Plan) -> tuple[TempoPart, ...]:
    words, tempo = set_words(plan.content, plan.before.exercise), plan.prescription.dose.tempo
    parts = (
        (words.out, tempo.out_s),
        (words.hold, tempo.hold_s),
        (words.back, tempo.back_s),
        (words.relax, tempo.relax_s),
    )
    return tuple(
        TempoPart(word, seconds, fill(plan.content.words.of(HandoutWords).seconds, {"seconds": f"{seconds:g}"}))
        for word, seconds in parts
        if seconds > 0
    )


def _cues(plan: Plan, records: Sequence[Record]) -> tuple[str, ...]:
    """The first cue of the position, then those against what this client has lately done most, then the others."""
    words = position_words(plan)
    here = [record for record in records if record.place == plan.before.place][-_SESSIONS_BACK:]
    facts = [one for record in here for one in extract_facts(plan.before, record, plan.book, "session").sets]
    named: list[Fault] = [fault for one in facts for fault in one.faults]
    in_order = sorted(words.cues, key=lambda cue: -named.count(cue.fault))
    return tuple(dict.fromkeys((words.first_cue, *(cue.text for cue in in_order))))[:_CUES]


def _not_before(plan: Plan) -> str | None:
    """After a repair, the first day of strengthening (D3), until the therapist has signed that it may begin."""
    repaired, weeks = plan.before.repaired_on, plan.limits["repair_weeks"]
    if repaired is None or plan.before.strengthening_allowed:
        return None
    first_day = repaired + timedelta(weeks=weeks)
    words = plan.content.words.of(HandoutWords)
    return fill(words.not_before, {"date": first_day.isoformat(), "weeks": round(weeks)})


def _stops(plan: Plan) -> tuple[Stop, ...]:
    """The warning signs by urgency in the order of the content, the most urgent first; then the pain limit."""
    content, own = plan.content, plan.content.words.of(HandoutWords)
    safety = content.words.safety
    urgencies: list[Urgency] = list(dict.fromkeys(sign.urgency for sign in content.signs))
    signs = [
        Stop(tuple(safety.sign[one.name] for one in content.signs if one.urgency == urgency), safety.urgency[urgency])
        for urgency in urgencies
    ]
    pain = fill(own.pain, {"pain_max": f"{plan.limits['pain_max']:g}"})
    return (*signs, Stop((pain,), own.pain_what_to_do))

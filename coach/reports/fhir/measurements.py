"""Measurements and ratings as FHIR Observations: pain, effort, sets, range and strength. Pure."""

from collections.abc import Iterator
from datetime import datetime

from coach.model import step_names
from coach.model.content import Content
from coach.model.exercise import coordinate_of
from coach.model.load_step import LoadStep
from coach.model.message_format import fill
from coach.model.option_names import Direction
from coach.model.profile import Profile
from coach.model.record import Answered, Record
from coach.reports.fhir.answers import question_text
from coach.reports.fhir.parts import (
    EXERCISE_ACTIVITY,
    EXERTION,
    ICF_JOINT_MOBILITY,
    ICF_MUSCLE_POWER,
    ICF_PAIN,
    LOCAL,
    LOINC,
    PAIN_0_TO_10,
    ROTATION_RANGE,
    Json,
    category,
    coding,
    component,
    concept,
    instant,
    local,
    place_of,
    quantity,
    reference,
    resource_id,
    session_id,
    shoulder,
)
from coach.reports.tables.sets import PerformedSet, activities_by_step
from coach.session.phrases import answer_text

# The answers that rate pain from 0 to 10.
_PAINS = (
    *(step.rpartition(".")[2] for step in (step_names.PAIN_NOW, step_names.MORNING_AFTER)),
    step_names.PAIN,
    step_names.TROUBLE_PAIN,
)


def rating_observations(profile: Profile, record: Record, last: datetime | None, content: Content) -> Iterator[Json]:
    """Pain, effort and activities as rated in a session; `last` is the end of the session before it.

    If a client went back and changed an answer, the last one counts; one taken back does not.
    """
    last_answers = {entry.step: entry for entry in record.entry if isinstance(entry, Answered)}
    for entry in last_answers.values():
        if not isinstance(entry.value, int) or record.answer(entry.step) != entry.value:
            continue
        what = entry.step.rpartition(".")[2]
        base = {
            **_about(profile, "answer", *place_of(record), entry.step),
            "partOf": [reference(session_id(profile.name, record))],
            **_when(entry, last),
        }
        text = question_text(entry.step, record, content)
        if what in _PAINS:
            code = concept(coding(LOINC, PAIN_0_TO_10), coding(LOCAL, what), text=text)
            pain = {**base, "category": category("survey", ICF_PAIN), "code": code, "valueInteger": entry.value}
            yield {**pain, **_where(record, entry.step, content)}
        elif what == step_names.EFFORT:
            code = concept(coding(LOINC, EXERTION), text=text)
            yield {**base, "category": category("survey"), "code": code, **_score(entry.value)}
        elif entry.step in activities_by_step(record):
            code = local("activity_rating", text)
            yield {**base, "category": category("survey"), "code": code, **_score(entry.value)}


def _where(record: Record, step: str, content: Content) -> Json:
    """The body site of a pain for which the client was asked where it hurts; otherwise empty."""
    if not step.endswith(f".{step_names.TROUBLE_PAIN}"):
        return {}
    region = record.answer(step.replace(step_names.TROUBLE_PAIN, step_names.TROUBLE_WHERE))
    return {} if region is None else {"bodySite": local(str(region), answer_text(region, content))}


def _score(value: int) -> Json:
    return {"valueQuantity": quantity(value, "{score}")}


def set_observation(profile: Profile, one: PerformedSet, content: Content) -> Json:
    """A performed set: repetitions, load and faults."""
    record, done, load = one.record, one.done, one.load
    faults = content.messages.form.fault
    return {
        **_about(profile, "set", *place_of(record), done.number, done.at.isoformat()),
        "partOf": [reference(session_id(profile.name, record))],
        "effectiveDateTime": instant(done.at),
        "category": category("activity"),
        "code": concept(coding(LOINC, EXERCISE_ACTIVITY)),
        "valueCodeableConcept": local(record.exercise, content.messages.exercises[record.exercise].title),
        "bodySite": shoulder(record.side or profile.side),
        "component": [
            component("position", content.exercise(record.exercise).position(record.position).abduction_deg, "deg"),
            component("set", done.number),
            component("goal", record.repetitions),
            component("repetitions", done.repetitions),
            component("under_load", done.under_load_s, "s"),
            component("end", local(done.end)),
            component("band", load.grade),
            component("strands", load.strands),
            component("underfoot" if load.underfoot else "distance", load.distance_cm, "cm"),
            component(f"mean_{_name(load)}", load.mean_nm, _unit(load)),
            *_interval(load),
            component(f"peak_{_name(load)}", load.peak_nm, _unit(load)),
            *(component("fault", local(fault, faults[fault])) for fault in one.faults),
        ],
    }


def _interval(load: LoadStep) -> list[Json]:
    """The 5 to 95 % interval of the mean load as a range; nothing for a record that has none."""
    if load.low_nm is None or load.high_nm is None:
        return []
    ends = {end: quantity(value, _unit(load)) for end, value in (("low", load.low_nm), ("high", load.high_nm))}
    return [{"code": local(f"mean_{_name(load)}_interval"), "valueRange": ends}]


def _name(load: LoadStep) -> str:
    return "force" if load.load_unit == "N" else "torque"


def _unit(load: LoadStep) -> str:
    """The unit of a load in UCUM."""
    return "N" if load.load_unit == "N" else "N.m"


def measurement_observations(profile: Profile, content: Content) -> Iterator[Json]:
    """Range of motion and strength as measured by the therapist."""
    messages = content.messages.therapist.export
    for number, one in enumerate(profile.ranges):
        degrees = content.abduction_deg(one.position, one.direction)
        text = fill(messages.range[one.direction], {"degrees": degrees})
        yield {
            **_about(profile, "range", number, one.position, one.on),
            "effectiveDateTime": one.on.isoformat(),
            "category": category("exam", ICF_JOINT_MOBILITY),
            "code": _range_code(one.direction, text),
            "valueQuantity": quantity(one.available_deg, "cm" if coordinate_of(one.direction) == "path" else "deg"),
            "bodySite": shoulder(one.side or profile.side),
            "component": [component("position", degrees, "deg")],
        }
    for number, strength in enumerate(profile.strengths):
        degrees = content.abduction_deg(strength.position, strength.direction)
        text = fill(messages.strength[strength.direction], {"degrees": degrees})
        yield {
            **_about(profile, "strength", number, strength.position, strength.on),
            "effectiveDateTime": strength.on.isoformat(),
            "category": category("exam", ICF_MUSCLE_POWER),
            "code": local(f"isometric_{_motion(strength.direction)}", text),
            "valueQuantity": quantity(round(strength.load, 4), "N" if strength.lever_m is None else "N.m"),
            "bodySite": shoulder(strength.side or profile.side),
            "component": [
                component("position", degrees, "deg"),
                component("force", strength.force_n, "N"),
                *(() if strength.lever_m is None else (component("lever", strength.lever_m, "m"),)),
            ],
        }


def _range_code(direction: Direction, text: str) -> Json:
    code = ROTATION_RANGE.get(direction)
    return local(f"active_{_motion(direction)}", text) if code is None else concept(coding(LOINC, code), text=text)


def _motion(direction: Direction) -> str:
    return f"{direction}_rotation" if direction in ("external", "internal") else direction


def _about(profile: Profile, *place: object) -> Json:
    return {
        "resourceType": "Observation",
        "id": resource_id(profile.name, *place),
        "status": "final",
        "subject": reference(resource_id(profile.name, "patient")),
    }


def _when(entry: Answered, last: datetime | None) -> Json:
    """The time of an answer; for the morning after, the period from the last session to the answer."""
    if entry.step == step_names.MORNING_AFTER and last is not None:
        return {"effectivePeriod": {"start": instant(last), "end": instant(entry.at)}}
    return {"effectiveDateTime": instant(entry.at)}

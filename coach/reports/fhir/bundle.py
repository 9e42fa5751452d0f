"""A client's plan and history as one HL7 FHIR R4 bundle (the same in R4B) for the clinic's own system. Pure.

It identifies the client only by the pseudonym. The bundle is a collection to be imported, not a request to a server.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from textwrap import indent

from coach.model.base import Name
from coach.model.content import Content
from coach.model.instruction import Instruction
from coach.model.message_format import fill
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.session_file import is_common_entry
from coach.model.programme.visit_file import Goal
from coach.model.progress import Progress
from coach.model.record import Record, Status
from coach.progression.decision_messages import rule_label
from coach.progression.programme.after_visit import Discharged
from coach.progression.rule_book import RuleBook
from coach.reports.fhir.answers import questionnaire_response
from coach.reports.fhir.measurements import measurement_observations, rating_observations, set_observation
from coach.reports.fhir.parts import (
    EXERCISE_ACTIVITY,
    LOCAL,
    LOINC,
    PSEUDONYM,
    Json,
    coding,
    concept,
    instant,
    local,
    reference,
    resource_id,
    session_id,
    shoulder,
    urn,
)
from coach.reports.fhir.requests import (
    ExportedExercise,
    provenance,
    service_request,
    target_loads,
    visit_goals,
    when_due,
)
from coach.reports.tables.sets import PerformedSet, performed_sets, signed_text
from coach.session.phrases import tempo_values

_ACTIVITY: Mapping[Status, str] = {
    "active": "in-progress",
    "paused": "on-hold",
    "review": "on-hold",
    "complete": "completed",
}


def fhir_resources(
    profile: Profile,
    prescription: Prescription,
    records: Sequence[Record],
    now: Progress,
    content: Content,
    no_session: str = "",
) -> Iterator[Json]:
    """The resources of a client with one exercise; `now` is the client's progress. As `programme_resources`."""
    exercise = ExportedExercise(profile, prescription, now, no_session)
    return programme_resources(profile, (exercise,), records, content)


def programme_resources(
    profile: Profile,
    exercises: Sequence[ExportedExercise],
    records: Sequence[Record],
    content: Content,
    goals: Sequence[Goal] = (),
    discharged: Discharged | None = None,
) -> Iterator[Json]:
    """The resources of the bundle, each made when it is asked for. The same client gives the same resources.

    One plan holds an activity for each exercise; each session of an exercise is a procedure of its own, and the
    check-in that several have in common stands with the first. `goals` are those of the newest visit that set any.
    A discharge ends the plan, its goals and its requests, wherever the client stands.
    """
    goal_status = _goal_status(exercises, discharged)
    yield _patient(profile)
    yield _goal(profile, exercises, goal_status, content)
    yield from visit_goals(profile, goals, goal_status)
    yield _care_plan(profile, exercises, goals, content, discharged)
    for number, one in enumerate(exercises):
        dose = _dose(one.prescription, one.now.position, content)
        yield service_request(profile, one, number, content, dose, discharged)
    yield from (provenance(profile, signed) for signed in _signed(exercises))
    yield from measurement_observations(profile, content)
    yield from _sessions(profile, records, exercises[0].now, content)


def fhir_json(profile: Profile, resources: Iterable[Json]) -> Iterator[bytes]:
    """The bundle of these resources as a JSON file, in parts: ten years of sessions are large as objects.

    The lines are broken and indented as if the standard library wrote all of it at once.
    """
    head: Json = {
        "resourceType": "Bundle",
        "id": resource_id(profile.name, "bundle"),
        "language": profile.language,
        "type": "collection",
    }
    yield (_dumped(head).removesuffix("\n}") + ',\n "entry": [').encode()
    before = ""
    for resource in resources:
        entry: Json = {"fullUrl": urn(str(resource["id"])), "resource": resource}
        yield f"{before}\n{indent(_dumped(entry), '  ')}".encode()
        before = ","
    yield b"\n ]\n}\n"


def _dumped(value: Json) -> str:
    return json.dumps(value, indent=1, ensure_ascii=False, allow_nan=False)


def _patient(profile: Profile) -> Json:
    return {
        "resourceType": "Patient",
        "id": resource_id(profile.name, "patient"),
        "identifier": [{"system": PSEUDONYM, "value": profile.name}],
        "communication": [{"language": concept(coding("urn:ietf:bcp:47", profile.language)), "preferred": True}],
    }


def _goal(profile: Profile, exercises: Sequence[ExportedExercise], status: str, content: Content) -> Json:
    prescription, targets = exercises[0].prescription, target_loads(exercises, content)
    return {
        "resourceType": "Goal",
        "id": resource_id(profile.name, "goal"),
        "lifecycleStatus": status,
        "description": {"text": prescription.goal},
        "subject": reference(resource_id(profile.name, "patient")),
        "startDate": prescription.on.isoformat(),
        **({"target": targets} if targets else {}),
    }


def _goal_status(exercises: Sequence[ExportedExercise], discharged: Discharged | None) -> str:
    """The status as a code of FHIR's GoalLifecycleStatus."""
    if discharged is None:
        return _plan_status(exercises)
    return "completed" if discharged.reason == "goals_met" else "cancelled"


def _plan_status(exercises: Sequence[ExportedExercise]) -> str:
    """The status of all exercises together: active while one of them is."""
    each = [one.status for one in exercises]
    return next((status for status in ("active", "on-hold") if status in each), "completed")


def _care_plan(
    profile: Profile,
    exercises: Sequence[ExportedExercise],
    goals: Sequence[Goal],
    content: Content,
    discharged: Discharged | None,
) -> Json:
    """What is prescribed, its status, and every instruction signed since."""
    prescription = exercises[0].prescription
    titles = [content.messages.exercises[one.prescription.exercise].title for one in exercises]
    signed = _signed(exercises)
    return {
        "resourceType": "CarePlan",
        "id": resource_id(profile.name, "plan"),
        "status": _plan_status(exercises) if discharged is None else "completed",
        "intent": "plan",
        "title": fill(content.messages.therapist.export.plan_title, {"exercise": ", ".join(dict.fromkeys(titles))}),
        "subject": reference(resource_id(profile.name, "patient")),
        "period": _period(prescription.on, discharged),
        "contributor": [{"display": prescription.initials}],
        "goal": [
            reference(resource_id(profile.name, "goal")),
            *(reference(str(one["id"])) for one in visit_goals(profile, goals, "active")),
        ],
        "activity": [_activity(one, content, discharged) for one in exercises],
        **({"note": [_note(one) for one in signed]} if signed else {}),
    }


def _period(start: date, discharged: Discharged | None) -> Json:
    """From the day of the prescription to that of the discharge: FHIR allows no end before the start."""
    if discharged is None or discharged.on < start:
        return {"start": start.isoformat()}
    return {"start": start.isoformat(), "end": discharged.on.isoformat()}


def _signed(exercises: Sequence[ExportedExercise]) -> list[Instruction]:
    """Every instruction once, in order; one for all exercises stands with each of them."""
    first, *others = (one.prescription.sign_offs for one in exercises)
    signed = list(first)
    for one in (one for own in others for one in own):
        signed += [] if one in signed else [one]
    return sorted(signed, key=lambda one: one.at) if others else signed


def _activity(one: ExportedExercise, content: Content, discharged: Discharged | None) -> Json:
    prescription, title = one.prescription, content.messages.exercises[one.prescription.exercise].title
    side = [coding(LOCAL, f"{one.profile.side}_shoulder")] if one.title else []
    why = one.no_session if discharged is None else content.messages.therapist.visit.reason[discharged.reason]
    codings = (coding(LOINC, EXERCISE_ACTIVITY), coding(LOCAL, prescription.exercise), *side)
    return {
        "detail": {
            "code": concept(*codings, text=one.title or title),
            "status": _activity_status(one, discharged),
            **({"statusReason": {"text": why}} if why else {}),
            "scheduledTiming": {"repeat": when_due(one)},
            "description": _dose(prescription, one.now.position, content),
        }
    }


def _activity_status(one: ExportedExercise, discharged: Discharged | None) -> str:
    """The status as a code of FHIR's CarePlanActivityStatus; a discharge ends also what never began."""
    now = one.now
    if discharged is not None:
        done = discharged.reason == "goals_met" or now.status == "complete"
        return "cancelled" if not now.sessions else "completed" if done else "stopped"
    if now.status == "active" and not now.sessions:
        return "not-started"
    return "on-hold" if now.status == "active" and one.no_session else _ACTIVITY[now.status]


def _dose(prescription: Prescription, position: Name, content: Content) -> str:
    dose = prescription.dose_at(position)
    values = {
        "sets": dose.sets,
        "least": dose.repetitions_min,
        "most": dose.repetitions_max,
        "rest": dose.rest_s,
        "days": dose.days_a_week,
        **tempo_values(content, prescription.exercise, dose.tempo),
    }
    return fill(content.messages.therapist.export.dose, values)


def _note(signed: Instruction) -> Json:
    """One instruction of the therapist with its values and the reason."""
    return {"authorString": signed.initials, "time": instant(signed.at), "text": signed_text(signed)}


def _sessions(profile: Profile, records: Sequence[Record], now: Progress, content: Content) -> Iterator[Json]:
    """Each session as a Procedure, followed by its answers, ratings and sets."""
    sets: dict[int, list[PerformedSet]] = {}  # by the record, which is the same object in both
    for one in performed_sets(records, now, RuleBook(content)):
        sets.setdefault(id(one.record), []).append(one)
    last = None
    told = set[datetime]()
    for record in records:
        yield _procedure(profile, record, content)
        own = _without_common(record) if record.started in told else record
        told.add(record.started)
        answers = questionnaire_response(profile, own, content)
        if answers is not None:
            yield answers
        yield from rating_observations(profile, own, last, content)
        yield from (set_observation(profile, one, content) for one in sets.get(id(record), ()))
        last = record.last_at


def _without_common(record: Record) -> Record:
    """A record without the answers that stand with an earlier exercise of the same session."""
    return record.model_copy(update={"entry": tuple(one for one in record.entry if not is_common_entry(one))})


def _procedure(profile: Profile, record: Record, content: Content) -> Json:
    """A session: its status, and the decision with its reason."""
    where = content.exercise(record.exercise).position(record.position)
    position = content.messages.exercises[record.exercise].at(where.name).title
    ended = record.ended
    decided: Json = {}
    if ended is not None:
        moves = content.messages.client.scale.move
        text = f"{moves[ended.decision.move]} ({rule_label(ended.decision.rule, content)})"
        decided = {
            "outcome": concept(coding(LOCAL, ended.decision.move), coding(LOCAL, ended.decision.rule), text=text),
            "note": [{"time": instant(ended.at), "text": ended.decision.reason}],
        }
    return {
        "resourceType": "Procedure",
        "id": session_id(profile.name, record),
        "basedOn": [reference(resource_id(profile.name, "plan"))],
        "status": _status(record),
        "code": local(
            "guided_band_session", fill(content.messages.therapist.export.session_title, {"position": position})
        ),
        "subject": reference(resource_id(profile.name, "patient")),
        "performedPeriod": {"start": instant(record.started), "end": instant(record.last_at)},
        "bodySite": [shoulder(record.side or profile.side)],
        **decided,
    }


def _status(record: Record) -> str:
    """The status as a code of FHIR's EventStatus."""
    if record.ended is None:
        return "in-progress"
    if not record.sets_done:
        return "not-done"
    return "completed" if record.ended.how == "finished" else "stopped"

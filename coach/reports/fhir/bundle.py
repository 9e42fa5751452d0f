"""A client's plan and history as one HL7 FHIR R4 bundle for the clinic's own system. Pure.

It identifies the client only by the pseudonym. The bundle is a collection to be imported, not a request to a server.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from textwrap import indent

from coach.model.content import Content
from coach.model.instruction import Instruction
from coach.model.message_format import fill
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record, Status
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
    urn,
)
from coach.reports.tables.sets import PerformedSet, performed_sets
from coach.session.phrases import tempo_values

_PLAN: Mapping[Status, str] = {"active": "active", "paused": "on-hold", "review": "on-hold", "complete": "completed"}
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
    """The resources of the bundle, each made when it is asked for; `now` is the client's progress.

    The same client gives the same resources. `no_session` says why no session may start now; it is the reason for
    the status of the activity.
    """
    yield _patient(profile)
    yield _goal(profile, prescription, now)
    yield _care_plan(profile, prescription, now, content, no_session)
    yield from measurement_observations(profile, content)
    yield from _sessions(profile, records, now, content)


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


def _goal(profile: Profile, prescription: Prescription, now: Progress) -> Json:
    return {
        "resourceType": "Goal",
        "id": resource_id(profile.name, "goal"),
        "lifecycleStatus": _PLAN[now.status],
        "description": {"text": prescription.goal},
        "subject": reference(resource_id(profile.name, "patient")),
        "startDate": prescription.on.isoformat(),
    }


def _care_plan(
    profile: Profile, prescription: Prescription, now: Progress, content: Content, no_session: str
) -> Json:
    """The prescription, its status, and every instruction signed since."""
    title = content.messages.exercises[prescription.exercise].title
    days = prescription.dose.days_a_week
    return {
        "resourceType": "CarePlan",
        "id": resource_id(profile.name, "plan"),
        "status": _PLAN[now.status],
        "intent": "plan",
        "title": fill(content.messages.therapist.export.plan_title, {"exercise": title}),
        "subject": reference(resource_id(profile.name, "patient")),
        "period": {"start": prescription.on.isoformat()},
        "contributor": [{"display": prescription.initials}],
        "goal": [reference(resource_id(profile.name, "goal"))],
        "activity": [
            {
                "detail": {
                    "code": concept(
                        coding(LOINC, EXERCISE_ACTIVITY), coding(LOCAL, prescription.exercise), text=title
                    ),
                    "status": _activity_status(now, no_session),
                    **({"statusReason": {"text": no_session}} if no_session else {}),
                    "scheduledTiming": {"repeat": {"frequency": days, "period": 1, "periodUnit": "wk"}},
                    "description": _dose(prescription, content),
                }
            }
        ],
        **({"note": [_note(one) for one in prescription.sign_offs]} if prescription.sign_offs else {}),
    }


def _activity_status(now: Progress, no_session: str) -> str:
    """The status as a code of FHIR's CarePlanActivityStatus."""
    if now.status == "active" and not now.sessions:
        return "not-started"
    return "on-hold" if now.status == "active" and no_session else _ACTIVITY[now.status]


def _dose(prescription: Prescription, content: Content) -> str:
    dose = prescription.dose
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
    more = signed.model_dump(mode="json", exclude_defaults=True, exclude={"at", "initials", "what", "reason"})
    said = " ".join(f"{name}={value}" for name, value in more.items())
    what = f"{signed.what} {said}" if said else signed.what
    return {"authorString": signed.initials, "time": instant(signed.at), "text": f"{what}: {signed.reason}"}


def _sessions(profile: Profile, records: Sequence[Record], now: Progress, content: Content) -> Iterator[Json]:
    """Each session as a Procedure, followed by its answers, ratings and sets."""
    sets: dict[int, list[PerformedSet]] = {}  # by the record, which is the same object in both
    for one in performed_sets(records, now, RuleBook(content)):
        sets.setdefault(id(one.record), []).append(one)
    last = None
    for record in records:
        yield _procedure(profile, record, content)
        answers = questionnaire_response(profile, record, content)
        if answers is not None:
            yield answers
        yield from rating_observations(profile, record, last, content)
        yield from (set_observation(profile, one, content) for one in sets.get(id(record), ()))
        last = record.last_at


def _procedure(profile: Profile, record: Record, content: Content) -> Json:
    """A session: its status, and the decision with its reason."""
    where = content.exercise(record.exercise).position(record.position_deg)
    position = content.messages.exercises[record.exercise].at(where.name).title
    ended = record.ended
    decided: Json = {}
    if ended is not None:
        moves = content.messages.client.scale.move
        text = f"{moves[ended.decision.move]} ({ended.decision.rule})"
        decided = {
            "outcome": concept(coding(LOCAL, ended.decision.move), coding(LOCAL, ended.decision.rule), text=text),
            "note": [{"time": instant(ended.at), "text": ended.decision.reason}],
        }
    return {
        "resourceType": "Procedure",
        "id": resource_id(profile.name, "session", record.started.isoformat()),
        "basedOn": [reference(resource_id(profile.name, "plan"))],
        "status": _status(record),
        "code": local(
            "guided_band_session", fill(content.messages.therapist.export.session_title, {"position": position})
        ),
        "subject": reference(resource_id(profile.name, "patient")),
        "performedPeriod": {"start": instant(record.started), "end": instant(record.last_at)},
        "bodySite": [local(f"{profile.side}_shoulder")],
        **decided,
    }


def _status(record: Record) -> str:
    """The status as a code of FHIR's EventStatus."""
    if record.ended is None:
        return "in-progress"
    if not record.sets_done:
        return "not-done"
    return "completed" if record.ended.how == "finished" else "stopped"

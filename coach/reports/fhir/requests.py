"""What is prescribed as ServiceRequests based on the plan, goals with their targets, and who signed what. Pure.

As the HL7 guide on physical activity has it where it fits: a ServiceRequest for each exercise, based on the CarePlan;
Goals with targets; instructions of the therapist as Provenance of the plan.
"""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from coach.model.content import Content
from coach.model.exercise import LOAD_UNITS, coordinate_of
from coach.model.instruction import Instruction
from coach.model.prescription import Dose, Prescription
from coach.model.profile import Profile, Weekday
from coach.model.programme.visit_file import Goal
from coach.model.progress import Progress
from coach.model.record import Status
from coach.progression.programme.after_visit import Discharged
from coach.reports.fhir.parts import (
    EXERCISE_ACTIVITY,
    LOCAL,
    LOINC,
    Json,
    coding,
    concept,
    instant,
    local,
    quantity,
    reference,
    resource_id,
    shoulder,
)
from coach.reports.tables.sets import signed_text

_PARTS = "urn:steady-arc:dose"
_REQUEST: Mapping[Status, str] = {
    "active": "active",
    "paused": "on-hold",
    "review": "on-hold",
    "complete": "completed",
}
_UNITS = {"Nm": "N.m", "N": "N"}


class ExportedExercise(Struct, frozen=True):
    """One exercise as it is prescribed, on its side, and where the client stands in it.

    `no_session` says why no session may start now; it is the reason for the status of the activity. `title`, with
    the side, is empty where the client has only one; `days` are those on which it is due, where they are named.
    """

    profile: Profile
    prescription: Prescription
    now: Progress
    no_session: str = ""
    title: str = ""
    days: tuple[Weekday, ...] = ()

    @property
    def status(self) -> str:
        """The status as a code of FHIR's request: on hold as long as no session may start."""
        status = _REQUEST[self.now.status]
        return "on-hold" if status == "active" and self.no_session else status


def service_request(
    profile: Profile, one: ExportedExercise, number: int, content: Content, text: str, discharged: Discharged | None
) -> Json:
    """One exercise as a request based on the plan, with its dose in parts; `text` is the dose as a sentence."""
    prescription = one.prescription
    title = one.title or content.messages.exercises[prescription.exercise].title
    return {
        "resourceType": "ServiceRequest",
        "id": resource_id(profile.name, "request", one.now.name or "", number),
        "extension": [_dose_parts(prescription.dose_at(one.now.position))],
        "basedOn": [reference(resource_id(profile.name, "plan"))],
        "status": one.status if discharged is None else "completed",
        "intent": "order",
        "category": [concept(coding(LOINC, EXERCISE_ACTIVITY))],
        "code": concept(coding(LOCAL, prescription.exercise), text=title),
        "subject": reference(resource_id(profile.name, "patient")),
        "occurrenceTiming": {"repeat": when_due(one)},
        "authoredOn": prescription.on.isoformat(),
        "requester": {"display": prescription.initials},
        "bodySite": [shoulder(one.profile.side)],
        "patientInstruction": text,
    }


def _dose_parts(dose: Dose) -> Json:
    """The dose as an extension, each part with its unit."""
    tempo = dose.tempo
    seconds = {
        "out": tempo.out_s,
        "hold": tempo.hold_s,
        "back": tempo.back_s,
        "relax": tempo.relax_s,
        "rest": dose.rest_s,
    }
    repetitions = {"low": {"value": dose.repetitions_min}, "high": {"value": dose.repetitions_max}}
    parts: list[Json] = [
        {"url": "sets", "valueInteger": dose.sets},
        {"url": "repetitions", "valueRange": repetitions},
    ]
    for name, value in seconds.items():
        parts.append({"url": name, "valueDuration": quantity(value, "s")})
    return {"url": _PARTS, "extension": parts}


def when_due(one: ExportedExercise) -> Json:
    """How often, or on which days where they are named; FHIR writes a day with its first three letters."""
    if one.days:
        return {"dayOfWeek": [day[:3] for day in one.days]}
    return {"frequency": one.prescription.dose.days_a_week, "period": 1, "periodUnit": "wk"}


def target_loads(exercises: Sequence[ExportedExercise], content: Content) -> list[Json]:
    """The loads at which positions are complete, as targets of the goal."""
    targets: list[Json] = []
    for one in exercises:
        positions = content.exercise(one.prescription.exercise)
        for target in one.prescription.targets:
            unit = LOAD_UNITS[coordinate_of(positions.position(target.position).direction)]
            what = "mean_force" if unit == "N" else "mean_torque"
            title = content.messages.exercises[one.prescription.exercise].at(target.position).title
            measure = local(what, f"{one.title}, {title}" if one.title else title)
            targets.append({"measure": measure, "detailQuantity": quantity(target.mean_nm, _UNITS[unit])})
    return targets


def visit_goals(profile: Profile, goals: Sequence[Goal], status: str) -> Iterator[Json]:
    """The goals of the newest visit, each with what is measured, the value to be reached, and by when."""
    for number, goal in enumerate(goals):
        value: Json = {} if goal.target is None else {"detailQuantity": {"value": goal.target}}
        measure = {"measure": local("goal_measure", goal.measure)} if value else {}
        yield {
            "resourceType": "Goal",
            "id": resource_id(profile.name, "goal", number, goal.what),
            "lifecycleStatus": status,
            "description": {"text": goal.what},
            "subject": reference(resource_id(profile.name, "patient")),
            "target": [{**measure, **value, "dueDate": goal.by.isoformat()}],
        }


def provenance(profile: Profile, signed: Instruction) -> Json:
    """Who signed an instruction, when, and why; what it changed is the plan."""
    return {
        "resourceType": "Provenance",
        "id": resource_id(profile.name, "instruction", instant(signed.at), signed.what),
        "target": [reference(resource_id(profile.name, "plan"))],
        "occurredDateTime": instant(signed.at),
        "recorded": instant(signed.at),
        "reason": [{"text": signed.reason}],
        "activity": local(signed.what, signed_text(signed)),
        "agent": [{"who": {"display": signed.initials}}],
    }

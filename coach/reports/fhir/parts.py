"""Parts of FHIR resources: codes, quantities, references and ids. Pure.

HL7 FHIR R4 (4.0.1), hl7.org/fhir/R4; the resources used here are the same in R4B (4.3.0). Codes come from LOINC and
ICF where one has the same meaning, otherwise they are our own; units are UCUM. The system URI of ICF is that of HL7
Terminology, CodeSystem ICF.
"""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID, uuid5

from coach.model.base import Side
from coach.model.option_names import Direction
from coach.model.record import Record

Json = dict[str, object]

LOINC, ICF, UCUM = "http://loinc.org", "http://hl7.org/fhir/sid/icf", "http://unitsofmeasure.org"
LOCAL, PSEUDONYM, SESSION = "urn:steady-arc:codes", "urn:steady-arc:pseudonym", "urn:steady-arc:session"
_CATEGORY = "http://terminology.hl7.org/CodeSystem/observation-category"

# These codes and their meanings were looked up in LOINC and ICF.
PAIN_0_TO_10, EXERTION, EXERCISE_ACTIVITY = "72514-3", "82289-0", "73985-4"
# Active rotation range by direction; a direction without a known LOINC code gets one of our own.
ROTATION_RANGE: Mapping[Direction, str] = {"external": "41387-2"}
ICF_PAIN, ICF_JOINT_MOBILITY, ICF_MUSCLE_POWER = "b280", "b7100", "b7300"

# Ids are derived from the pseudonym and the place in the record, so that a later export uses the same ids.
_IDS = UUID("5d3f2b0e-6f5c-5c1a-9d55-0c5a6a1b7e21")


def resource_id(profile: str, *place: object) -> str:
    """The id of a resource, derived from the pseudonym and its place in the record."""
    return str(uuid5(_IDS, "/".join(map(str, (profile, *place)))))


def session_id(profile: str, record: Record) -> str:
    """The id of a session; of several exercises each is one."""
    return resource_id(profile, "session", *place_of(record))


def place_of(record: Record) -> tuple[str, ...]:
    """What tells a record from others: its start, and in a session of several exercises which one it is.

    A record from before there was a programme keeps the ids that it had.
    """
    started = record.started.isoformat()
    return (started,) if record.format == 1 or record.name is None else (started, record.name)


def shoulder(side: Side) -> Json:
    """The shoulder that was trained or measured."""
    return local(f"{side}_shoulder")


def urn(resource_id: str) -> str:
    """The URN of a resource within the bundle."""
    return f"urn:uuid:{resource_id}"


def reference(resource_id: str) -> Json:
    """A reference to another resource of the bundle."""
    return {"reference": urn(resource_id)}


def coding(system: str, code: str, display: str | None = None) -> Json:
    """A Coding: one code of a code system."""
    return {"system": system, "code": code, **({"display": display} if display else {})}


def concept(*codings: Json, text: str | None = None) -> Json:
    """A CodeableConcept: codes with a text."""
    return {"coding": list(codings), **({"text": text} if text else {})}


def local(code: str, text: str | None = None) -> Json:
    """A CodeableConcept with a code of our own, where no standard code fits."""
    return concept(coding(LOCAL, code), text=text)


def category(kind: str, icf: str | None = None) -> list[Json]:
    """The category of an observation: a code of FHIR's list, and the ICF body function that it concerns."""
    kinds = [concept(coding(_CATEGORY, kind))]
    return [*kinds, concept(coding(ICF, icf))] if icf else kinds


def quantity(value: float, unit: str) -> Json:
    """A Quantity: a number with its UCUM unit."""
    return {"value": value, "unit": unit, "system": UCUM, "code": unit}


def component(code: str, value: int | float | str | Json, unit: str | None = None) -> Json:
    """A component of an observation: a quantity if there is a unit, otherwise an integer, a text or a concept."""
    named: Json = {"code": local(code)}
    if isinstance(value, dict):
        return {**named, "valueCodeableConcept": value}
    if isinstance(value, str):
        return {**named, "valueString": value}
    return {**named, **({"valueQuantity": quantity(value, unit)} if unit else {"valueInteger": value})}


def instant(at: datetime) -> str:
    """A FHIR instant: date and time with the UTC offset."""
    return at.isoformat(timespec="seconds")

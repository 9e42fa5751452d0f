"""The bundle against an independent reading of HL7 FHIR, and against the records.

The models are those of R4B (fhir.resources), in which the resources used here are the same as in R4.
"""

import json
import uuid
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from fhir.resources.R4B.bundle import Bundle

from coach.cli import main
from coach.model.option_names import DischargeReason
from coach.model.prescription import Prescription, Target
from coach.model.profile import AvailableRange, Profile, Strength
from coach.model.programme.visit_file import Goal
from coach.model.progress import Progress
from coach.model.record import Ended, Record, SessionEnd
from coach.progression.programme.after_visit import Discharged
from coach.reports.fhir.bundle import fhir_json, fhir_resources, programme_resources
from coach.reports.fhir.requests import ExportedExercise
from tests.plans import plan_of, shipped
from tests.progression.records import START, STEPS, instruction, judge, prescription, session, standing

# Read in LOINC: 72514-3 pain 0-10 (an integer), 41387-2 active external rotation range, 82289-0 rating of perceived
# exertion, 73985-4 exercise activity. Read in ICF: b280 pain, b7100 joint mobility, b7300 muscle power.
LOINC = {"pain": "72514-3", "range": "41387-2", "effort": "82289-0", "exercise": "73985-4"}
ICF = {"b280", "b7100", "b7300"}
# UCUM: The Unified Code for Units of Measure; m, s, deg, N are its units, N.m their product, {score} an annotation.
UNITS = {"deg", "s", "N", "N.m", "{score}", "m", "cm"}

Json = dict[str, Any]


def ended(record: Record, how: SessionEnd = "finished") -> Record:
    return record.with_entry(Ended(at=record.last_at, how=how, decision=judge(record).decision))


def history() -> tuple[Record, ...]:
    """Whole, with pain and faults, short, stopped before any set, and left open."""
    return (
        ended(session(given={"check_in.pain_now": 2, "pain": 3, "effort": 7})),
        ended(session(days=2, done=(10, 7), given={"set_2.pain": 5, "elbow": "yes", "range": "no"}), "left"),
        ended(session(days=4, done=(), given={"check_in.sign": "lump"}), "stopped"),
        session(
            days=6,
            done=(10,),
            given={"set_1.trouble": "ache", "set_1.trouble_where": "upper_arm", "set_1.trouble_pain": 6},
        ),
    )


def client() -> Profile:
    given = {
        "ranges": (
            AvailableRange(position="0", available_deg=62.5, on=START.date()),
            AvailableRange(position="45", available_deg=71.0, on=START.date()),
            AvailableRange(position="0", available_deg=68.0, on=START.date()),
        ),
        "strengths": (Strength(position="0", force_n=52.0, lever_m=0.24, on=START.date()),),
    }
    return plan_of("tern").profile.model_copy(update=given)


def written(records: Sequence[Record] | None = None) -> Json:
    signed = (instruction("unlock_position", 3, position="45"), instruction("freeze_load", 4))
    told = history() if records is None else tuple(records)
    return read_back(prescription(sign_offs=signed), told, standing())


def read_back(prescribed: Prescription, records: Sequence[Record], now: Progress) -> Json:
    """The bundle as another program reads it; the lines are broken as the standard library does."""
    resources = fhir_resources(client(), prescribed, records, now, shipped())
    text = b"".join(fhir_json(client(), resources)).decode()
    read: Json = json.loads(text)
    assert text == json.dumps(read, indent=1, ensure_ascii=False) + "\n"
    return read


def resources(bundle: Json, kind: str) -> list[Json]:
    return [entry["resource"] for entry in bundle["entry"] if entry["resource"]["resourceType"] == kind]


def observed(bundle: Json, loinc: str) -> list[Json]:
    return [
        one
        for one in resources(bundle, "Observation")
        if {"system": "http://loinc.org", "code": loinc} in one["code"]["coding"]
    ]


def part(observation: Json, code: str) -> list[Json]:
    return [one for one in observation["component"] if one["code"]["coding"][0]["code"] == code]


def values(node: Any, key: str) -> Iterator[Any]:
    """Everything under this key, however deep."""
    if isinstance(node, dict):
        if key in node:
            yield node[key]
        for inner in node.values():
            yield from values(inner, key)
    elif isinstance(node, list):
        for inner in node:
            yield from values(inner, key)


@pytest.mark.parametrize("records", [(), history()[:1], history()], ids=["new", "one session", "all sorts"])
def test_it_is_valid(records: Sequence[Record]) -> None:
    bundle = written(records)
    read = Bundle.model_validate_json(json.dumps(bundle))
    assert json.loads(read.model_dump_json()) == bundle
    assert read.entry is not None
    assert len(read.entry) == len(bundle["entry"])


def test_the_validator_would_find_a_fault() -> None:
    for spoil in ("status", "subject"):
        bundle = written()
        resources(bundle, "Procedure")[0].pop(spoil)
        with pytest.raises(ValueError, match=spoil):
            Bundle.model_validate_json(json.dumps(bundle))


def test_ids_are_unique_and_every_reference_is_in_the_bundle() -> None:
    bundle = written()
    addresses = [entry["fullUrl"] for entry in bundle["entry"]]
    assert len(set(addresses)) == len(addresses)
    assert [f"urn:uuid:{entry['resource']['id']}" for entry in bundle["entry"]] == addresses
    assert all(uuid.UUID(address.removeprefix("urn:uuid:")).version == 5 for address in addresses)
    assert set(values(bundle, "reference")) <= set(addresses)


def test_a_later_export_says_the_same_again_under_the_same_ids() -> None:
    early = {entry["fullUrl"]: entry["resource"] for entry in written(history()[:2])["entry"]}
    late = {entry["fullUrl"]: entry["resource"] for entry in written()["entry"]}
    assert early.items() <= late.items()
    assert written() == written()


def test_where_it_hurt_is_the_site_of_that_pain_and_of_no_other() -> None:
    pains = observed(written(), LOINC["pain"])
    sites = [one["bodySite"] for one in pains if "bodySite" in one]
    assert len(pains) > 8
    assert [site["text"] for site in sites] == ["The upper arm"]


def test_pain_comes_out_as_it_went_in() -> None:
    pains = [one for one in observed(written(), LOINC["pain"]) if "effectiveDateTime" in one]
    came_out = Counter((one["effectiveDateTime"], one["valueInteger"]) for one in pains)
    of_sets = [f"set_{number}.{what}" for number in (1, 2, 3) for what in ("pain", "trouble_pain")]
    went_in = Counter(
        (record.started.isoformat(), record.answers[name])
        for record in history()
        for name in ("check_in.pain_now", *of_sets)
        if name in record.answers
    )
    # There was no session before the first, so the morning after it has no time but that of the answer.
    first = history()[0]
    went_in[first.started.isoformat(), first.answers["check_in.morning_after"]] += 1
    assert came_out == went_in
    assert went_in.total() > 8


def test_the_pain_of_the_morning_after_is_of_the_time_between() -> None:
    between = [one["effectivePeriod"] for one in observed(written(), LOINC["pain"]) if "effectivePeriod" in one]
    times = [record.started.isoformat() for record in history()]
    assert between == [{"start": start, "end": end} for start, end in pairwise(times)]


def test_only_the_last_of_two_answers_counts() -> None:
    record = session(given={"set_1.pain": 6})
    again = next(entry for entry in record.entry if getattr(entry, "step", "") == "set_1.pain")
    bundle = written((record.with_entry(again.model_copy(update={"value": 1})),))
    assert 6 not in [one["valueInteger"] for one in observed(bundle, LOINC["pain"])]


def test_range_comes_out_as_it_went_in() -> None:
    came_out = [
        (part(one, "position")[0]["valueQuantity"]["value"], one["valueQuantity"]["value"], one["effectiveDateTime"])
        for one in observed(written(), LOINC["range"])
    ]
    assert came_out == [(int(one.position), one.available_deg, one.on.isoformat()) for one in client().ranges]


def test_strength_comes_out_with_its_lever() -> None:
    (one,) = [one for one in resources(written(), "Observation") if part({"component": [], **one}, "force")]
    assert part(one, "force")[0]["valueQuantity"] | {"system": "", "unit": ""} == {
        "value": 52.0,
        "code": "N",
        "system": "",
        "unit": "",
    }
    assert one["valueQuantity"]["value"] == pytest.approx(52.0 * 0.24)


def test_sets_come_out_as_they_went_in() -> None:
    came_out = [
        (
            part(one, "set")[0]["valueInteger"],
            part(one, "repetitions")[0]["valueInteger"],
            part(one, "under_load")[0]["valueQuantity"]["value"],
            part(one, "mean_torque")[0]["valueQuantity"]["value"],
            {fault["valueCodeableConcept"]["coding"][0]["code"] for fault in part(one, "fault")},
        )
        for one in observed(written(), LOINC["exercise"])
    ]
    faults: list[set[str]] = [set()] * 3 + [{"elbow_drifted", "end_range_lost"}] * 2 + [set()]
    done = [one for record in history() for one in record.sets_done]
    load = history()[0].rungs.step
    assert came_out == [
        (one.number, one.repetitions, one.under_load_s, load.mean_nm, wrong)
        for one, wrong in zip(done, faults, strict=True)
    ]


def test_every_answer_comes_out_as_it_went_in() -> None:
    for told, record in zip(resources(written(), "QuestionnaireResponse"), history(), strict=True):
        came_out = {
            item["linkId"]: item["answer"][0].get(
                "valueInteger", item["answer"][0].get("valueCoding", {}).get("code")
            )
            for group in told["item"]
            for item in group["item"]
        }
        assert came_out == as_how_often(record)
        assert all(item["text"] for group in told["item"] for item in group["item"])


def as_how_often(record: Record) -> dict[str, int | str]:
    """The answers, with those about form as how often: older records hold yes or no, and a follow-up question."""
    found: dict[str, int | str] = {}
    followed = {one.follow_up for one in shipped().questions.values()}
    for step, value in record.answers.items():
        group, _, name = step.partition(".")
        question = shipped().questions.get(name)
        if name not in followed:
            follow_up = record.answers.get(f"{group}.{question.follow_up}") if question is not None else None
            found[step] = value if question is None else question.how_often(value, follow_up) or value
    return found


def test_what_people_read_is_in_words_and_what_programs_read_has_names() -> None:
    bundle = written()
    rules = {rule.name for rule in shipped().rules if "_" in rule.name}
    texts = [text for text in values(bundle, "text") if isinstance(text, str)]
    assert [text for text in texts if any(rule in text for rule in rules)] == []
    assert any(text.endswith("(warning sign)") for text in texts)
    assert "warning_sign" in values(bundle, "code")


def test_how_a_session_went_is_in_the_words_of_fhir() -> None:
    states = [one["status"] for one in resources(written(), "Procedure")]
    assert states == ["completed", "stopped", "not-done", "in-progress"]
    told = [one["status"] for one in resources(written(), "QuestionnaireResponse")]
    assert told == ["completed", "stopped", "stopped", "in-progress"]


@pytest.mark.parametrize(
    ("status", "plan", "activity"),
    [("active", "active", "in-progress"), ("review", "on-hold", "on-hold"), ("complete", "completed", "completed")],
)
def test_the_plan_stands_where_the_client_stands(status: str, plan: str, activity: str) -> None:
    (told,) = resources(read_back(prescription(), history(), standing(status=status)), "CarePlan")
    assert (told["status"], told["activity"][0]["detail"]["status"]) == (plan, activity)
    assert told["activity"][0]["detail"]["scheduledTiming"]["repeat"] == {
        "frequency": 3,
        "period": 1,
        "periodUnit": "wk",
    }


@pytest.mark.parametrize(
    ("reason", "goal", "activity"),
    [
        ("goals_met", "completed", "completed"),
        ("own_wish", "cancelled", "stopped"),
        ("moved", "cancelled", "stopped"),
    ],
)
@pytest.mark.parametrize("status", ["active", "review", "paused"])
def test_a_discharge_ends_the_plan_its_goals_and_its_requests(
    reason: DischargeReason, goal: str, activity: str, status: str
) -> None:
    bundle = discharged(Discharged(on=date(2026, 12, 1), reason=reason), standing(status=status, sessions=3))
    (plan,), (request,) = resources(bundle, "CarePlan"), resources(bundle, "ServiceRequest")
    assert [one["lifecycleStatus"] for one in resources(bundle, "Goal")] == [goal, goal]
    assert (plan["status"], request["status"]) == ("completed", "completed")
    assert plan["period"] == {"start": prescription().on.isoformat(), "end": "2026-12-01"}
    told = plan["activity"][0]["detail"]
    assert told["status"] == activity
    assert told["statusReason"]["text"] == shipped().messages.therapist.visit.reason[reason]


@pytest.mark.parametrize(
    ("now", "activity"),
    [(standing(sessions=0), "cancelled"), (standing(status="complete", sessions=3), "completed")],
    ids=["never begun", "complete before it"],
)
def test_what_was_not_going_on_at_the_discharge(now: Progress, activity: str) -> None:
    (plan,) = resources(discharged(Discharged(on=date(2026, 12, 1), reason="moved"), now), "CarePlan")
    assert plan["activity"][0]["detail"]["status"] == activity


def test_a_plan_of_after_the_discharge_ends_before_no_beginning() -> None:
    (plan,) = resources(discharged(Discharged(on=date(2020, 1, 2), reason="moved"), standing()), "CarePlan")
    assert "end" not in plan["period"]


def discharged(when: Discharged, now: Progress) -> Json:
    """The bundle of a client who was discharged, as another program reads it."""
    goals = (Goal(what="reach a shelf", measure="height, cm", by=date(2026, 12, 24)),)
    exercise = ExportedExercise(client(), prescription(), now, "why none may start now")
    made = programme_resources(client(), (exercise,), (), shipped(), goals, when)
    bundle: Json = json.loads(b"".join(fhir_json(client(), made)))
    Bundle.model_validate_json(json.dumps(bundle))
    return bundle


def test_what_was_signed_is_kept_with_its_initials() -> None:
    (plan,) = resources(written(), "CarePlan")
    assert [(note["authorString"], note["text"]) for note in plan["note"]] == [
        ("AB", "unlock_position position=45: seen"),
        ("AB", "freeze_load: seen"),
    ]


def test_codes_and_units_are_those_of_the_standards() -> None:
    bundle = written()
    used = [coding for codings in values(bundle, "coding") for coding in codings]
    assert {one["code"] for one in used if one["system"] == "http://loinc.org"} == set(LOINC.values())
    assert {one["code"] for one in used if one["system"] == "http://hl7.org/fhir/sid/icf"} == ICF
    quantities = list(values(bundle, "valueQuantity"))
    assert {one["code"] for one in quantities} == UNITS
    assert {one["system"] for one in quantities} == {"http://unitsofmeasure.org"}


def test_no_name_is_in_it() -> None:
    (patient,) = resources(written(), "Patient")
    assert set(patient) == {"resourceType", "id", "identifier", "communication"}
    for key in ("name", "birthDate", "telecom", "address", "photo", "contact", "gender"):
        assert not list(values(written(), key))


def test_activities_are_rated_as_scores() -> None:
    record = session(given={"check_in.activity_1": 4, "check_in.activity_2": 7})
    record = record.model_copy(update={"activities": ("hang out washing", "reach a high shelf")})
    bundle = written((record,))
    rated = [one for one in resources(bundle, "Observation") if one["code"]["coding"][0]["code"] == "activity_rating"]
    assert [(one["code"]["text"], one["valueQuantity"]["value"]) for one in rated] == [
        ("hang out washing", 4),
        ("reach a high shelf", 7),
    ]
    Bundle.model_validate_json(json.dumps(bundle))


def test_each_exercise_is_a_request_based_on_the_plan_with_its_dose_in_parts() -> None:
    bundle = written()
    (request,), (plan,) = resources(bundle, "ServiceRequest"), resources(bundle, "CarePlan")
    assert request["basedOn"] == [{"reference": f"urn:uuid:{plan['id']}"}]
    assert (request["status"], request["intent"]) == ("active", "order")
    assert request["occurrenceTiming"]["repeat"] == plan["activity"][0]["detail"]["scheduledTiming"]["repeat"]
    dose = {one["url"]: one for one in request["extension"][0]["extension"]}
    asked = prescription().dose
    assert dose["sets"]["valueInteger"] == asked.sets
    assert [dose["repetitions"]["valueRange"][end]["value"] for end in ("low", "high")] == [8, 15]
    seconds = {name: dose[name]["valueDuration"]["value"] for name in ("out", "hold", "back", "relax", "rest")}
    tempo = asked.tempo
    assert seconds == {
        "out": tempo.out_s,
        "hold": tempo.hold_s,
        "back": tempo.back_s,
        "relax": tempo.relax_s,
        "rest": asked.rest_s,
    }
    assert {dose[name]["valueDuration"]["code"] for name in seconds} == {"s"}


def test_the_goal_has_the_loads_at_which_positions_are_complete_and_the_goals_of_a_visit() -> None:
    targets = (Target(position="0", mean_nm=4.5), Target(position="45", mean_nm=6.0))
    prescribed = prescription().model_copy(update={"targets": targets})
    goals = (
        Goal(what="reach a shelf", measure="height, cm", today=150, target=172.5, by=date(2026, 12, 24)),
        Goal(what="sleep on that side", measure="nights a week", by=date(2026, 12, 24)),
    )
    exercise = ExportedExercise(client(), prescribed, standing())
    made = programme_resources(client(), (exercise,), (), shipped(), goals)
    bundle: Json = json.loads(b"".join(fhir_json(client(), made)))
    Bundle.model_validate_json(json.dumps(bundle))
    whole, shelf, sleep = resources(bundle, "Goal")
    assert [(one["detailQuantity"]["value"], one["detailQuantity"]["code"]) for one in whole["target"]] == [
        (4.5, "N.m"),
        (6.0, "N.m"),
    ]
    (target,) = shelf["target"]
    assert (target["measure"]["text"], target["detailQuantity"]["value"], target["dueDate"]) == (
        "height, cm",
        172.5,
        "2026-12-24",
    )
    assert sleep["target"] == [{"dueDate": "2026-12-24"}]
    (plan,) = resources(bundle, "CarePlan")
    assert [one["reference"] for one in plan["goal"]] == [f"urn:uuid:{one['id']}" for one in (whole, shelf, sleep)]


def test_who_signed_an_instruction_is_provenance_of_the_plan() -> None:
    bundle = written()
    (plan,) = resources(bundle, "CarePlan")
    told = resources(bundle, "Provenance")
    assert [
        (one["agent"][0]["who"]["display"], one["reason"][0]["text"], one["activity"]["text"]) for one in told
    ] == [
        ("AB", "seen", "unlock_position position=45: seen"),
        ("AB", "seen", "freeze_load: seen"),
    ]
    assert {one["target"][0]["reference"] for one in told} == {f"urn:uuid:{plan['id']}"}
    assert [one["recorded"] for one in told] == [note["time"] for note in plan["note"]]


def test_the_load_of_a_set_has_its_interval_as_a_range() -> None:
    load = STEPS[0].model_copy(update={"low_nm": 1.7, "high_nm": 2.4})
    record = session(done=(10,))
    record = record.model_copy(update={"rungs": record.rungs.model_copy(update={"step": load})})
    (one,) = observed(written((record,)), LOINC["exercise"])
    ((interval,)) = part(one, "mean_torque_interval")
    assert [interval["valueRange"][end] for end in ("low", "high")] == [
        {"value": value, "unit": "N.m", "system": "http://unitsofmeasure.org", "code": "N.m"} for value in (1.7, 2.4)
    ]


def test_loinc_is_given_its_notice(demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As its license asks of whoever passes its codes on: https://loinc.org/license (memory)."""
    assert main(["export", str(demo_profiles / "tern"), "--fhir", "--to", str(tmp_path / "tern.json")]) == 0
    assert "This material contains content from LOINC" in " ".join(capsys.readouterr().out.split())

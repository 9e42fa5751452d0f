"""The fields of the intake form, with common values filled in."""

import re
from collections.abc import Iterator, Mapping

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.programme import ProgrammeExercise
from coach.screens.therapist.asked_field import asked_field
from coach.screens.widgets.form import Field
from coach.store.therapist.intake import MEASURED_OF_FURTHER, first_position
from coach.toml.expected import expected_at

_BANDS = 3
_MOST_EXERCISES = 4
# Common values, to be overwritten: 8-15 repetitions, 2-3 sets, 3 days a week: BMC Musculoskelet Disord 2021;22:11,
# table 2. 3 s out, 2 s held, 3 s back, 2 s break: Faber M et al., PeerJ 2015;3:e1102 (abstract). Marks, rest and
# count-in are ours.
_USUAL = {
    "profile.fractions": "both",
    "profile.language": "en",
    "profile.home.nearest_cm": "60",
    "profile.home.farthest_cm": "200",
    "profile.home.strands": "1",
    "prescription.exercise": "external_rotation",
    "prescription.positions": "0",
    "prescription.dose.sets": "3",
    "prescription.dose.repetitions_min": "8",
    "prescription.dose.repetitions_max": "15",
    "prescription.dose.tempo": "3 2 3 2",
    "prescription.dose.rest_s": "120",
    "prescription.dose.count_in_s": "10",
    "prescription.dose.days_a_week": "3",
}
_CLIENT = ("name", "side", "stature_m", "mass_kg", "fractions", "language")
_LENGTHS = ("lengths.grip_lever_m", "lengths.shoulder_height_m", "lengths.upper_arm_m")
_HOME = ("home.anchor_heights_cm", "home.nearest_cm", "home.farthest_cm", "home.strands")
_GOAL = ("goal", "positions", "initials", "activities", "limits.pain_max")
_SETS = ("dose.sets", "dose.repetitions_min", "dose.repetitions_max", "dose.tempo")
_PLAN = ("exercise", *_GOAL, *_SETS, "dose.rest_s", "dose.count_in_s", "dose.days_a_week")
_OWN_PLAN = ("plan.days", "plan.at", "plan.when", "plan.where", "plan.if_not")
_FURTHER = re.compile(r"(profile\.exercises\.(\d+))\.")
_MEASURED = re.compile(r"(profile\.(?:ranges|strengths)\.([a-z0-9_]+))\.")


def intake_fields(content: Content, name: str) -> tuple[Field, ...]:
    """The fields in the order in which a therapist asks; `name`, that of the folder, is the pseudonym."""
    return tuple(_fields(content, name))


def with_direction(given: Mapping[str, str], content: Content) -> dict[str, str]:
    """The input with a value that the form does not ask for: measurements are in the direction of the exercise."""
    measured = dict[str, tuple[str, str]]()
    for key in (key for key, text in given.items() if text.strip()):
        if at := _MEASURED.match(key):
            measured[at[1]] = given["prescription.exercise"], at[2]
        elif at := _FURTHER.match(key):
            prescribed = f"prescription.exercises.{at[2]}"
            measured[at[1]] = (
                given.get(f"{prescribed}.exercise", ""),
                first_position(given[f"{prescribed}.positions"]),
            )
    found = {key: _direction(content, *where) for key, where in measured.items()}
    return {**given, **{f"{key}.direction": direction for key, direction in found.items() if direction}}


def _direction(content: Content, exercise: str, position: str) -> str:
    """The direction of a position of an exercise; empty where there is none."""
    known = content.exercises.get(exercise.strip())
    return next((one.direction for one in known.positions if one.name == position), "") if known is not None else ""


def _shelf_hint(content: Content) -> dict[str, str]:
    """What may be typed as the name of a band where the clinic has a shelf."""
    messages, rolls = content.messages.therapist.intake, ", ".join(roll.name for roll in content.clinic.bands)
    return {"name": fill(messages.shelf, {"hint": messages.hint["name"], "rolls": rolls})} if rolls else {}


def _fields(content: Content, name: str) -> Iterator[Field]:
    messages = content.messages.therapist.intake
    hints = {
        **messages.hint,
        **_shelf_hint(content),
        "prescription.exercise": fill(messages.exercises, {"names": ", ".join(content.exercises)}),
    }

    def ask(model: type[Profile] | type[Prescription], *keys: str) -> Iterator[Field]:
        file = "profile" if model is Profile else "prescription"
        for key in keys:
            whole = f"{file}.{key}"
            here = expected_at(model, tuple(key.split(".")), {})
            typed = name if whole == "profile.name" else _USUAL.get(whole, "")
            yield asked_field(whole, messages.field[whole], typed, here, hints.get(whole, ""))

    def listed(head: str, which: str | int, *names: str) -> Iterator[Field]:
        for one in names:
            here = expected_at(Profile, (head, 0, one), {})
            key = f"profile.{head}.{which}.{one}"
            yield asked_field(key, messages.field[one], "", here, hints.get(one, ""))

    yield Field("", messages.heading["client"])
    yield from ask(Profile, *_CLIENT)
    yield Field("", messages.heading["home"])
    yield from ask(Profile, *_HOME)
    for number in range(1, _BANDS + 1):
        yield Field("", fill(messages.heading["band"], {"number": number}))
        yield from listed("bands", number, "name", "looks", "resting_length_m", "points")
    yield Field("", messages.heading["plan"])
    yield from ask(Prescription, *_PLAN)
    yield from ask(Profile, *_OWN_PLAN)
    yield Field("", messages.heading["history"])
    yield from ask(Prescription, "history", "repaired_on")
    positions = (position for exercise in content.exercises.values() for position in exercise.positions)
    for _, position in sorted({(position.abduction_deg, position.name) for position in positions}):
        yield Field("", fill(messages.heading["measured"], {"position": content.position_label(position)}))
        yield from listed("ranges", position, "available_deg")
        yield from listed("strengths", position, "force_n", "lever_m")
    yield Field("", messages.heading["lengths"])
    yield from ask(Profile, *_LENGTHS)
    for number in range(2, _MOST_EXERCISES + 1):
        yield Field("", fill(messages.heading["exercise"], {"number": number}))
        for key in ("exercise", "side", "positions"):
            whole, here = f"prescription.{key}", expected_at(ProgrammeExercise, (key,), {})
            label, hint = messages.field["profile.side" if key == "side" else whole], hints.get(whole, "")
            yield asked_field(f"prescription.exercises.{number}.{key}", label, "", here, hints.get(key, hint))
        for one in MEASURED_OF_FURTHER:
            here = expected_at(Profile, (MEASURED_OF_FURTHER[one], 0, one), {})
            yield asked_field(f"profile.exercises.{number}.{one}", messages.field[one], "", here, hints.get(one, ""))

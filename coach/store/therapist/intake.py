"""A new client: what was typed becomes the texts of two files, which are checked and written into a new folder.

The texts are read by the models and checks that read the files, so a form and a file have the same rules.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from pathlib import Path

from msgspec import Struct

from coach.content_files.content_folder import content_folder, languages
from coach.mechanics.ladder import NoLoadStep
from coach.model.content import Content
from coach.model.content_entries import Clinic
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.programme import ProgrammeExercise
from coach.progression.state_machine import initial_progress
from coach.session.admission.admit import admit
from coach.session.plan import Plan, plan_session
from coach.store import clock
from coach.store.client_paths import PRESCRIPTION, PROFILE, PROGRAMME
from coach.store.programme.pieces import with_pieces
from coach.store.therapist.check_client import check_sources, exercise_sources
from coach.store.therapist.check_days import check_written_days
from coach.store.therapist.check_overrule import load_fault
from coach.toml.diagnostic import Diagnostic, Refusal
from coach.toml.input_parsing import parse_input_at
from coach.toml.new_file import new_folder
from coach.toml.reader import parse_model
from coach.toml.source_file import SourceFile
from coach.toml.typed_values import DateOrder
from coach.toml.writer import dump_by_hand

FIRST_VERSION = f"{PROGRAMME}/0001.toml"
_OF_AN_EXERCISE = ("exercise", "positions", "limits")
MEASURED_OF_FURTHER: Mapping[str, str] = {
    "available_deg": "ranges",
    "force_n": "strengths",
    "lever_m": "strengths",
}
"""What is measured for an exercise after the first, in its first position, with the list of the profile for it."""
_NAME = re.compile(r"[a-z0-9][a-z0-9_]{0,39}")


class ClientTexts(Struct, frozen=True):
    """The texts of the two files of a new client; `file` is that of what is prescribed, in the client's folder."""

    profile: str
    prescribed: str
    file: str = PRESCRIPTION


class CheckedTexts(Struct, frozen=True):
    """The faults of the texts, and the plan of the first session of each exercise where there are none."""

    texts: ClientTexts
    faults: tuple[Diagnostic, ...]
    plans: tuple[Plan, ...] = ()


def client_texts(given: Mapping[str, str], today: date, clinic: Clinic | None = None) -> ClientTexts:
    """The texts of the files from what was typed.

    Keys are such as profile.stature_m or prescription.dose.sets. A band is profile.bands.NUMBER.KEY; a
    measurement in a position is profile.ranges.NAME.KEY or profile.strengths.NAME.KEY; an exercise after the
    first is prescription.exercises.NUMBER.KEY, and what was measured in its first position
    profile.exercises.NUMBER.KEY. An empty value is left out. `clinic` says in which order dates are written; a band
    with the name of a roll of its shelf, and without points, is a piece of that roll.
    """
    profile = {key.removeprefix("profile."): text for key, text in given.items() if key.startswith("profile.")}
    prescribed = {
        key.removeprefix("prescription."): text for key, text in given.items() if key.startswith("prescription.")
    }
    clinic = clinic or Clinic()
    dates, side = clinic.dates, parse_input_at(profile.get("side", ""), Profile, ("side",))
    programme = _programme({**prescribed, "on": today.isoformat()}, str(side or ""), dates)
    return ClientTexts(_profile(profile, prescribed, today, clinic), programme, FIRST_VERSION)


def check_client_texts(
    texts: ClientTexts, folder: Path, content: Content, at: datetime | None = None
) -> CheckedTexts:
    """Check the two texts as if they were files in `folder`. Raises NoSession where they give no session.

    Each plan says why the first session may not start at `at`, by default now.
    """
    of_profile = SourceFile(folder / PROFILE, texts.profile)
    of_prescribed = SourceFile(folder / texts.file, texts.prescribed)
    now, plans, faults = clock.now().at if at is None else at, list[Plan](), list[Diagnostic]()
    found = check_sources(of_profile, of_prescribed, content, languages(content_folder()))
    found += tuple(check_written_days(of_profile, of_prescribed, now.date()))
    if found:
        return CheckedTexts(texts, found)
    profile = with_pieces(parse_model(texts.profile, of_profile.path, Profile), of_profile)
    for one in exercise_sources(of_prescribed, faults):
        progress, on_side = initial_progress(one.prescription), profile.on_side(one.side or profile.side)
        admission = admit(on_side, one.prescription, content, progress, now)
        try:
            plans.append(admission.plan or plan_session(on_side, one.prescription, content, progress))
        except NoLoadStep as none:
            faults.append(load_fault(none, one, progress, of_profile))
    return CheckedTexts(texts, tuple(faults), () if faults else tuple(plans))


def create_client(texts: ClientTexts, folder: Path, content: Content) -> None:
    """Write both files into a new folder, or neither.

    Raises Refusal with every fault, and FileFault where the folder exists or cannot be written.
    """
    faults = check_client_texts(texts, folder, content).faults
    if faults:
        raise Refusal(faults)
    with new_folder(folder) as write:
        write(PROFILE, texts.profile.encode())
        write(PRESCRIPTION if texts.file == PRESCRIPTION else FIRST_VERSION, texts.prescribed.encode())


def _programme(given: Mapping[str, str], side: str, dates: DateOrder | None) -> str:
    """The text of a programme; `side` is that of the profile.

    Exercises get a name where there are several, and the limits of the first hold for all of them.
    """
    rows = _further(given)
    own = {key: text for key, text in given.items() if key.partition(".")[0] in _OF_AN_EXERCISE}
    shared = {
        key: text for key, text in given.items() if key.partition(".")[0] not in (*_OF_AN_EXERCISE, "exercises")
    }
    limits = {key: text for key, text in own.items() if key.startswith("limits.")}
    exercises = [_tree(own, Prescription), *(_tree({**row, **limits}, ProgrammeExercise) for row in rows.values())]
    if rows:
        sides = [side, *(str(exercise.get("side") or side) for exercise in exercises[1:])]
        exercises = _named(exercises, sides)
    return dump_by_hand({"format": 2, **_tree(shared, Prescription, dates), "exercises": exercises})


def _further(given: Mapping[str, str]) -> dict[str, dict[str, str]]:
    """What was typed for exercises after the first, by their numbers."""
    rows: dict[str, dict[str, str]] = {}
    for key, text in given.items():
        head, _, rest = key.partition(".")
        number, _, name = rest.partition(".")
        if head == "exercises" and text.strip():
            rows.setdefault(number, {})[name] = text
    return rows


def _named(exercises: Iterable[Mapping[str, object]], sides: Iterable[str]) -> list[dict[str, object]]:
    """Exercises with names of their own and their sides, where these can be told."""
    named: dict[str, dict[str, object]] = {}
    for number, (one, side) in enumerate(zip(exercises, sides, strict=True), 1):
        name = f"{one.get('exercise')}_{side}"
        name = f"{name}_{number}" if name in named else name
        told = {"name": name} if one.get("exercise") and _NAME.fullmatch(name) else {}
        named[name] = {**told, **one, **({"side": side} if side else {})}
    return list(named.values())


def first_position(typed: str) -> str:
    """The first of the positions that were typed; empty where there is none."""
    return next(iter(typed.replace(",", " ").split()), "")


def _profile(given: Mapping[str, str], prescribed: Mapping[str, str], today: date, clinic: Clinic) -> str:
    """The text of profile.toml: bands in their order, measurements dated today."""
    lists = ("bands", "ranges", "strengths", "exercises")
    plain = {key: text for key, text in given.items() if key.partition(".")[0] not in lists}
    tree = _tree(plain, Profile, clinic.dates)
    for head in ("ranges", "strengths"):
        rows = [{"position": position, **row, "on": today} for position, row in _rows(given, head).items()]
        rows += [{**row, "on": today} for row in _of_further(given, prescribed, head)]
        if rows:
            tree[head] = rows
    rolls = {roll.name for roll in clinic.bands}
    for row in _rows(given, "bands").values():
        cut = "points" not in row and row.get("name") in rolls
        dated = {"given_on": today} if cut else {"measured_on": today}
        own: dict[str, object] = {("roll" if cut and key == "name" else key): value for key, value in row.items()}
        listed = tree.setdefault("pieces" if cut else "bands", [])
        assert isinstance(listed, list)
        listed.append({**own, **dated})
    return dump_by_hand({"format": 1, **tree})


def _of_further(given: Mapping[str, str], prescribed: Mapping[str, str], head: str) -> Iterator[dict[str, object]]:
    """What was measured in the first position of each further exercise, on its side."""
    for number in dict.fromkeys(key.split(".")[1] for key in given if key.startswith("exercises.")):
        keys = [name for name, of in MEASURED_OF_FURTHER.items() if of == head]
        texts = {name: given.get(f"exercises.{number}.{name}", "") for name in keys}
        if not any(text.strip() for text in texts.values()):
            continue
        row = {name: parse_input_at(text, Profile, (head, 0, name)) for name, text in texts.items() if text.strip()}
        side = str(parse_input_at(prescribed.get(f"exercises.{number}.side", ""), Profile, ("side",)) or "")
        direction = given.get(f"exercises.{number}.direction", "").strip()
        told = {"direction": direction, "side": side}
        position = first_position(prescribed.get(f"exercises.{number}.positions", ""))
        yield {"position": position, **row, **{key: text for key, text in told.items() if text}}


def _rows(given: Mapping[str, str], head: str) -> dict[str, dict[str, object]]:
    """The tables of a list by the second part of their keys; a table without any value is left out."""
    rows: dict[str, dict[str, object]] = {}
    for key, text in given.items():
        if key.startswith(f"{head}.") and text.strip():
            _, which, name = key.split(".")
            rows.setdefault(which, {})[name] = parse_input_at(text, Profile, (head, 0, name))
    return rows


def _tree(
    given: Mapping[str, str],
    model: type[Profile] | type[Prescription] | type[ProgrammeExercise],
    dates: DateOrder | None = None,
) -> dict[str, object]:
    """The values as nested tables."""
    tree: dict[str, object] = {}
    for key, text in given.items():
        *outer, last = key.split(".")
        value = parse_input_at(text, model, (*outer, last), dates)
        if value is None:
            continue
        table = tree
        for part in outer:
            inner = table.setdefault(part, {})
            assert isinstance(inner, dict)
            table = inner
        table[last] = value
    return tree

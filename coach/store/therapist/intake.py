"""A new client: two texts made of what was typed, checked as files are, put into a new folder whole or not at all.

Nothing is judged here: the texts are read by the models and checks that read the files.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from coach.content_files.content_folder import content_folder, languages
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.progression.state_machine import initial_progress
from coach.session.plan import Plan, plan_session
from coach.store.client_paths import PRESCRIPTION, PROFILE
from coach.store.therapist.check_client import check_sources
from coach.toml.diagnostic import Diagnostic, Refusal
from coach.toml.input_parsing import parse_input_at
from coach.toml.new_file import new_folder
from coach.toml.reader import parse_model
from coach.toml.source_file import SourceFile
from coach.toml.writer import dump_by_hand


@dataclass(frozen=True)
class Texts:
    """The two files as they would be."""

    profile: str
    prescription: str


@dataclass(frozen=True)
class Checked:
    """What came of it: the faults, and the plan of the first session where there are none."""

    texts: Texts
    faults: tuple[Diagnostic, ...]
    plan: Plan | None


def texts_of(given: Mapping[str, str], today: date) -> Texts:
    """The files of what was typed, by keys such as profile.stature_m or prescription.dose.sets; empty is left out.

    A band is bands.NUMBER.KEY; what was measured in a position is ranges.DEGREES or strengths.DEGREES.KEY.
    """
    profile = {key.removeprefix("profile."): text for key, text in given.items() if key.startswith("profile.")}
    prescription = {
        key.removeprefix("prescription."): text for key, text in given.items() if key.startswith("prescription.")
    }
    return Texts(
        _profile(profile, today), dump_by_hand(_tree({**prescription, "on": today.isoformat()}, Prescription))
    )


def check(texts: Texts, folder: Path, content: Content) -> Checked:
    """Every fault of the two texts, as the checks of files tell them."""
    of_profile = SourceFile(folder / PROFILE, texts.profile)
    of_prescription = SourceFile(folder / PRESCRIPTION, texts.prescription)
    faults = check_sources(of_profile, of_prescription, content, languages(content_folder()))
    if faults:
        return Checked(texts, faults, None)
    profile = parse_model(texts.profile, of_profile.path, Profile)
    prescription = parse_model(texts.prescription, of_prescription.path, Prescription)
    return Checked(texts, (), plan_session(profile, prescription, content, initial_progress(prescription)))


def take_on(texts: Texts, folder: Path, content: Content) -> None:
    """Put both files into a new folder. Refusal with every fault; FileFault where there can be no such folder."""
    faults = check(texts, folder, content).faults
    if faults:
        raise Refusal(faults)
    with new_folder(folder) as write:
        write(PROFILE, texts.profile.encode())
        write(PRESCRIPTION, texts.prescription.encode())


def _profile(given: Mapping[str, str], today: date) -> str:
    """profile.toml: bands in their order, what was measured today."""
    lists = ("bands", "ranges", "strengths")
    tree = _tree({key: text for key, text in given.items() if key.partition(".")[0] not in lists}, Profile)
    for head in ("ranges", "strengths"):
        rows = [{"position_deg": int(degrees), **row, "on": today} for degrees, row in _rows(given, head).items()]
        if rows:
            tree[head] = rows
    tree["bands"] = list(_rows(given, "bands").values())
    return dump_by_hand(tree)


def _rows(given: Mapping[str, str], head: str) -> dict[str, dict[str, object]]:
    """The tables of a list by what their keys name them with; a table of which nothing was typed is left out."""
    rows: dict[str, dict[str, object]] = {}
    for key, text in given.items():
        if key.startswith(f"{head}.") and text.strip():
            _, which, name = key.split(".")
            rows.setdefault(which, {})[name] = parse_input_at(text, Profile, (head, 0, name))
    return rows


def _tree(given: Mapping[str, str], model: type[Profile] | type[Prescription]) -> dict[str, object]:
    """Values by their keys, one table in another."""
    tree: dict[str, object] = {"format": 1}
    for key, text in given.items():
        *outer, last = key.split(".")
        value = parse_input_at(text, model, (*outer, last))
        if value is None:
            continue
        table = tree
        for part in outer:
            inner = table.setdefault(part, {})
            assert isinstance(inner, dict)
            table = inner
        table[last] = value
    return tree

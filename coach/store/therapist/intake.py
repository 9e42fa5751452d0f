"""A new client: what was typed becomes the texts of two files, which are checked and written into a new folder.

The texts are read by the models and checks that read the files, so a form and a file have the same rules.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from coach.content_files.content_folder import content_folder, languages
from coach.mechanics.ladder import NoLoadStep
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.progression.state_machine import initial_progress
from coach.session.admission.admit import admit
from coach.session.plan import Plan, plan_session
from coach.store import clock
from coach.store.client_paths import PRESCRIPTION, PROFILE
from coach.store.therapist.check_client import check_sources
from coach.store.therapist.check_overrule import load_fault
from coach.store.therapist.check_prescribed import ExerciseSource
from coach.toml.diagnostic import Diagnostic, Refusal
from coach.toml.input_parsing import parse_input_at
from coach.toml.new_file import new_folder
from coach.toml.reader import parse_model
from coach.toml.source_file import SourceFile
from coach.toml.writer import dump_by_hand


@dataclass(frozen=True)
class ClientTexts:
    """The texts of the two files of a new client."""

    profile: str
    prescription: str


@dataclass(frozen=True)
class CheckedTexts:
    """The faults of the texts, and the plan of the first session where there are none."""

    texts: ClientTexts
    faults: tuple[Diagnostic, ...]
    plan: Plan | None


def client_texts(given: Mapping[str, str], today: date) -> ClientTexts:
    """The texts of the files from what was typed.

    Keys are such as profile.stature_m or prescription.dose.sets. A band is profile.bands.NUMBER.KEY; a measurement in
    a position is profile.ranges.DEGREES.KEY or profile.strengths.DEGREES.KEY. An empty value is left out.
    """
    profile = {key.removeprefix("profile."): text for key, text in given.items() if key.startswith("profile.")}
    prescription = {
        key.removeprefix("prescription."): text for key, text in given.items() if key.startswith("prescription.")
    }
    return ClientTexts(
        _profile(profile, today), dump_by_hand(_tree({**prescription, "on": today.isoformat()}, Prescription))
    )


def check_client_texts(
    texts: ClientTexts, folder: Path, content: Content, at: datetime | None = None
) -> CheckedTexts:
    """Check the two texts as if they were files in `folder`. Raises NoSession where they give no session.

    The plan says why the first session may not start at `at`, by default now.
    """
    of_profile = SourceFile(folder / PROFILE, texts.profile)
    of_prescription = SourceFile(folder / PRESCRIPTION, texts.prescription)
    faults = check_sources(of_profile, of_prescription, content, languages(content_folder()))
    if faults:
        return CheckedTexts(texts, faults, None)
    profile = parse_model(texts.profile, of_profile.path, Profile)
    prescription = parse_model(texts.prescription, of_prescription.path, Prescription)
    progress = initial_progress(prescription)
    admission = admit(profile, prescription, content, progress, clock.now().at if at is None else at)
    if admission.plan is not None:
        return CheckedTexts(texts, (), admission.plan)
    try:
        return CheckedTexts(texts, (), plan_session(profile, prescription, content, progress))
    except NoLoadStep as none:
        fault = load_fault(none, ExerciseSource(prescription, of_prescription), progress, of_profile)
        return CheckedTexts(texts, (fault,), None)


def create_client(texts: ClientTexts, folder: Path, content: Content) -> None:
    """Write both files into a new folder, or neither.

    Raises Refusal with every fault, and FileFault where the folder exists or cannot be written.
    """
    faults = check_client_texts(texts, folder, content).faults
    if faults:
        raise Refusal(faults)
    with new_folder(folder) as write:
        write(PROFILE, texts.profile.encode())
        write(PRESCRIPTION, texts.prescription.encode())


def _profile(given: Mapping[str, str], today: date) -> str:
    """The text of profile.toml: bands in their order, measurements dated today."""
    lists = ("bands", "ranges", "strengths")
    tree = _tree({key: text for key, text in given.items() if key.partition(".")[0] not in lists}, Profile)
    for head in ("ranges", "strengths"):
        rows = [{"position_deg": int(degrees), **row, "on": today} for degrees, row in _rows(given, head).items()]
        if rows:
            tree[head] = rows
    tree["bands"] = [{**row, "measured_on": today} for row in _rows(given, "bands").values()]
    return dump_by_hand(tree)


def _rows(given: Mapping[str, str], head: str) -> dict[str, dict[str, object]]:
    """The tables of a list by the second part of their keys; a table without any value is left out."""
    rows: dict[str, dict[str, object]] = {}
    for key, text in given.items():
        if key.startswith(f"{head}.") and text.strip():
            _, which, name = key.split(".")
            rows.setdefault(which, {})[name] = parse_input_at(text, Profile, (head, 0, name))
    return rows


def _tree(given: Mapping[str, str], model: type[Profile] | type[Prescription]) -> dict[str, object]:
    """The values as nested tables."""
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

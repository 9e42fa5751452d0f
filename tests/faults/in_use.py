"""Readers that go on to use what they read as the commands do: reports, plans, checks, forms, whole restores."""

import contextlib
import io
import shutil
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

import coach.cli
import coach.content_files.content_folder
from coach.authoring.check import check_folder
from coach.commands.support.output import BROKEN
from coach.content_files.content_folder import content_folder, load_content
from coach.model.no_session import NoSession
from coach.reports.text.preview import preview_text
from coach.session.plan import plan_session
from coach.store.backups.restore import restore
from coach.store.client_paths import PRESCRIPTION, PROFILE
from coach.store.client_store import ClientStore
from coach.store.therapist.intake import ClientTexts, check_client_texts, client_texts
from coach.store.therapist.steering import InstructionRequest, propose_instruction, read_snapshot
from coach.toml.diagnostic import FileFault, Refusal
from tests.faults.driven import shipped
from tests.faults.fuzz import Reader, Seeds

_AT = datetime(2026, 11, 21, 18, tzinfo=UTC)
_REPORTS = (
    ("preview", "--text"), ("preview", "--json"), ("preview", "--decisions"), ("history",), ("history", "--pictures"),
    ("setup",), ("setup", "--json"), ("bands",), ("export", "--fhir", "--to", "new"),
    ("export", "--csv", "--to", "new"), ("handout", "--to", "new.pdf"), ("setup", "--drawing", "new.svg"),
    ("steer",), ("caseload", "--plain"),
)  # fmt: skip
_TYPED = b"profile.name=wren\nprofile.side=right\nprofile.stature_m=1,72\nprofile.mass_kg=68\nbands.0.name=knotted\n"
_TYPED += b"bands.0.resting_length_m=1.2\nbands.0.points=1.8 12, 2.4 20\nranges.0.available_deg=70\n"
_TYPED += b"prescription.positions=0\nprescription.dose.sets=3\nprescription.goal=reach the shelf\n"
_STEERED = b"change\nAB\nsore\ndose.sets=2\nlimits.pain_max=3\n"
_ANSWERS = b'format = 1\n[answer]\n"set_2.blade" = "yes"\npain_now = 2\nmorning_after = 0\n[repetitions]\n2 = 6\n'


def in_use(seeds: Seeds, scratch: Path) -> Mapping[str, tuple[bytes, Reader]]:
    """Every such reader by its name, with a good input."""
    # The reports would read the content again at each run.
    coach.content_files.content_folder.load_content = lambda *_: shipped()
    found: dict[str, tuple[bytes, Reader]] = {
        f"reports, {name}": (data, _reports(seeds, name)) for name, data in seeds.files.items()
    }
    found["reports, answers"] = (_ANSWERS, _with_answers(seeds))
    found |= {f"drafts, {name}": (seeds.files[name], _drafts(seeds, name)) for name in (PROFILE, PRESCRIPTION)}
    found["fields of the intake"] = (_TYPED, _typed(seeds))
    found["an instruction"] = (_STEERED, _steered(seeds))
    found["backup, restored"] = (seeds.backup, _restored(scratch / "restored"))
    copy = scratch / "content"
    shutil.copytree(content_folder(), copy, ignore=shutil.ignore_patterns("schema"))
    for path in (copy / name for name in _IN_CONTENT):
        found[f"content folder, {path.relative_to(copy)}"] = (path.read_bytes(), _content(copy, path, seeds))
    clinic = seeds.client.parent / "clinic"
    (clinic / "en").mkdir(parents=True)
    for name in ("limits.toml", "en/external_rotation.toml", "en/form.toml", "en/safety.toml"):
        found[f"clinic's folder, {name}"] = (_SAID[name], _clinic(clinic, clinic / name))
    return found


_IN_CONTENT = (
    "limits.toml", "rules.toml", "form.toml", "safety.toml", "caseload.toml", "exercises/external_rotation.toml",
    "en/external_rotation.toml", "en/form.toml", "en/safety.toml", "en/rules.toml", "en/client.toml",
    "en/therapist.toml", "de/external_rotation.toml", "de/rules.toml", "de/client.toml",
)  # fmt: skip
_SAID = {
    "limits.toml": b"format = 1\n[limits]\npain_max = 4\n",
    "en/safety.toml": b'format = 1\ncautions = ["Bring your own band."]\n',
    "en/form.toml": b'format = 1\n[question.blade]\nask = "Did the blade stay?"\n',
    "en/external_rotation.toml": b'format = 1\n[position.0]\nwhy_here = "Learn to turn the arm alone."\n',
}


def _run(*words: str) -> int:
    """The command; whatever becomes a fault of the program is raised."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        code = coach.cli.main(words)
    text = said.getvalue()
    if code == BROKEN:
        raise RuntimeError(f"{' '.join(words)}\n{text}")
    if any(mark in text for mark in "\x1b\x07\x9b\u202e\u2066\0"):
        raise RuntimeError(f"{' '.join(words)}: a terminal would obey it\n{text}")
    return code


def _reports(seeds: Seeds, name: str) -> Reader:
    def read(path: Path) -> object:
        seeds.heal()
        data = path.read_bytes()
        (seeds.client / name).write_bytes(data)
        words = _REPORTS[sum(data) % len(_REPORTS)]
        if "new" in words[-1]:
            words = (*words[:-1], str(path.with_name(words[-1])))
            Path(words[-1]).unlink(missing_ok=True)
        where = seeds.client if words[0] != "caseload" else seeds.client.parent
        if _run(words[0], str(where), *words[1:]) == 1:
            raise FileFault([])
        return None

    return read


def _with_answers(seeds: Seeds) -> Reader:
    def read(path: Path) -> object:
        seeds.heal()
        if _run("preview", str(seeds.client), "--text", "--answers", str(path)) == 1:
            raise FileFault([])
        return None

    return read


def _drafts(seeds: Seeds, name: str) -> Reader:
    def read(path: Path) -> object:
        texts = {one: seeds.files[one].decode() for one in (PROFILE, PRESCRIPTION)}
        texts[name] = path.read_bytes().decode(errors="replace")
        return check_client_texts(ClientTexts(texts[PROFILE], texts[PRESCRIPTION]), path.parent, shipped())

    return read


def _pairs(path: Path) -> tuple[list[str], dict[str, str]]:
    lines = path.read_bytes().decode(errors="replace").split("\n")
    pairs = [line.partition("=") for line in lines]
    return [key for key, equals, _ in pairs if not equals], {key: text for key, equals, text in pairs if equals}


def _typed(seeds: Seeds) -> Reader:
    keys = [line.partition(b"=")[0].decode() for line in _TYPED.split(b"\n") if line]

    def read(path: Path) -> object:  # the keys are the form's own; only what stands in its fields is typed
        given = path.read_bytes().decode(errors="replace").replace("\n", "=").split("=")[1::2]
        return check_client_texts(
            client_texts(dict(zip(keys, given, strict=False)), _AT.date()), seeds.client, shipped()
        )

    return read


def _steered(seeds: Seeds) -> Reader:
    def read(path: Path) -> object:
        seeds.heal()
        plain, given = _pairs(path)
        what, initials, reason = (*plain, "", "", "")[:3]
        values, said = (given, {}) if what == "change" else ({}, given)
        try:
            return propose_instruction(
                read_snapshot(seeds.client), InstructionRequest(what, initials, reason, said, values), shipped(), _AT
            )
        except Refusal as fault:
            raise FileFault(fault.faults) from None

    return read


def _restored(folder: Path) -> Reader:
    def read(path: Path) -> None:
        shutil.rmtree(folder, ignore_errors=True)
        try:
            restore(path, folder)
        finally:
            left = [one for one in folder.parent.iterdir() if one.name.startswith(f".{folder.name}")]
            if left:
                raise RuntimeError(f"left behind: {left}")

    return read


def _content(copy: Path, file: Path, seeds: Seeds) -> Reader:
    good = file.read_bytes()

    def read(path: Path) -> object:
        try:
            file.write_bytes(path.read_bytes())
            check_folder(copy)
            content = load_content(copy, "de" if "de" in file.parts else "en")
            seeds.heal()
            client = ClientStore.read(seeds.client, content)
            try:
                plan = plan_session(client.profile, client.prescription, content, client.progress)
                return preview_text(plan, _AT)
            except NoSession:
                return None
        finally:
            file.write_bytes(good)

    return read


def _clinic(clinic: Path, file: Path) -> Reader:
    def read(path: Path) -> object:
        file.write_bytes(path.read_bytes())
        try:
            return check_folder(clinic)
        finally:
            file.unlink()

    return read

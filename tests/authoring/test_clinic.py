"""A clinic's own content over the shipped one: what it may say otherwise, and what nobody may take away."""

import shutil
from pathlib import Path

import pytest

from coach.authoring.check import check_folder, clinic_overrides
from coach.cli import main
from coach.commands.support.loading import client_store
from coach.content_files.content_folder import content_folder, exercise_files, load_content
from coach.model.content import ClinicOverride, Content
from coach.store.client_paths import clinic_of
from coach.toml.diagnostic import FileFault, render
from tests.authoring.test_check import place_of
from tests.demo.pristine import DEMO

CUE = """\
format = 1

[[position.0.cues]]
fault = "elbow_drifted"
text = "Keep the towel under your elbow."
"""


CLINIC = 'format = 1\nname = "Harbour Lane"\n'


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A caseload of one client with a clinic's folder beside it, in which one cue stands."""
    demo = DEMO / "tern"
    shutil.copytree(demo, tmp_path / "tern")
    (tmp_path / "clinic" / "en").mkdir(parents=True)
    (tmp_path / "clinic" / "en" / "external_rotation.toml").write_text(CUE, encoding="utf-8")
    return tmp_path


def test_one_cue_is_said_otherwise_and_all_else_stays(home: Path) -> None:
    content = client_store(home / "tern").content
    own, shipped = (each.messages.exercises["external_rotation"].at("0") for each in (content, _shipped()))
    assert own.cue("elbow_drifted") == "Keep the towel under your elbow."
    assert own.model_dump(exclude={"cues"}) == shipped.model_dump(exclude={"cues"})
    assert [cue.fault for cue in own.cues] == [cue.fault for cue in shipped.cues]
    assert (
        content.overrides
        == clinic_overrides(home)
        == clinic_overrides(home / "tern")
        == clinic_overrides(home / "clinic")
    )
    said = (str(home / "clinic" / "en" / "external_rotation.toml"), "position.0.cues.elbow_drifted.text")
    assert content.overrides == (
        ClinicOverride(*said, shipped.cue("elbow_drifted"), "Keep the towel under your elbow."),
    )
    assert check_folder(home) == check_folder(home / "clinic") == ()


def test_cautions_come_on_top_and_a_limit_is_moved(home: Path) -> None:
    (home / "clinic" / "en" / "safety.toml").write_text('format = 1\ncautions = ["Only this."]\n', encoding="utf-8")
    (home / "clinic" / "limits.toml").write_text("format = 1\n[limits]\npain_max = 3\n", encoding="utf-8")
    content = client_store(home / "tern").content
    assert content.messages.safety.cautions == (*_shipped().messages.safety.cautions, "Only this.")
    assert content.limit_values({})["pain_max"] == 3
    assert content.limit_values({"pain_max": 2})["pain_max"] == 2  # the client's own prescription stands over it
    assert check_folder(home) == ()


# file in the clinic's folder, its text, where the fault stands in it, and a phrase
WRONG: tuple[tuple[str, str, str, str], ...] = (
    ("en/external_rotation.toml", CUE.replace("elbow_drifted", "elbow_drift"), '"elbow_drift"', "elbow_drifted"),
    (
        "en/external_rotation.toml",
        CUE.replace("position.0", "position.30"),
        "[[position.30",
        "there is no position.30",
    ),
    ("en/external_rotation.toml", CUE.replace("towel", "towel " * 12), '"Keep the towel', "of 1 to 56 characters"),
    ("en/external_rotation.toml", CUE.replace("format = 1", ""), "", "format"),
    ("en/form.toml", 'format = 1\n[question.blade]\nasks = "Did it?"\n', "asks", "nearest: ask"),
    ("en/safety.toml", 'format = 1\n[sign]\nchest_pain = "A cough"\n', "[sign]", "sign is not a key of this file"),
    ("en/safety.toml", "format = 1\ncautions = []\n", "[]", "at least 1"),
    ("limits.toml", "format = 1\n[limits]\npain_max = 9\n", "9", "from 0 to 5"),
    ("limits.toml", "format = 1\n[limits]\npain_maks = 4\n", "pain_maks", "nearest: pain_max"),
    ("en/rules.toml", "format = 1\n", "", "a clinic may not write this file"),
    ("en/client.toml", 'format = 1\n[question.sign]\nask = "Well?"\n', "", "a clinic may not write this file"),
    ("en/formm.toml", "format = 1\n", "", "nearest: form.toml"),
    ("xx/form.toml", "format = 1\n", "", "no messages in the language 'xx'"),
    ("safety.toml", "format = 1\n", "", "a clinic may not write this file"),
)


@pytest.mark.parametrize(("file", "text", "at", "phrase"), WRONG, ids=[f"{file} {at}" for file, _, at, _ in WRONG])
def test_what_is_wrong_in_a_clinic_s_file_is_told_at_its_place(
    home: Path, file: str, text: str, at: str, phrase: str
) -> None:
    path = home / "clinic" / file
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    for looked_at in (home, home / "clinic", home / "tern"):
        (fault,) = check_folder(looked_at)
        assert fault.path == path
        assert phrase in render(fault)
        if at:
            assert (fault.line, fault.column) == place_of(path, at)


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        (
            "limits (conflicted copy).toml",
            "format = 1\n[limits]\npain_max = 2\n",
            "write in limits.toml what is missing",
        ),
        ("clinic.sync-conflict-20261120-101010-ABCDEFG.toml", CLINIC, "a copy of clinic.toml, and says the same"),
        ("en/external_rotation (1).toml", CUE.replace("towel", "roll"), "another version of external_rotation.toml"),
        ("en/form (1).toml", "format = 1\n", "rename it to form.toml if it is right"),
    ],
)
def test_a_copy_of_a_synchronising_program_is_told_as_one_and_nothing_in_it_is_read(
    home: Path, name: str, text: str, told: str
) -> None:
    """Nobody is told to remove what was perhaps written last."""
    (home / "clinic" / "limits.toml").write_text("format = 1\n[limits]\npain_max = 3\n", encoding="utf-8")
    (home / "clinic" / "clinic.toml").write_text(CLINIC, encoding="utf-8")
    before = client_store(home / "tern").content.overrides
    (home / "clinic" / name).write_text(text, encoding="utf-8")
    (fault,) = check_folder(home)
    assert fault.path == home / "clinic" / name
    assert told in render(fault)
    assert "remove" not in fault.fix
    assert client_store(home / "tern").content.overrides == before


def test_the_caseload_of_a_clinic_with_cautions_of_its_own_is_read(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A message that knows its language is a part of what a summary was made from."""
    (home / "clinic" / "en" / "safety.toml").write_text('format = 1\ncautions = ["Only this."]\n', encoding="utf-8")
    assert main(["caseload", str(home), "--plain"]) == 0
    assert "tern" in capsys.readouterr().out


def test_a_copy_of_an_exercise_is_none(tmp_path: Path) -> None:
    (tmp_path / "exercises").mkdir()
    for name in ("row.toml", "row (1).toml", "row_low.toml", "ROW-conflict.toml"):
        (tmp_path / "exercises" / name).touch()
    assert [one.name for one in exercise_files(tmp_path)] == ["row.toml", "row_low.toml"]


def test_a_session_is_refused_with_the_same_diagnostic(home: Path) -> None:
    path = home / "clinic" / "en" / "external_rotation.toml"
    path.write_text(CUE.replace("elbow_drifted", "elbow_drift"), encoding="utf-8")
    with pytest.raises(FileFault) as told:
        client_store(home / "tern")
    assert told.value.faults == check_folder(home)


def test_a_client_called_clinic_is_no_clinic(home: Path) -> None:
    shutil.rmtree(home / "clinic")
    shutil.copytree(home / "tern", home / "clinic")
    assert clinic_of(home / "tern") is None
    assert client_store(home / "tern").content.overrides == ()


def _shipped() -> Content:
    return load_content(content_folder(), "en")


def test_a_folder_of_clients_may_be_called_clinic(home: Path) -> None:
    """It is the first name that comes to mind for one."""
    shutil.rmtree(home / "clinic")
    shutil.copytree(home / "tern", home / "clinic" / "wren")
    (home / "clinic" / "wren" / "profile.toml").write_text("format = 1\n", encoding="utf-8")
    assert clinic_of(home / "tern") is None
    assert check_folder(home / "tern") == ()
    assert {fault.path.name for fault in check_folder(home / "clinic")} == {"profile.toml"}

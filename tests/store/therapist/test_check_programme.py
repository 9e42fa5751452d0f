"""What is wrong with a client of several exercises is told in the file, line and column where it stands."""

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.store.client_store import ClientStore
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import Diagnostic, render
from tests.demo.pristine import DEMO
from tests.plans import shipped
from tests.store.good_programme import PROGRAMME

_NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
_VERSION = "programme/0001.toml"
_SIGNED = "instructions/2026-11-20T100000.toml"
_INSTRUCTION = """\
format = 2
at = 2026-11-20T10:00:00+01:00
initials = "KB"
what = "cap_position"
exercise = "outward_right"
position = "0"
reason = "sore at the weekend"
"""
_OVERRULE = _INSTRUCTION.replace("cap_position", "overrule")


@pytest.fixture
def client(tmp_path: Path) -> Path:
    """The demo client with four exercises, before the first session and with one instruction."""
    ignored = shutil.ignore_patterns("records", "progress.toml", "instructions")
    path = Path(shutil.copytree(DEMO / "curlew", tmp_path / "curlew", ignore=ignored))
    (path / _VERSION).write_text(PROGRAMME, encoding="utf-8")
    (path / "instructions").mkdir()
    (path / _SIGNED).write_text(_INSTRUCTION, encoding="utf-8")
    return path


def _spoil(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def _check(client: Path) -> tuple[Diagnostic, ...]:
    return check_profile(client, shipped(), ("en", "de"), _NOW)


def test_a_programme_of_four_exercises_is_right(client: Path) -> None:
    assert [render(fault) for fault in _check(client)] == []


def test_the_demo_client_is_right() -> None:
    """With the sessions that were done."""
    told = check_profile(DEMO / "curlew", shipped(), ("en", "de"), _NOW)
    assert [render(fault) for fault in told] == []


_LEFT = 'name = "outward_left"\n'
_ROW = 'name = "row_right"\nexercise = "row"\n'
_SETUP = "\n[[exercises.setups]]\nposition_deg = 0\n"

# file, what is changed, line and column of the fault, its first line, and what is expected, nearest or to be done
MISTAKES: tuple[tuple[str, str, str, int, int, str, str], ...] = (
    (_VERSION, '"internal_rotation"', '"internal_rotatoin"', 37, 12, "there is no exercise internal_rotatoin",
     "nearest: internal_rotation"),
    (_VERSION, "positions = [0]", "positions = [0, 60]", 33, 17, "external_rotation has no position at 60 degrees",
     "expected: one of 0, 45, 90"),
    (_VERSION, 'side = "left"', 'side = "lef"', 32, 8, 'side = "lef" is not one of the choices', "nearest: left"),
    (_VERSION, '["monday"', '["mondey"', 46, 9, 'item 1 of days = "mondey" is not one of the choices',
     "nearest: monday"),
    (_VERSION, _LEFT, 'name = "outward_right"\n', 29, 1,
     "item 2 of exercises is called outward_right, as another one is",
     "to do: give each its own name, such as external_rotation_left"),
    (_VERSION, "sets = 2", "sets = 20", 10, 8, "sets = 20 is too large", "expected: a whole number from 1 to 6"),
    (_VERSION, "[dose]", "[doses]", 9, 1, "doses is not a key of this file", "nearest: dose"),
    (_VERSION, _LEFT, f'{_LEFT}bands = ["stripped"]\n', 31, 10, "there is no band stripped in the client's home",
     "nearest: striped"),
    (_VERSION, _LEFT, f"{_LEFT}limits = {{ pain_max = 7 }}\n", 31, 23, "pain_max = 7 is above the hard bound 5",
     "expected: from 0 to 5 (pain, 0 to 10)"),
    (_VERSION, _LEFT, f"{_LEFT}limits = {{ pain_maks = 4 }}\n", 31, 12, "there is no limit pain_maks",
     "nearest: pain_max"),
    (_VERSION, _LEFT, f'{_LEFT}first_step = {{ grade = "woven", strands = 2, distance_cm = 100 }}\n', 31, 43,
     "strands = 2 is not how the client holds the band", "expected: one of 1"),
    (_VERSION, _LEFT, f'{_LEFT}first_step = {{ grade = "woven", strands = 1, distance_cm = 500 }}\n', 31, 60,
     "the client cannot stand at 500 cm", "expected: from 60 to 180 cm, as home in profile.toml says"),
    (_VERSION, _LEFT, f'{_LEFT}first_step = {{ grade = "woven", strands = 1, distance_cm = 101 }}\n', 31, 1,
     "the first step is the woven band, strands 1, at 101 cm, which is no load step", "to do: write one of these"),
    (_VERSION, 'side = "left"\npositions = [0]\n', f'side = "left"\npositions = [0]\n{_SETUP}anchor_height_cm = 95\n',
     37, 20, "there is no anchor at 95 cm in the client's home", "expected: one of 90, 100, 115"),
    (_VERSION, 'side = "left"\npositions = [0]\n',
     f'side = "left"\npositions = [0]\n{_SETUP.replace("deg = 0", "deg = 45")}anchor_height_cm = 90\n',
     36, 16, "45 degrees is not in positions, so this setup is never used", "expected: one of 0"),
    ("profile.toml", 'side = "left"\non', 'side = "lift"\non', 20, 8, 'side = "lift" is not one of the choices',
     "nearest: left"),
    (_SIGNED, '"outward_right"', '"outward_rihgt"', 5, 12, "the programme has no exercise outward_rihgt",
     "nearest: outward_right"),
    (_SIGNED, 'position = "0"', "position = 90", 6, 12, "90 degrees is in no positions of outward_right",
     "expected: one of 0, 45"),
    (_SIGNED, 'what = "cap_position"', 'what = "cap_positon"', 4, 8, 'what = "cap_positon" is not one of the choices',
     "nearest: cap_position"),
    (_SIGNED, "2026-11-20T10", "2026-11-26T10", 0, 0,
     "an instruction (cap_position) is dated 2026-11-26 10:00, and there is no session until then",
     "expected: a date before 2026-11-25 09:00"),
)  # fmt: skip


@pytest.mark.parametrize(("file", "old", "new", "line", "column", "first", "then"), MISTAKES)
def test_a_mistake_is_told_at_its_place(
    client: Path, file: str, old: str, new: str, line: int, column: int, first: str, then: str
) -> None:
    _spoil(client / file, old, new)
    told = [fault for fault in _check(client) if fault.what.startswith(first)]
    assert len(told) == 1, [render(fault) for fault in _check(client)]
    assert (told[0].path, told[0].line, told[0].column) == (client / file, line, column)
    assert f"  {then}" in render(told[0])
    assert _check(client) == tuple(told)


# what an instruction file says, line and column of the fault, its first line, and what is to be seen below
INSTRUCTIONS: tuple[tuple[str, int, int, str, str], ...] = (
    (_OVERRULE.replace('position = "0"', "repetitions = 20"), 6, 15,
     "20 repetitions are outside the dose of outward_right", "expected: from 8 to 12"),
    (_INSTRUCTION.replace('exercise = "outward_right"\n', ""), 4, 8,
     "cap_position is for one exercise, and this instruction names none",
     "expected: exercise = one of outward_right, outward_left, inward_right, row_right"),
    (_OVERRULE.replace('position = "0"', 'load = { grade = "woven", strands = 1, distance_cm = 101 }'), 6, 8,
     "an instruction overrules to the woven band, strands 1, at 101 cm, which is no load step",
     "to do: sign another load"),
    (_INSTRUCTION.replace("cap_position", "take_back").replace(
        'position = "0"', "signed_at = 2026-11-19T10:00:00+01:00"), 6, 13,
     "no instruction was signed at 2026-11-19T10:00:00+01:00", "expected: the time at which"),
)  # fmt: skip


@pytest.mark.parametrize(("text", "line", "column", "first", "then"), INSTRUCTIONS)
def test_an_instruction_that_does_not_fit_is_told_in_its_own_file(
    client: Path, text: str, line: int, column: int, first: str, then: str
) -> None:
    (client / _SIGNED).write_text(text, encoding="utf-8")
    (fault,) = _check(client)
    assert (fault.path, fault.line, fault.column) == (client / _SIGNED, line, column), render(fault)
    assert fault.what.startswith(first)
    assert f"  {then}" in render(fault)


def test_a_range_is_told_at_the_line_of_its_own_side(client: Path) -> None:
    """Of two ranges, that of the exercise's side ends before the way begins."""
    _spoil(client / _VERSION, _ROW, 'name = "raise_left"\nexercise = "raise"\n')
    _spoil(client / _VERSION, 'side = "right"\npositions = [0]\ndays', 'side = "left"\npositions = [0]\ndays')
    rows = (("right", 80), ("left", 10), ("right", 12))
    with (client / "profile.toml").open("a", encoding="utf-8") as profile:
        for day, (side, degrees) in enumerate(rows, 10):
            profile.write(f'\n[[ranges]]\nposition_deg = 0\ndirection = "raise"\navailable_deg = {degrees}\n')
            profile.write(f'side = "{side}"\non = 2026-11-{day}\n')
    lines = (client / "profile.toml").read_text(encoding="utf-8").split("\n")
    (fault,) = _check(client)
    assert (fault.path.name, fault.line, fault.column) == ("profile.toml", lines.index("available_deg = 10") + 1, 17)
    assert fault.what.startswith("raise_left: ")


def test_an_exercise_of_an_earlier_version_may_be_named(client: Path) -> None:
    text = (client / _VERSION).read_text(encoding="utf-8")
    (client / "programme" / "0002.toml").write_text(text.replace('"outward_right"', '"outward"'), encoding="utf-8")
    assert _check(client) == ()


# the name of another file in the folder, its text from that of the file beside it, and what is told of it
BESIDE: tuple[tuple[str, str, str, str], ...] = (
    ("programme/0001 (copy).toml", "", "", "this is a copy of 0001.toml that says nothing more than 0001.toml does"),
    ("programme/0001.sync-conflict-20261120.toml", "sets = 2", "sets = 3",
     "this is another version of 0001.toml, and there is no session while both are here"),
    ("programme/2.toml", "", "", "this is no version of the programme, and nothing in it holds"),
    ("instructions/2026-11-20T100000 (copy).toml", "", "",
     "this is a copy of 2026-11-20T100000.toml that says nothing more than 2026-11-20T100000.toml does"),
    ("instructions/2026-11-20T100000 (copy).toml", "KB", "MB", "this is another version of 2026-11-20T100000.toml"),
)  # fmt: skip


@pytest.mark.parametrize(("name", "old", "new", "what"), BESIDE)
def test_another_file_beside_is_told(client: Path, name: str, old: str, new: str, what: str) -> None:
    beside = client / (_SIGNED if name.startswith("instructions") else _VERSION)
    (client / name).write_text(beside.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    (fault,) = _check(client)
    assert (fault.path, fault.line) == (client / name, 0)
    assert fault.what.startswith(what)


def test_two_instructions_signed_in_one_second_are_no_copies(client: Path) -> None:
    (client / "instructions" / "2026-11-20T100000-q2w3e4r5.toml").write_text(
        _INSTRUCTION.replace("KB", "MB"), "utf-8"
    )
    assert _check(client) == ()


def test_a_programme_without_a_version_names_the_first(client: Path) -> None:
    (client / _VERSION).rename(client / "programme" / "1.toml")
    told = [(fault.path.name, fault.what) for fault in _check(client)]
    assert ("0001.toml", "there is no such file") in told
    assert ("1.toml", "this is no version of the programme, and nothing in it holds") in told


def test_a_session_file_that_does_not_fit_is_told(client: Path) -> None:
    """A session of a programme, and one that was torn by hand."""
    (client / "records").mkdir()
    file = client / "records" / "2026-11-20T180000.toml"
    file.write_text('format = 2\nstarted = 2026-11-20T18:00:00+01:00\nexercise = "row"\n', encoding="utf-8")
    told = [(fault.path, fault.line, fault.what) for fault in _check(client)]
    assert (file, 3, "exercise is not a key of this file") in told


def test_a_range_of_the_other_side_is_not_that_of_a_client_with_one_exercise(tmp_path: Path) -> None:
    client = Path(shutil.copytree(DEMO / "tern", tmp_path / "tern"))
    measured = 0.0 + (ClientStore.read(client, shipped()).profile.available_deg("0", "external") or 0.0)
    with (client / "profile.toml").open("a", encoding="utf-8") as profile:
        profile.write('\n[[ranges]]\nposition_deg = 0\navailable_deg = 21\nside = "left"\non = 2026-11-24\n')
    assert ClientStore.read(client, shipped()).profile.available_deg("0", "external") == measured

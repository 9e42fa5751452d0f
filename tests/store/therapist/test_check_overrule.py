"""An instruction that overrules to a load off the load ladder is a fault until a session was done under it."""

from pathlib import Path

import pytest

from coach.authoring.check import check_folder
from coach.toml.diagnostic import render
from tests.plans import plan_of

INSTRUCTION = """
[[sign_offs]]
at = {at}
initials = "KB"
what = "overrule"
{load}
reason = "seen today"
"""
INLINE = 'load = {{ grade = "{grade}", strands = 1, distance_cm = {cm} }}'
BEFORE_THE_LAST, AFTER_ALL = "2026-11-19T09:30:00+01:00", "2026-11-25T09:30:00+01:00"
LATER = "2026-11-25T09:31:00+01:00"


def with_instruction(client: Path, at: str, load: str) -> Path:
    """The client with one more instruction; its file."""
    file = client / "prescription.toml"
    file.write_text(file.read_text(encoding="utf-8") + INSTRUCTION.format(at=at, load=load), encoding="utf-8")
    return file


@pytest.mark.parametrize(
    ("grade", "cm", "nearest"),
    [("striped", 37, ("striped", 60)), ("woven", 300, ("woven", 115)), ("plain", 80, ("", 80))],
)
def test_a_load_off_the_ladder_is_told_with_the_nearest_on_it(
    demo_profiles: Path, grade: str, cm: int, nearest: tuple[str, int]
) -> None:
    file = with_instruction(demo_profiles / "plover", AFTER_ALL, INLINE.format(grade=grade, cm=cm))
    (fault,) = check_folder(demo_profiles / "plover")
    text = file.read_text(encoding="utf-8").splitlines()
    assert (fault.path, fault.column) == (file, len("load = ") + 1)
    assert text[fault.line - 1].startswith("load = ")
    assert f"the {grade} band, strands 1, at {cm} cm, which is no load step at 0 degrees" in render(fault)
    assert nearest[0] in fault.expected.split(";")[0]
    assert f"at {nearest[1]} cm" in fault.expected.split(";")[0]


def test_each_of_the_nearest_is_on_the_ladder(demo_profiles: Path) -> None:
    with_instruction(demo_profiles / "plover", AFTER_ALL, INLINE.format(grade="striped", cm=37))
    (fault,) = check_folder(demo_profiles / "plover")
    on = {(one.grade, one.strands, one.distance_cm, f"{one.mean_nm:.2f}") for one in plan_of("plover").ladder.steps}
    for near in fault.expected.split("; "):
        grade, strands, cm, nm = near.replace("the ", "").split(", ")[0].split()[0], *near.split(", ")[1:4]
        assert (grade, int(strands.split()[1]), int(cm.split()[1]), nm.split()[0]) in on


def test_a_load_in_a_table_of_its_own_is_told_there(demo_profiles: Path) -> None:
    table = '[sign_offs.load]\ngrade = "striped"\nstrands = 1\ndistance_cm = 37'
    file = with_instruction(demo_profiles / "plover", AFTER_ALL, 'reason = "seen"\n' + table)
    file.write_text(file.read_text(encoding="utf-8").removesuffix('reason = "seen today"\n'), encoding="utf-8")
    (fault,) = check_folder(demo_profiles / "plover")
    assert file.read_text(encoding="utf-8").splitlines()[fault.line - 1] == "[sign_offs.load]"


def test_a_load_on_the_ladder_is_right(demo_profiles: Path) -> None:
    step = plan_of("plover").ladder.steps[3]
    with_instruction(demo_profiles / "plover", AFTER_ALL, INLINE.format(grade=step.grade, cm=step.distance_cm))
    assert check_folder(demo_profiles / "plover") == ()


def test_a_word_that_a_session_was_done_under_or_that_was_taken_back_is_history(demo_profiles: Path) -> None:
    with_instruction(demo_profiles / "plover", BEFORE_THE_LAST, INLINE.format(grade="striped", cm=37))
    assert check_folder(demo_profiles / "plover") == ()
    file = with_instruction(demo_profiles / "plover", AFTER_ALL, INLINE.format(grade="striped", cm=37))
    assert len(check_folder(demo_profiles / "plover")) == 1
    back = f'\n[[sign_offs]]\nat = {LATER}\ninitials = "KB"\nwhat = "take_back"\nsigned_at = {AFTER_ALL}\n'
    file.write_text(file.read_text(encoding="utf-8") + back + 'reason = "a slip"\n', encoding="utf-8")
    assert check_folder(demo_profiles / "plover") == ()

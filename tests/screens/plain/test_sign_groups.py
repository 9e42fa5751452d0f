"""The warning signs in groups, line by line: what is listed is what works."""

from pathlib import Path

from tests.screens.plain.output_lines import told

_TO_THE_SIGNS = ("", "", "0", "1")
_KEYS = "Keys, with Enter after each: "
_ANY = "1 to 8: that sign, in any group"


def answers(line: str) -> list[str]:
    """The answers that a line of keys lists, before the keys of every page."""
    listed = line.removeprefix(_KEYS).split("; ")
    return listed[: listed.index("p: pain or trouble")]


def test_each_group_lists_its_own_signs_and_says_that_all_of_them_answer(demo_profiles: Path) -> None:
    done = told(demo_profiles / "tern", [*_TO_THE_SIGNS, "", ""])
    at = [index for index, line in enumerate(done.lines) if line.startswith("Group ")]
    listed = [answers(next(line for line in done.lines[begin:] if line.startswith(_KEYS))) for begin in at]
    assert listed == [["1", "2", "3", "u", _ANY], ["4", "5", "6", "u", _ANY], ["7", "8", "n", "u", _ANY]]


def test_a_sign_of_an_earlier_group_is_asked_about_from_a_later_one(demo_profiles: Path) -> None:
    done = told(demo_profiles / "tern", [*_TO_THE_SIGNS, "", "1"])
    assert any("Chest pain or pressure" in line for line in done.after("Please confirm"))


def test_enter_in_the_last_group_lists_the_keys_of_that_group(demo_profiles: Path) -> None:
    """It listed the signs from 1 to 8, of which the last group shows two."""
    done = told(demo_profiles / "tern", [*_TO_THE_SIGNS, "", "", ""])
    after = done.after("That is no key here.")
    assert answers(after[0]) == ["7", "8", "n", "u", _ANY]

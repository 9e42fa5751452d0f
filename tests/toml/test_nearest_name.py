"""The name that was probably meant."""

import pytest

from coach.toml.nearest_name import nearest_name

INSTRUCTIONS = ["end_review", "unlock_position", "overrule", "freeze_load", "lift_freeze", "cap_range", "lift_caps"]


@pytest.mark.parametrize(
    ("word", "names", "meant"),
    [
        ("freeze", INSTRUCTIONS, "freeze_load"),
        ("freze", INSTRUCTIONS, "freeze_load"),
        ("lift", INSTRUCTIONS, "lift_freeze"),
        ("lift-freeze", INSTRUCTIONS, "lift_freeze"),
        ("unlock", INSTRUCTIONS, "unlock_position"),
        ("review", INSTRUCTIONS, "end_review"),
        ("stature", ["stature_m", "side"], "stature_m"),
        ("set", ["set_number", "sets"], "sets"),
        ("rigth", ["left", "right"], "right"),
        ("nothing", INSTRUCTIONS, None),
        ("", INSTRUCTIONS, None),
        ("x", [], None),
    ],
)
def test_the_nearest_name(word: str, names: list[str], meant: str | None) -> None:
    assert nearest_name(word, names) == meant

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


DISCHARGE = ["goals_met", "no_further_change", "own_wish", "not_reached", "referred", "moved", "other"]


@pytest.mark.parametrize(
    ("word", "names", "meant"),
    [
        ("goal_reached", DISCHARGE, None),  # it was "not_reached", the opposite
        ("reached", DISCHARGE, None),
        ("further_change", DISCHARGE, None),
        ("not_reachd", DISCHARGE, "not_reached"),
        ("notreached", DISCHARGE, "not_reached"),
        ("nto_reached", DISCHARGE, "not_reached"),
        ("not reached", DISCHARGE, "not_reached"),
        ("goal_met", DISCHARGE, "goals_met"),
        ("goals_not_met", DISCHARGE, None),
        ("seen", ["not_seen", "may_not_start"], None),
        ("not_sen", ["not_seen", "may_not_start"], "not_seen"),
        ("clean", ["unclean", "timing_off"], None),
        ("unclen", ["unclean", "timing_off"], "unclean"),
        ("lock_position", ["unlock_position"], None),
        ("unlok_position", ["unlock_position"], "unlock_position"),
        ("untill", ["until", "till"], "until"),
        ("unter", ["under_sessions", "under"], "under"),
        ("notes", ["note"], "note"),
        ("not", ["note"], "note"),
    ],
)
def test_no_name_is_offered_that_says_the_opposite(word: str, names: list[str], meant: str | None) -> None:
    assert nearest_name(word, names) == meant

"""What is typed into a field, as the value that the file gets; and back again."""

from datetime import date

import pytest

from coach.frozen import FromFile
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.toml.expected import KeyPath
from coach.toml.input_parsing import format_input, parse_input_at

ACTIVITIES: KeyPath = ("activities",)
HEIGHTS: KeyPath = ("home", "anchor_heights_cm")
POINTS: KeyPath = ("bands", 0, "points")


def points(*pairs: tuple[float, float]) -> list[dict[str, float]]:
    """Points of a band, as tables."""
    return [{"length_m": length_m, "force_n": force_n} for length_m, force_n in pairs]


@pytest.mark.parametrize(
    ("model", "path", "text", "value"),
    [
        (Profile, ("stature_m",), "1.72", 1.72),
        (Profile, ("stature_m",), "1,72", 1.72),
        (Profile, ("name",), " wren ", "wren"),
        (Profile, ("name",), " ", None),
        (Prescription, ("on",), "2026-03-01", date(2026, 3, 1)),
        (Prescription, ("dose", "tempo"), "3 2 3,5 2", {"out_s": 3, "hold_s": 2, "back_s": 3.5, "relax_s": 2}),
        (Profile, HEIGHTS, "95 105 120", [95, 105, 120]),
        (Profile, HEIGHTS, "95,105,120", [95, 105, 120]),
        (Profile, HEIGHTS, "[95, 105; 120]", [95, 105, 120]),
        (Prescription, ("bands",), "light, heavy", ["light", "heavy"]),
        (Prescription, ("bands",), "light heavy", ["light", "heavy"]),
        (Profile, POINTS, "0.875 4.8, 1.05 6.7", points((0.875, 4.8), (1.05, 6.7))),
        (Profile, POINTS, "0.875 4.8,1.05 6.7", points((0.875, 4.8), (1.05, 6.7))),
        (Profile, POINTS, "2.25 15 3.0 23", points((2.25, 15), (3.0, 23))),
        (Profile, POINTS, "1 12,2 20", points((1, 12), (2, 20))),
        (
            Prescription,
            ACTIVITIES,
            "haul a rope; carry a crate, full; row",
            ["haul a rope", "carry a crate, full", "row"],
        ),
    ],
)
def test_input_becomes_the_value_of_its_field(model: type[FromFile], path: KeyPath, text: str, value: object) -> None:
    assert parse_input_at(text, model, path) == value


@pytest.mark.parametrize("text", ["reach, row", "reach,row", " reach ; row;", "reach; row"])
def test_activities_are_separated_by_commas_too(text: str) -> None:
    assert parse_input_at(text, Prescription, ACTIVITIES) == ["reach", "row"]


def test_the_comma_of_a_number_separates_no_activities() -> None:
    assert parse_input_at("carry 2,5 kg, row", Prescription, ACTIVITIES) == ["carry 2,5 kg", "row"]


@pytest.mark.parametrize("items", [["reach", "row"], ["reach a shelf", "row"], ["carry a crate, full"], ["a,b", "c"]])
def test_a_list_is_shown_as_it_may_be_typed(items: list[str]) -> None:
    assert parse_input_at(format_input(items), Prescription, ACTIVITIES) == items


@pytest.mark.parametrize(
    "text", ["1,8 12,0, 2,4 20,5", "1,8 12,0; 2,4 20,5", "1,8 12,0 2,4 20,5", "1.8 12,0, 2,4 20.5"]
)
def test_points_may_have_decimal_commas(text: str) -> None:
    assert parse_input_at(text, Profile, POINTS) == points((1.8, 12.0), (2.4, 20.5))


def test_points_whose_commas_can_mean_both_are_refused() -> None:
    """1 2, 3 4, 5 6 or 1 2.3, 4.5 6: the text is handed to the model, which expects a list."""
    assert parse_input_at("1 2,3 4,5 6", Profile, POINTS) == "1 2,3 4,5 6"


@pytest.mark.parametrize("text", ["95,5, 105", "95,5; 105", "95,5 105"])
def test_a_decimal_comma_in_a_list_is_one_number(text: str) -> None:
    """Two heights, of which the model refuses the first; never three."""
    assert parse_input_at(text, Profile, HEIGHTS) == [95.5, 105]

"""What people type for lengths, masses, forces, sides and dates: the value that they mean, or a refusal."""

import re
from collections.abc import Iterator
from datetime import date
from itertools import product

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.frozen import FromFile
from coach.model.instruction import Instruction
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.toml.diagnostic import FileFault
from coach.toml.expected import Expected, KeyPath, expected_at, expected_fields
from coach.toml.input_parsing import format_input, parse_input_at
from coach.toml.reader import parse_model
from coach.toml.typed_values import DateOrder, Unclear, read_typed, unit_of
from coach.toml.writer import toml_value
from tests.demo.pristine import DEMO

TERN = DEMO / "tern" / "profile.toml"
STATURE: KeyPath = ("stature_m",)
FORCE: KeyPath = ("strengths", 0, "force_n")
HEIGHTS: KeyPath = ("home", "anchor_heights_cm")
NEAREST: KeyPath = ("home", "nearest_cm")
SIDE: KeyPath = ("side",)
REPAIRED: KeyPath = ("repaired_on",)


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        *(
            (STATURE, text, 1.72)
            for text in ("1.72", "1,72", "172", "172 cm", "1.72m", "1 m 72", "1m72", "1,720", "1720 mm")
        ),
        *(
            (STATURE, text, 1.7272)
            for text in ("5 ft 8", "5'8\"", "5'8", "5′8″", "5ft 8in", "5 feet 8 inches", "68 in")
        ),
        (STATURE, "6 ft", 1.8288),
        # 9.80665 m/s2: the 3rd General Conference on Weights and Measures, 1901. One pound: 0.45359237 kg, 1959.
        *((FORCE, text, 4.9033) for text in ("0.5 kg", "0,5kg", "500 g", "0.5 kgf", ".5 kp")),
        *((FORCE, text, 5.0) for text in ("5 N", "5n", "5,0", "5 newtons")),
        *((FORCE, text, 5) for text in ("5", "+5")),
        (FORCE, "11 lb", 48.9304),
        (FORCE, "1,250", 1.25),
        (("mass_kg",), "160 lb", 72.5748),
        (("mass_kg",), "11 st 6", 72.5748),
        (("mass_kg",), "72,5 kg", 72.5),
        (NEAREST, "60 cm", 60),
        (NEAREST, "0.6", 60),
        (NEAREST, "0,6 m", 60),
        (("home", "anchor_heights_cm"), "95 cm 1,05 m", [95, 105]),
        *((("home", "anchor_heights_cm"), text, [90, 115]) for text in ("90 115", "90, 115", "90,115", "90; 115")),
        *(
            (HEIGHTS, text, [119])
            for text in ("3 ft 11 in", "3 feet 11 inches", "3ft 11in", "3' 11\"", "3 ft 11 Zoll")
        ),
        *(
            (HEIGHTS, text, [120])
            for text in ("1 m 20 cm", "1m 20cm", "1 meter 20 cm", "1 m 200 mm", "1 m 20", "1m20")
        ),
        *((HEIGHTS, text, [109]) for text in ("3 ft 7", "3'7", "3 ft 7 in")),
        *(
            (HEIGHTS, text, [119, 127])
            for text in ("3 ft 11 in, 4 ft 2 in", "3 ft 11 in 4 ft 2 in", "3'11\"; 4' 2\"")
        ),
        *((HEIGHTS, text, [109, 127]) for text in ("3 ft 7, 4 ft 2", "3 ft 7 4 ft 2")),
        *((HEIGHTS, text, [95, 120]) for text in ("95 cm 1 m 20 cm", "95 cm, 1 m 20 cm", "95 cm 1 m 20")),
        (HEIGHTS, "1 m 5 cm", [105]),
        (HEIGHTS, "1 m, 120 cm", [100, 120]),
        (HEIGHTS, "1 m 1 m 20 cm", [100, 120]),
        (STATURE, "1 m 72,5 cm", 1.725),
        (("bands", 0, "resting_length_m"), "150 cm", 1.5),
        (("bands", 0, "points"), "1 m 5 cm 6,7 N", [(1.05, 6.7)]),
        (("bands", 0, "points"), "1 m 20,5 cm 6,7 N; 5 ft 3 in 9 N", [(1.205, 6.7), (1.6002, 9.0)]),
        (("bands", 0, "points"), "1 m 12, 2 m 20", [(1.0, 12), (2.0, 20)]),
        (("bands", 0, "points"), "87,5 cm 0,5 kg; 105cm 7 N", [(0.875, 4.9033), (1.05, 7.0)]),
        (("ranges", 0, "available_deg"), "62°", 62.0),
        *((SIDE, text, "left") for text in ("left", "Left", "LEFT", "l", "L", "links", "Links")),
        *((SIDE, text, "right") for text in ("right", "R", "rechts")),
        (("fractions",), "Women", "women"),
    ],
)
def test_what_is_typed_is_the_value_that_is_meant(path: KeyPath, text: str, value: object) -> None:
    read = parse_input_at(text, Profile, path)
    if isinstance(value, list) and isinstance(value[0], tuple):
        value = [{"length_m": length, "force_n": force} for length, force in value]
    assert read == value
    assert type(read) is type(value)


@pytest.mark.parametrize(
    ("path", "text"),
    [
        *((STATURE, text) for text in ("68", "5.8", "5.8 ft", "1 m 7", "5 ft 13", "5 8", "17 2", "1.7.2", "172 kg")),
        *((STATURE, text) for text in ("0x10", "1e0", "nan", "١٧٢", "1_7", "- 2")),
        (("lengths", "grip_lever_m"), "16"),  # 16 cm, or 16 in
        (NEAREST, "2"),  # 2 m, or 2 ft
        (("bands", 0, "resting_length_m"), "6"),  # 6 cm, 6 in, or a roll of 6 m
        (FORCE, "5 m"),
        (("ranges", 0, "available_deg"), "40 cm"),  # of a rotation it would be 40 degrees
        (FORCE, "1,234,567"),
        *((HEIGHTS, text) for text in ("3 ft 7 95", "1 m 20 95", "1 m 20,30", "3 ft 7,10")),
        *((("home", "anchor_heights_cm"), text) for text in ("0,95m,1,05m", "0,95", "1,05", "100,5", "1,050")),
        *((SIDE, text) for text in ("lr", "lef", "both", "1", "rl")),
    ],
)
def test_what_can_be_two_values_stays_text_which_the_model_refuses(path: KeyPath, text: str) -> None:
    assert parse_input_at(text, Profile, path) == text


def _refusal(heights: str) -> str:
    """What is said about the anchor heights that were typed, in the file made of them."""
    read = parse_input_at(heights, Profile, HEIGHTS)
    profile = re.sub(r"anchor_heights_cm = .*", f"anchor_heights_cm = {toml_value(read)}", TERN.read_text("utf-8"))
    with pytest.raises(FileFault) as refused:
        parse_model(profile, TERN, Profile)
    return " ".join(str(refused.value).split())


@pytest.mark.parametrize("text", ["3 ft 13 in", "1 m 5", "1 m 120 cm", "1 m 105", "3 ft 12"])
def test_two_units_that_are_no_pair_are_refused_with_the_reason(text: str) -> None:
    """Neither one height nor two of them."""
    said = _refusal(text)
    assert "can be read in two ways" in said
    assert "comma" in said


@pytest.mark.parametrize("text", ["3 ft 7 95", "0,95m,1,05m"])
def test_numbers_of_which_only_some_have_a_unit_are_refused_with_the_reason(text: str) -> None:
    said = _refusal(text)
    assert "a unit after each of them" in said


@pytest.mark.parametrize("text", ["1 m 20,5 cm", "1 m 20,5", "1 m 20,5 cm, 95 cm", "3 ft 7,4 in", "3 ft 7,4 ft 2"])
def test_the_decimal_comma_of_a_second_part_makes_no_height_of_it(text: str) -> None:
    read = parse_input_at(text, Profile, HEIGHTS)
    assert not isinstance(read, list) or not any(one in (5, 10) for one in read)


@pytest.mark.parametrize("text", ["1.194 in", "1.050", "1.05", "1,050 cm", "90 1.05"])
def test_a_height_that_is_not_whole_is_refused_and_not_taken_for_thousands(text: str) -> None:
    read = parse_input_at(text, Profile, ("home", "anchor_heights_cm"))
    assert not isinstance(read, list) or any(type(one) is not int for one in read)


DATES: list[tuple[str, DateOrder | None, date | None]] = [
    *(("2026-03-04", order, date(2026, 3, 4)) for order in (None, "day first", "month first")),
    ("4.3.2026", "day first", date(2026, 3, 4)),
    ("04/03/2026", "day first", date(2026, 3, 4)),
    ("3/4/2026", "month first", date(2026, 3, 4)),
    ("4.3.2026", None, None),
    ("4.3.2026", "month first", None),  # points are written between day and month
    ("13/3/2026", None, date(2026, 3, 13)),
    ("3/13/2026", None, date(2026, 3, 13)),
    ("3/13/2026", "day first", None),
    ("13/3/2026", "month first", None),
    ("3.3.2026", None, date(2026, 3, 3)),
    ("4.3.26", "day first", None),
    ("31.2.2026", "day first", None),
    ("2026-13-01", None, None),
]


@pytest.mark.parametrize(("text", "order", "day"), DATES)
def test_a_date_is_read_in_the_order_of_the_clinic_or_not_at_all(
    text: str, order: DateOrder | None, day: date | None
) -> None:
    assert parse_input_at(text, Prescription, REPAIRED, order) == (text if day is None else day)


@given(st.dates(date(1000, 1, 1)), st.sampled_from(["day first", "month first", None]), st.sampled_from("./-"))
def test_no_date_is_taken_for_another(day: date, order: DateOrder | None, sign: str) -> None:
    """Written in the order of the clinic it is that day, or refused; without an order both ways may be meant."""
    parts = [f"{day.day}", f"{day.month}"]
    for written in (parts, parts[::-1]):
        if order is None or (written == parts) == (order == "day first"):
            text = sign.join((*written, f"{day.year:04}"))
            assert parse_input_at(text, Prescription, REPAIRED, order) in (day, text)


def fields() -> Iterator[tuple[type[FromFile], KeyPath, Expected]]:
    """Every field with a number, of everything that is typed."""
    for model in (Profile, Prescription, Instruction):
        paths: list[KeyPath] = [()]
        while paths:
            path = paths.pop()
            here = expected_at(model, path, {})
            assert here is not None
            inner = here.items if here.items is not None else here
            inside = (*path, 0) if here.items is not None else path
            if inner.model is not None:
                paths += [(*inside, name) for name in expected_fields(inner.model)]
            elif inner.kind in (int, float):
                yield model, path, inner


NUMBERS = list(fields())
# What each way of writing means, in metres, newtons and kilograms.
LENGTHS = {"m": 1.0, " m": 1.0, "cm": 0.01, " cm": 0.01, " mm": 0.001, " in": 0.0254, '"': 0.0254}
FORCES = {"N": 1.0, " N": 1.0, " kg": 9.80665, "kp": 9.80665, " g": 0.00980665, " lb": 0.45359237 * 9.80665}
MASSES = {"kg": 1.0, " kg": 1.0, " lb": 0.45359237, " g": 0.001}
WRITTEN = {"m": (1.0, LENGTHS), "cm": (0.01, LENGTHS), "N": (1.0, FORCES), "kg": (1.0, MASSES)}


@settings(max_examples=150)
@given(st.sampled_from(NUMBERS), st.decimals(0, 3000, places=3), st.integers(0, 3), st.booleans(), st.data())
def test_no_number_is_taken_for_another_in_any_field(
    field: tuple[type[FromFile], KeyPath, Expected], number: object, places: int, comma: bool, data: st.DataObject
) -> None:
    """With a unit, it is that many of it; without one, it is in the unit of the field, or a stated exception."""
    model, path, here = field
    key = next(part for part in reversed(path) if isinstance(part, str))
    own, units = WRITTEN.get(unit_of(key), (1.0, {"": 1.0}))
    unit = data.draw(st.sampled_from(["", *units]))
    digits = f"{number:.{places}f}"
    text = (digits.replace(".", ",") if comma else digits) + unit
    read = read_typed(text, here, key)
    if isinstance(read, Unclear):
        return
    assert isinstance(read, int | float)
    thousands = float(digits.replace(".", ""))
    meant = {round(one * units.get(unit, own) / own, 4) for one in (float(digits), thousands if places == 3 else 0.0)}
    fits = [one for one in meant if one and _fits(model, path, one)]
    if read in meant:
        assert len(fits) <= 1 or float(digits) < 1 or not (comma or here.bounds) or read in fits
        return
    if here.kind is int and unit in (" in", '"'):
        assert read == pytest.approx(float(digits) * 2.54, rel=0.01)
        return
    assert unit == "", f"{text} was read as {read}"
    assert not fits, f"{text} is a value of the field itself"
    metric = {round(float(digits) * factor / own, 4) for factor in (1.0, 0.01)}
    assert unit_of(key) in ("m", "cm")
    assert read in metric


def _fits(model: type[FromFile], path: KeyPath, value: float) -> bool:
    """Whether the field itself takes a value, as its model says."""
    inner: type[FromFile] = model
    name = ""
    for part in path:
        if isinstance(part, str) and name:
            here = expected_fields(inner)[name]
            inner = (here.items.model if here.items is not None else here.model) or inner
        name = part if isinstance(part, str) else name
    item = expected_fields(inner)[name].items
    whole = int(value) if float(value).is_integer() else value
    try:
        msgspec.convert((whole,) if item is not None else whole, inner.model_fields[name].annotation)
    except msgspec.ValidationError:
        return False
    return True


@given(st.sampled_from(NUMBERS), st.floats(0, 500).map(lambda number: round(number, 3)))
def test_a_value_is_shown_as_it_may_be_typed(field: tuple[type[FromFile], KeyPath, Expected], value: float) -> None:
    model, path, here = field
    shown = int(value) if here.kind is int else value
    if _fits(model, path, shown):
        read = read_typed(format_input(shown), here, str(path[-1]))
        assert read == shown


@given(st.text(max_size=12), st.sampled_from(NUMBERS))
def test_any_text_is_a_number_or_refused(text: str, field: tuple[type[FromFile], KeyPath, Expected]) -> None:
    _, path, here = field
    read = read_typed(text, here, str(path[-1]))
    assert isinstance(read, Unclear) or any(digit in text for digit in "0123456789")


def test_a_decimal_comma_is_read_in_every_field_with_a_number() -> None:
    for model, path, here in NUMBERS:
        if here.kind is float:
            low, high = here.bounds.get("ge", here.bounds.get("gt", 0)), here.bounds.get("le", here.bounds.get("lt"))
            value = round((low + (high if high is not None else low + 1)) / 2, 2) + 0.5
            if not _fits(model, path, value):
                value = round((low + high) / 2, 3)
            if _fits(model, path, value):
                assert read_typed(f"{value}".replace(".", ","), here, str(path[-1])) == value, path


def test_both_sides_and_orders_have_no_word_in_common() -> None:
    side = expected_at(Profile, SIDE, {})
    assert side is not None
    read = {text: read_typed(text, side) for text in map("".join, product("lrieftghcsnk", repeat=2))}
    assert {one for one in read.values() if not isinstance(one, Unclear)} == {"left", "right"}

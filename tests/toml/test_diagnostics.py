"""Bad files, each with the line, the column and the words that an editor must get."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from coach.authoring.schema import KINDS
from coach.exchange.clinic_book import ClinicBook
from coach.exchange.enrolment import Enrolment
from coach.exchange.home_book import HomeBook
from coach.exchange.own_keys import KeyFile
from coach.frozen import FromFile
from coach.model.content_entries import Rules
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.toml.diagnostic import Diagnostic, FileFault, render
from coach.toml.expected import FORMS, expected, expected_fields
from coach.toml.reader import parse_model, read_model
from coach.toml.source_positions import find_positions
from tests.store.good_files import PRESCRIPTION, PROFILE

WINDOWS = PROFILE.replace("68", "'68'").replace("\n", "\r\n")
AFTER_DOSE = PRESCRIPTION[PRESCRIPTION.index("[dose.tempo]") :]

RULES = """\
format = 1

[[rule]]
name = "pain_over_limit"
when = "pain_over_limit"
levels = ["check_in", "set"]
then = "stop_and_easier"
limits = ["pain_max"]
numbers = ["pain", "limit"]
source = "Holmgren T et al., BMJ 2012;344:e787"
mark = "read"
"""

NEWER = "written by a newer Steady Arc (format 2); left untouched"

GOOD: dict[type[FromFile], str] = {Profile: PROFILE, Prescription: PRESCRIPTION, Rules: RULES}
OF_EXCHANGE: tuple[type[FromFile], ...] = (KeyFile, Enrolment, ClinicBook, HomeBook)
MODELS: tuple[type[FromFile], ...] = (*KINDS.values(), Progress, Record)


@dataclass(frozen=True)
class Bad:
    """A good file with one thing changed, and what must be said, where."""

    model: type[FromFile]
    old: str
    new: str
    line: int
    column: int
    phrase: str

    @property
    def text(self) -> str:
        good = GOOD[self.model]
        assert self.old in good
        return good.replace(self.old, self.new, 1)


BAD: dict[str, Bad] = {
    # Syntax
    "no_equals": Bad(Profile, "mass_kg = 68", "mass_kg 68", 5, 9, "= is missing after the key"),
    "no_value": Bad(Profile, "mass_kg = 68", "mass_kg =", 5, 10, "the value is missing"),
    "bare_text": Bad(Profile, '"right"', "right", 3, 8, "put quotes round a text"),
    "unit_in_number": Bad(Profile, "1.72", "1.72 m", 4, 18, "something stands after the value"),
    "unit_at_number": Bad(Profile, "1.72", "1.72m", 4, 17, "without its unit"),
    "comma_in_number": Bad(Profile, "1.72", "1,72", 4, 14, "write a point, not a comma"),
    "open_text": Bad(Profile, '"rowan"', '"rowan', 2, 14, "the text is not closed in its line"),
    "open_literal_text": Bad(Profile, '"rowan"', "'rowan", 2, 8, "the text is not closed"),
    "open_long_text": Bad(Prescription, '"reach the top shelf"', '"""reach', 3, 8, "the text is not closed"),
    "open_list": Bad(Profile, "[100, 120]", "[100, 120", 9, 1, "the list that begins in line 8 is not closed"),
    "open_list_at_end": Bad(Rules, 'mark = "read"', 'mark = ["read"', 11, 8, "the list is not closed"),
    "open_table": Bad(Profile, "force_n = 12.0 }", "force_n = 12.0", 17, 36, "the table is not closed"),
    "open_table_at_item": Bad(Profile, "force_n = 20 }", "force_n = 20 ]", 18, 34, "the table is not closed"),
    "open_header": Bad(Profile, "[home]", "[home", 7, 6, "the header is not closed"),
    "header_half_closed": Bad(Profile, "[[bands]]", "[[bands]", 12, 8, "]] at its end"),
    "missing_comma": Bad(Profile, "[100, 120]", "[100 120]", 8, 26, "a comma between the items"),
    "prose": Bad(Profile, "mass_kg = 68", "she weighs 68 kg", 5, 5, "= is missing after the key"),
    "bad_escape": Bad(Profile, '"the thin one"', '"the \\thin \\one"', 14, 22, "this is none"),
    "curly_quotes": Bad(Profile, '"the thin one"', "“the thin one”", 14, 9, "this is a curly quote"),
    "day_before_month": Bad(Prescription, "on = 2026-03-01", "on = 1.3.2026", 6, 9, "2026-03-01"),
    "day_with_strokes": Bad(Prescription, "on = 2026-03-01", "on = 01/03/2026", 6, 7, "2026-03-01"),
    "no_such_date": Bad(Prescription, "on = 2026-03-01", "on = 2026-02-30", 6, 6, "there is no such date"),
    "key_twice": Bad(Profile, "mass_kg = 68", "mass_kg = 68\nside = 'left'", 6, 1, "twice, first in line 3"),
    "table_twice": Bad(Prescription, "[first_step]", "[dose]", 25, 1, "dose is written twice, first in line 8"),
    "header_of_one_bracket": Bad(Profile, "[[bands]]", "[bands]", 21, 1, "write two brackets in both: [[bands]]"),
    "list_over_value": Bad(Profile, "[[ranges]]", "[[side]]", 27, 1, "side is written twice, first in line 3"),
    "old_line_end": Bad(Profile, "mass_kg = 68\n", "mass_kg = 68\rx", 5, 13, "save the file with line ends"),
    "deep_lists": Bad(Profile, "1.72", "\n".join(["["] * 10_000), 36, 1, "nested too deeply"),
    "deep_lists_in_a_line": Bad(Profile, "1.72", "[" * 9_000, 4, 45, "nested too deeply"),
    "brackets_only": Bad(Profile, "format = 1", "[" * 10_000, 1, 3, "this cannot begin a key"),
    "long_number": Bad(Profile, "1.72", "9" * 5_000, 4, 13, "a number of 5000 digits"),
    "long_line": Bad(Profile, "name =", "a." * 50_000 + "a =", 2, 1, "at most 10000 in a line"),
    "many_dots": Bad(Profile, "name =", "a." * 300 + "a =", 2, 2, "at most 200 in a line"),
    "nbsp_before_equals": Bad(Profile, "mass_kg =", "mass_kg\u00a0=", 5, 8, "an invisible character, such as"),
    "umlaut_in_key": Bad(Profile, "mass_kg =", "m\u00e4ss_kg =", 5, 2, "\u00e4 cannot stand in a key"),
    "nbsp_after_equals": Bad(Profile, "mass_kg = 68", "mass_kg =\u00a068", 5, 10, "an invisible character, such as"),
    "space_in_header": Bad(Profile, "[home]", "[home here]", 7, 7, "write a point between two names, or _"),
    # Keys
    "misspelt_key": Bad(Profile, "stature_m", "statur_m", 4, 1, "nearest: stature_m"),
    "key_without_unit": Bad(Profile, "stature_m", "stature", 4, 1, "write stature_m, or take the line out"),
    "key_with_dash": Bad(Profile, "anchor_heights_cm", "anchor-heights-cm", 8, 1, "nearest: anchor_heights_cm"),
    "unknown_key": Bad(Rules, 'mark = "read"', 'mark = "read"\ncolour = "red"', 12, 1, "colour is not a key of rule"),
    "key_of_another_table": Bad(Prescription, "grade =", "rest_s = 9\ngrade =", 26, 1, "move it under [dose]"),
    "key_of_the_file": Bad(Profile, "nearest_cm", "mass_kg = 60\nnearest_cm", 9, 1, "move it above the first table"),
    "misspelt_beside_it": Bad(Profile, "mass_kg = 68", "mass_kg = 68\nmas_kg = 6", 6, 1, "to do: take the line out"),
    "misspelt_table": Bad(Profile, "[home]", "[hoem]", 7, 1, "nearest: home"),
    "misspelt_table_in_list": Bad(Profile, "[[ranges]]", "[[range]]", 27, 1, "nearest: ranges"),
    "missing_key": Bad(Profile, "mass_kg = 68\n", "", 1, 1, "mass_kg is missing"),
    "missing_key_in_table": Bad(Profile, "nearest_cm = 60\n", "", 7, 1, "nearest_cm is missing in home"),
    "missing_key_in_second": Bad(Profile, 'looks = "the thick one"\n', "", 21, 1, "looks is missing in bands"),
    "missing_key_in_braces": Bad(Profile, ", force_n = 20", "", 18, 3, "force_n is missing in bands.points"),
    "missing_table": Bad(Prescription, AFTER_DOSE, "", 8, 1, "add the table [dose.tempo]"),
    # Types
    "text_for_number": Bad(Profile, "68", '"68"', 5, 11, 'mass_kg = "68" is text, not a number'),
    "comma_number_in_text": Bad(Profile, "1.72", '"1,72"', 4, 13, "take the quotes away: stature_m = 1.72"),
    "text_for_whole": Bad(Prescription, "sets = 3", 'sets = "three"', 9, 8, 'sets = "three" is not a whole number'),
    "point_for_whole": Bad(Prescription, "sets = 3", "sets = 3.0", 9, 8, "write sets = 3"),
    "true_for_number": Bad(Profile, "68", "true", 5, 11, "mass_kg = true is not a number"),
    "number_for_text": Bad(Profile, '"the thin one"', "7", 14, 9, 'put it in quotes: looks = "7"'),
    "text_for_date": Bad(Prescription, "on = 2026-03-01", 'on = "2026-03-01"', 6, 6, "take the quotes away: on ="),
    "no_offset": Bad(Prescription, "T10:00:00+01:00", "T10:00:00", 31, 6, "has no offset from UTC"),
    "one_for_list": Bad(Prescription, "[0, 45]", "45", 4, 13, "put it in square brackets: positions = [45]"),
    "one_or_two": Bad(Profile, "[100, 120]", '"1,05"', 8, 21, "to do: write a space between two numbers"),
    "two_in_text": Bad(Profile, "[100, 120]", '"90,115"', 8, 21, "brackets: anchor_heights_cm = [90, 115]"),
    "metres_for_whole_cm": Bad(Profile, "[100, 120]", "[100, 1.05]", 8, 27, "to do: write it in cm"),
    "too_high": Bad(Profile, "[100, 120]", "[100, 1200]", 8, 27, "a whole number from 0 to 300, in cm"),
    "item_of_list": Bad(Profile, "[100, 120]", '[100, "120"]', 8, 27, '"120" is text, not a whole number'),
    "table_for_list": Bad(Rules, "[[rule]]", "[rule]", 3, 1, "once for each: [[rule]]"),
    "value_for_table": Bad(Profile, "{ length_m = 1.8, force_n = 12.0 }", "1", 17, 3, "{ length_m = …, force_n"),
    # Ranges and choices
    "too_large": Bad(Profile, "68", "6800", 5, 11, "a number from 25 to 250"),
    "too_small": Bad(Prescription, "sets = 3", "sets = 0", 9, 8, "sets = 0 is too small"),
    "not_above": Bad(Profile, "force_n = 20", "force_n = 0", 18, 31, "a number above 0 and at most 1000"),
    "infinite": Bad(Profile, "68", "inf", 5, 11, "is not a finite number"),
    "choice": Bad(Profile, '"right"', '"rigth"', 3, 8, 'write side = "right"'),
    "choice_in_capitals": Bad(Profile, '"right"', '"Right"', 3, 8, "nearest: right"),
    "choice_in_list": Bad(Rules, '"check_in"', '"checkin"', 6, 11, "nearest: check_in"),
    "choice_of_numbers": Bad(Prescription, "strands = 1", "strands = 3", 27, 11, "one of 1, 2"),
    "choice_as_text": Bad(Prescription, "strands = 1", 'strands = "1"', 27, 11, "write strands = 1"),
    "form_of_name": Bad(Profile, '"light"', '"Light Band"', 13, 8, 'write name = "light_band"'),
    "form_of_initials": Bad(Prescription, '"AB"', '"ab"', 5, 12, 'write initials = "AB"'),
    "form_of_key": Bad(Prescription, "pain_max", "Pain-Max", 23, 1, "a name of small letters"),
    "empty_list": Bad(Profile, "[100, 120]", "[]", 8, 21, "has too few entries"),
    "empty_text": Bad(Prescription, '"reach the top shelf"', '""', 3, 8, "goal is empty"),
    "too_long": Bad(Prescription, "reach the top shelf", "reach " * 70, 3, 8, "420 characters; it is 20 too many"),
    # What the models themselves refuse
    "swapped": Bad(Prescription, "repetitions_max = 15", "repetitions_max = 5", 11, 19, "swap them"),
    "position_twice": Bad(Prescription, "[0, 45]", "[45, 45]", 4, 13, "names one position twice"),
    "unlock_elsewhere": Bad(Prescription, 'position = "45"', "position = 90", 4, 13, "unlocks 90 degrees"),
    "band_twice": Bad(Profile, '"heavy"', '"light"', 12, 1, "two bands are called light"),
    "not_stretched": Bad(Profile, "1.8", "1.1", 17, 3, "measure the force of a stretched band"),
    "far_before_near": Bad(Profile, "farthest_cm = 250", "farthest_cm = 25", 10, 15, "nearer than nearest_cm"),
    # Format
    "no_format": Bad(Profile, "format = 1\n", "", 1, 1, "write format = 1 as the first line"),
    "newer_format": Bad(Profile, "format = 1", "format = 2\nnew_key = 7", 1, 1, NEWER),
    "no_such_format": Bad(Profile, "format = 1", "format = 0", 1, 10, "format = 0 is not one of the choices"),
    "format_as_text": Bad(Profile, "format = 1", 'format = "1"', 1, 10, "write format = 1"),
    # Characters
    "escape_byte": Bad(Profile, "the thin one", "the \\u001b[2J one", 14, 9, "the control character U+001B"),
    "raw_escape_byte": Bad(Profile, "the thin one", "the \x1b[2J one", 14, 14, "an invisible control character"),
    "bidirectional": Bad(Profile, "the thin one", "the \u202eniht one", 14, 9, "the control character U+202E"),
    "bom": Bad(Profile, "format", "\ufeffformat", 1, 1, "byte-order mark"),
    "zero_byte": Bad(Profile, "rowan", "row\0n", 2, 12, "a zero byte"),
    "tabs": Bad(Profile, "mass_kg = 68", "\tmass_kg =\t'68'", 5, 12, 'mass_kg = "68" is text'),
    "wide_letters": Bad(Profile, 'name = "rowan"', 'name = "rowan" 体', 2, 16, "something stands after the value"),
    "inside_wide_letters": Bad(Profile, '{ length_m = 1.8', '{ "é體" = 1, length_m = 1.8', 17, 5, "é體 is not a key"),
    "line_ends_of_windows": Bad(Profile, PROFILE, WINDOWS, 5, 11, 'mass_kg = "68" is text'),
}  # fmt: skip


def faults_of(text: str, model: type[FromFile]) -> tuple[Diagnostic, ...]:
    """What is said about a text."""
    with pytest.raises(FileFault) as raised:
        parse_model(text, Path("file.toml"), model)
    return raised.value.faults


@pytest.mark.parametrize("model", GOOD)
def test_the_good_files_are_good(model: type[FromFile]) -> None:
    assert isinstance(parse_model(GOOD[model], Path("file.toml"), model), model)


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_told_once_at_its_place(name: str, tmp_path: Path) -> None:
    bad = BAD[name]
    path = tmp_path / "file.toml"
    path.write_bytes(bad.text.encode())
    with pytest.raises(FileFault) as raised:
        read_model(path, bad.model)
    told = "\n".join(render(fault) for fault in raised.value.faults)
    assert [(fault.line, fault.column) for fault in raised.value.faults] == [(bad.line, bad.column)], told
    assert bad.phrase in told
    assert told.startswith(f"{path}:{bad.line}:{bad.column}: ")


def test_all_faults_come_in_one_run_and_in_the_order_of_the_lines() -> None:
    text = PROFILE.replace("right", "rigth").replace("68", "68 kg").replace("nearest_cm", "nearst_cm")
    text = text.replace("70", "700")
    assert [(fault.line, fault.column) for fault in faults_of(text, Profile)] == [(3, 8), (5, 14), (9, 1), (29, 17)]


def test_what_stands_after_a_text_that_is_not_closed_is_told_as_well() -> None:
    text = PROFILE.replace('"rowan"', '"rowan').replace("mass_kg", "mas_kg").replace("looks", "look")
    faults = faults_of(text, Profile)
    assert [(fault.line, fault.column) for fault in faults] == [(2, 14), (5, 1), (14, 1), (23, 1)]


def test_a_line_that_cannot_be_read_does_not_make_its_key_missing() -> None:
    faults = faults_of(PROFILE.replace("mass_kg = 68", "mass_kg = 68 kg").replace("1.72", "9"), Profile)
    assert [fault.line for fault in faults] == [4, 5]


def test_each_fault_says_once_what_was_expected() -> None:
    for name, bad in BAD.items():
        for fault in faults_of(bad.text, bad.model) if name != "zero_byte" else ():
            is_number = fault.expected.isdecimal()
            assert not fault.expected or is_number or fault.expected not in f"{fault.what}; {fault.fix}", name
            assert "expected" not in fault.what, name


@pytest.mark.parametrize(
    ("value", "what"), [('"68"', "68 can be inches"), ('"1/2/2026"', "can be 2026"), ('"soon"', "soon")]
)
def test_a_text_that_is_not_clear_is_told_without_what_was_expected(value: str, what: str) -> None:
    is_date = "2026" in value or "soon" in value
    model, old = (Prescription, "on = 2026-03-01") if is_date else (Profile, "stature_m = 1.72")
    (fault,) = faults_of(GOOD[model].replace(old, f"{old.partition(' ')[0]} = {value}"), model)
    assert what in fault.what
    assert fault.expected
    assert not [part for part in ("such as", "a number from") if part in fault.what]
    assert "2026-03-04" not in fault.fix, "the example is in what was expected"


def test_a_misspelt_key_is_not_said_to_be_missing_as_well() -> None:
    (fault,) = faults_of(PROFILE.replace("mass_kg", "mas_kg"), Profile)
    assert fault.nearest == "mass_kg"


def test_a_key_that_is_there_already_is_not_offered_once_more() -> None:
    (fault,) = faults_of(PROFILE.replace("mass_kg = 68", "mass_kg = 68\nmas_kg = 6"), Profile)
    assert fault.nearest is None


def test_a_flood_of_faults_is_cut_and_the_cut_is_said() -> None:
    text = PROFILE + "".join(f"[[ranges]]\nwrong_{number} = 1\n" for number in range(200))
    faults = faults_of(text, Profile)
    assert len(faults) == 101
    assert faults[0].what == "700 more faults are not shown"


def test_columns_count_characters_not_bytes() -> None:
    positions = find_positions('a = { "é體" = "é", b = 1 }\n[[t]]\n[[t]]\n"c.d".e = [1, { f = 2 }]')
    assert positions.of_key(("a", "b")) == (1, 19)
    assert positions.of_value(("a", "b")) == (1, 23)
    assert positions.of_key(("t", 1)) == (3, 1)
    assert positions.of_value(("t", 1, "c.d", "e", 1, "f")) == (4, 21)
    assert positions.of_value(("t", 0, "nowhere", 3)) == (2, 1)


@pytest.mark.parametrize(
    ("text", "column", "caret"),
    [("abc = x", 7, 6), ("\tabc = x", 8, 10), ("a\tb = x", 7, 9), ("体体 = x", 6, 7), ("e\u0301 = x", 6, 4)],
)
def test_the_caret_stands_under_its_place(text: str, column: int, caret: int) -> None:
    _, line, under = render(Diagnostic(Path("f"), 1, column, text, "what")).split("\n")
    margin = line.index("| ") + 2
    assert under.index("^") - margin == caret  # columns a terminal gives to what stands before


def test_a_long_line_is_shown_around_its_place() -> None:
    line, under = render(Diagnostic(Path("f"), 1, 5_001, "a" * 5_000 + "X" + "b" * 5_000, "what")).split("\n")[1:]
    assert len(line) < 120
    assert line[under.index("^")] == "X"


def test_nothing_from_a_file_reaches_the_terminal_raw() -> None:
    hostile = "\x1b]0;x\x07\u202e\u2028\x9b2J"
    fault = Diagnostic(Path(hostile), 1, 3, hostile, hostile, hostile, hostile, hostile)
    assert all(character == "\n" or character.isprintable() for character in render(fault))
    assert len(fault.text) == len(hostile)


def test_every_form_of_text_has_its_words() -> None:
    def patterns(kind: object, seen: set[object]) -> set[str]:
        here = expected(kind)
        if here.kind in seen:
            return set()
        inner = [*here.members, *([here.items] if here.items else []), *(here.named or ())]
        if here.model is not None:
            seen.add(here.model)
            inner += expected_fields(here.model).values()
        own = {here.bounds["pattern"]} if "pattern" in here.bounds else set()
        found = {item.bounds["pattern"] for item in inner if "pattern" in item.bounds}
        return own.union(found, *(patterns(item.kind, seen) for item in inner))

    used = set().union(*(patterns(model, set()) for model in (*MODELS, *OF_EXCHANGE)))
    assert used == set(FORMS)

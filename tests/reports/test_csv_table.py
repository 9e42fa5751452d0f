"""The table of sets as a spreadsheet reads it."""

import csv
import io

import pytest

from coach.model.load_step import Rungs
from coach.model.record import BandAtHand, LoadChanged, Record
from coach.reports.tables.csv_table import BesideRecords, TableForm, csv_table
from coach.reports.tables.spreadsheet import form_of
from tests.plans import plan_of, shipped
from tests.progression.records import STEPS, instruction, session, standing


def rows(*records: Record, looks: str | None = None) -> list[dict[str, str]]:
    profile = plan_of("tern").profile
    if looks:
        bands = tuple(band.model_copy(update={"looks": looks}) for band in profile.bands)
        profile = profile.model_copy(update={"bands": bands})
    data = csv_table(profile, records, standing(), shipped())
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_a_row_a_set_with_what_was_done_and_answered() -> None:
    record = session(done=(10, 7), given={"set_2.pain": 4, "check_in.pain_now": 1, "set_2.elbow": "yes"})
    first, second = rows(record)
    assert (first["set"], first["repetitions"], first["goal"], first["faults"]) == ("1", "10", "10", "")
    assert (second["set"], second["repetitions"], second["end"]) == ("2", "7", "stopped")
    assert (second["faults"], second["pain_before"], second["pain"]) == ("elbow_drifted", "1", "4")
    assert (second["profile"], second["date"], second["time"]) == ("tern", "2026-03-02", "18:00:00")
    step = record.rungs.step
    assert (second["band"], second["distance_cm"], float(second["mean_nm"])) == (
        "knotted",
        str(step.distance_cm),
        step.mean_nm,
    )


def test_what_was_not_answered_is_empty_and_a_zero_is_a_zero() -> None:
    answered, silent = rows(session(done=(10,)), session(days=2, done=(10,), given={"pain": None}))
    assert (answered["pain"], silent["pain"], silent["effort"]) == ("0", "", "")


def test_the_worst_pain_of_a_set_counts() -> None:
    (row,) = rows(session(done=(10,), given={"set_1.pain": 3, "set_1.trouble_pain": 6, "set_1.trouble": "ache"}))
    assert row["pain"] == "6"


def test_what_the_pain_key_was_pressed_for_and_where_it_hurt_stand_in_the_set() -> None:
    said: dict[str, int | str | None] = {
        "set_2.trouble": "sharp",
        "set_2.trouble_where": "upper_arm",
        "set_2.trouble_pain": 2,
    }
    first, second = rows(session(done=(10, 10), given=said))
    assert (first["trouble"], first["trouble_where"]) == ("", "")
    assert (second["trouble"], second["trouble_where"], second["pain"]) == ("sharp", "upper_arm", "2")


@pytest.mark.parametrize("kind", ["load", "band"])
def test_a_set_after_a_change_has_the_load_of_then(kind: str) -> None:
    record = session(load=3)
    lighter = Rungs(step=STEPS[1])
    at = record.started
    change = LoadChanged(at=at, rule="unclean", rungs=lighter) if kind == "load" else BandAtHand(at=at, rungs=lighter)
    second_set = [entry for entry in record.entry if entry.kind == "set"][1]
    place = record.entry.index(second_set)
    changed = record.model_copy(update={"entry": (*record.entry[:place], change, *record.entry[place:])})
    assert [row["distance_cm"] for row in rows(changed)] == [str(STEPS[number].distance_cm) for number in (3, 1, 1)]


@pytest.mark.parametrize("looks", ["=1+1", "+44", "-x", "@SUM(A1)", '=HYPERLINK("x";"y")'])
def test_a_text_is_never_a_formula(looks: str) -> None:
    (row,) = rows(session(done=(10,)), looks=looks)
    assert row["looks"] == f"'{looks}"


def test_quotes_commas_and_letters_come_back() -> None:
    looks = 'the "thin", plaited; one – größer'
    assert rows(session(done=(10,)), looks=looks)[0]["looks"] == looks


def test_no_set_is_a_table_with_its_columns_only() -> None:
    data = csv_table(plan_of("tern").profile, (), standing(), shipped()).decode("utf-8-sig")
    assert data.startswith("profile,date,time,exercise,position,band,")
    assert data.count("\r\n") == 1


def test_activities_stand_beside_the_sets_of_their_session() -> None:
    record = session(done=(10,), given={"check_in.activity_1": 4, "check_in.activity_2": 7})
    (row,) = rows(record.model_copy(update={"activities": ("hang out washing", "reach, high")}))
    assert (row["activities"], row["activity_ratings"]) == ("5.5", "hang out washing: 4; reach, high: 7")


def test_each_instruction_has_a_row_before_the_sets_done_under_it() -> None:
    signed = (
        instruction("freeze_load", 4),
        instruction("unlock_position", 1, position=45),
        instruction("end_review", 90),
    )
    beside = BesideRecords(instructions=signed)
    data = csv_table(
        plan_of("tern").profile, (session(done=(9,)), session(days=2, done=(10,))), standing(), shipped(), beside
    )
    told = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))
    assert [(row["set"], row["instruction"], row["initials"]) for row in told] == [
        ("1", "", ""),
        ("", "unlock_position position=45: seen", "AB"),
        ("1", "", ""),
        ("", "freeze_load: seen", "AB"),
        ("", "end_review: seen", "AB"),
    ]
    assert (told[1]["date"], told[1]["profile"], told[1]["mean_nm"]) == ("2026-03-03", "tern", "")


@pytest.mark.parametrize(
    ("locale", "separator", "decimal"), [("de_DE", ";", ","), ("fr_CH", ";", ","), ("en_GB", ",", ".")]
)
def test_a_spreadsheet_of_a_country_reads_its_numbers(locale: str, separator: str, decimal: str) -> None:
    """Decimal marks of the Unicode Common Locale Data Repository; with a comma, semicolons are between cells."""
    record = session(done=(10,))
    form = TableForm(spreadsheet=form_of(locale))
    data = csv_table(plan_of("tern").profile, (record,), standing(), shipped(), form=form).decode("utf-8-sig")
    (row,) = csv.DictReader(io.StringIO(data, newline=""), delimiter=separator)
    assert row["mean_nm"] == str(record.rungs.step.mean_nm).replace(".", decimal)


def test_a_locale_that_there_is_none_of_is_refused() -> None:
    with pytest.raises(ValueError, match="xx_XX is not a language and country"):
        form_of("xx_XX")

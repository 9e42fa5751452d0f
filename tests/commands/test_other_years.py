"""A date of a year that nobody counts with, in any file of a client: it is told, and no command fails on it."""

import re
from collections.abc import Callable
from os import devnull
from pathlib import Path

import pytest

from coach.cli import main
from coach.model.profile import Profile
from coach.store.records.record_file import start_from_name
from coach.toml.diagnostic import FileFault
from coach.toml.reader import FIRST_YEAR, LAST_YEAR, MAYBE_OTHER_YEAR, is_year, read_model

_BUG = 70  # EX_SOFTWARE
_SIGNED = ("--initials", "KB", "--reason", "to try")
COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check", "CLIENT"),
    ("history", "CLIENT"),
    ("history", "CLIENT", "--pictures"),
    ("progress", "CLIENT"),
    ("forecast", "CLIENT"),
    ("preview", "CLIENT"),
    ("setup", "CLIENT"),
    ("bands", "CLIENT"),
    ("letter", "CLIENT", "--text"),
    ("handout", "CLIENT", "--to", "TO.pdf"),
    ("export", "CLIENT", "--fhir", "--to", "TO.json"),
    ("export", "CLIENT", "--csv", "--to", "TO.csv"),
    ("steer", "CLIENT", "freeze_load", *_SIGNED),
    ("visit", "CLIENT", "note=looked in", "initials=KB"),
    ("visit", "CLIENT", "--list"),
    ("rehearse", "CLIENT", "--plain", "--silent"),
    ("session", "CLIENT", "--plain", "--silent"),
    ("practice", "CLIENT", "--plain", "--silent"),
    ("caseload", "CASELOAD"),
    ("audit", "CASELOAD"),
    ("check", "CASELOAD"),
)

pytestmark = pytest.mark.usefixtures("few_lives")
# Those that count weeks and days between the sessions.
_COUNTING = tuple(words for words in COMMANDS if words[0] in ("history", "progress", "forecast", "caseload", "audit"))
_DAY = re.compile(r"\b20[0-9]{2}(-[0-9]{2}-[0-9]{2})")


def codes_of(
    client: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, commands: tuple[tuple[str, ...], ...] = COMMANDS
) -> dict[tuple[str, ...], int]:
    """The exit code of each command, with nothing typed."""
    found = dict[tuple[str, ...], int]()
    for words in commands:
        places = {"CLIENT": str(client), "CASELOAD": str(client.parent)}
        to = f"{tmp_path}/{len(found)}"
        with Path(devnull).open(encoding="utf-8") as nothing:
            monkeypatch.setattr("sys.stdin", nothing)
            found[words] = main([places.get(word, re.sub("^TO", to, word)) for word in words])
    return found


def first_record(client: Path) -> Path:
    return min((client / "records").glob("*.toml"))


def last_record(client: Path) -> Path:
    return max((client / "records").glob("*.toml"))


FILES: dict[str, Callable[[Path], Path]] = {
    "first record": first_record,
    "last record": last_record,
    "profile": lambda client: client / "profile.toml",
    "prescription": lambda client: client / "prescription.toml",
}


def dated(path: Path, year: str) -> None:
    """All dates of a file in this year; a record is then as if edited by hand."""
    text = re.sub(r"^# whole .*$", "# whole", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert _DAY.search(text)
    path.write_text(_DAY.sub(rf"{year}\1", text), encoding="utf-8")
    for derived in ("progress.toml", ".progress.fingerprint"):
        (path.parent / derived).unlink(missing_ok=True)
        (path.parent.parent / derived).unlink(missing_ok=True)


@pytest.mark.parametrize("file", FILES)
@pytest.mark.parametrize("year", ["0001", "9999"])
def test_a_date_of_another_year_is_told_and_no_command_fails(
    demo_profiles: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    file: str,
    year: str,
) -> None:
    client = demo_profiles / "heron"
    dated(FILES[file](client), year)
    codes = codes_of(client, tmp_path, monkeypatch)
    assert [words for words, code in codes.items() if code == _BUG] == []
    capsys.readouterr()
    assert main(["check", str(client)]) == 1
    told = capsys.readouterr().out
    assert f"is in the year {int(year)}" in told
    assert told.count(f"a date of the years {FIRST_YEAR} to {LAST_YEAR}") >= 1


@pytest.mark.parametrize(
    ("file", "year"),
    [("first record", FIRST_YEAR), ("last record", LAST_YEAR)],
)
def test_no_command_fails_on_the_first_and_the_last_year(
    demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, file: str, year: int
) -> None:
    client = demo_profiles / "heron"
    dated(FILES[file](client), f"{year}")
    codes = codes_of(client, tmp_path, monkeypatch, _COUNTING)
    assert [words for words, code in codes.items() if code == _BUG] == []


@pytest.mark.parametrize(("year", "is_taken"), [(1899, False), (1900, True), (2200, True), (2201, False)])
def test_the_first_and_the_last_year(demo_profiles: Path, year: int, *, is_taken: bool) -> None:
    path = demo_profiles / "heron" / "profile.toml"
    dated(path, f"{year}")
    if is_taken:
        assert read_model(path, Profile)
        return
    with pytest.raises(FileFault) as raised:
        read_model(path, Profile)
    named = {fault.what for fault in raised.value.faults}
    assert named == {f"on is in the year {year}", f"measured_on is in the year {year}"}
    assert all(str(year) in fault.text and fault.column > 1 for fault in raised.value.faults)


def test_a_text_with_any_other_year_is_looked_at_with_care() -> None:
    """The pattern repeats the bounds in its own words: no year may be outside both, nor the years of now in it."""
    found = {year for year in range(10_000) if MAYBE_OTHER_YEAR.search(f"on = {year:04}-12-31\n")}
    assert [year for year in range(10_000) if not is_year(year) and year not in found] == []
    assert not found & set(range(2000, 2100))


@pytest.mark.parametrize("year", ["0001", "9999"])
def test_a_record_named_after_such_a_year_stops_no_command(
    demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, year: str
) -> None:
    path = last_record(demo_profiles / "heron")
    named = path.with_name(f"{year}{path.name[4:]}")
    path.rename(named)
    assert start_from_name(named) is None
    codes = codes_of(demo_profiles / "heron", tmp_path, monkeypatch, _COUNTING)
    assert [words for words, code in codes.items() if code == _BUG] == []


@pytest.mark.parametrize("at", ["0001-01-01 10:00", "9999-12-31 23:30", "0001-01-01T10:00:00+14:00"])
def test_a_date_put_right_is_of_our_years_too(demo_profiles: Path, at: str) -> None:
    client = demo_profiles / "heron"
    asked = (f"record={last_record(client).name}", f"right_at={at}")
    assert main(["steer", str(client), "correct_date", *asked, *_SIGNED, "--yes"]) not in (0, _BUG)

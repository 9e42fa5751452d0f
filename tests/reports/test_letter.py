"""The letter and the client's page: every number in them is found again in the files, and nothing else is said."""

import re
import tomllib
from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from statistics import median
from typing import Any

import pytest
from pypdf import PdfReader

from coach.authoring.check_clinic import check_clinic
from coach.cli import main

# The errors of measurement of the trade (B5, B8, C10, C11), as they stand in limits.toml.
RANGE_ERROR, STRENGTH_ERROR, PAIN_ERROR, ACTIVITY_ERROR = 5.0, 0.24, 1.1, 2.0

VISIT = """format = 2
at = 2026-11-21T10:00:00+01:00
initials = "KB"

[[ranges]]
position = "0"
direction = "external"
side = "right"
active_deg = 83.5

[[ranges]]
position = "45"
direction = "external"
side = "right"
active_deg = 82.5
"""


@pytest.fixture
def heron(demo_profiles: Path) -> Path:
    """A client of twenty weeks in three positions, measured again at a visit."""
    client = demo_profiles / "heron"
    (client / "visits").mkdir()
    (client / "visits" / "2026-11-21T100000.toml").write_text(VISIT, encoding="utf-8")
    return client


def text_of(client: Path, capsys: pytest.CaptureFixture[str], *options: str) -> str:
    assert main(["letter", str(client), "--text", *options]) == 0
    return capsys.readouterr().out


def files_of(client: Path) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The profile and the records, read by the standard library alone."""
    read = [tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted((client / "records").glob("*.toml"))]
    return tomllib.loads((client / "profile.toml").read_text(encoding="utf-8")), read


def place(entry: Mapping[str, Any]) -> str:
    """The position that something was measured or done in, in files of any format."""
    return str(entry.get("position", entry.get("position_deg")))


def entries(record: Mapping[str, Any], kind: str) -> list[Mapping[str, Any]]:
    return [one for one in record["entry"] if one["kind"] == kind]


def _verdict(is_change: bool) -> str:
    return "counts as a change, the error is" if is_change else "within the error of"


def said(text: str, what: str) -> str:
    """What is said of one row, on one line."""
    rows = [" ".join(part.split()) for part in text.split("\n\n")]
    return next(row.removeprefix(what).strip() for row in rows if row.startswith(what))


def test_every_number_is_found_again_in_the_files(heron: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Recomputed from the files with the standard library; in the end no number is left over."""
    text = text_of(heron, capsys)
    profile, records = files_of(heron)
    done = [one for one in records if entries(one, "set")]
    days = [one["started"].date() for one in done]
    before = {place(one): one["available_deg"] for one in profile["ranges"]}
    on = {place(one): one["on"] for one in profile["ranges"]}
    expected = {
        f"Range, turning outward, right, at {degrees} degrees": (
            f"First: {before[degrees]:.1f} degrees ({on[degrees]}); Latest: {again:.1f} degrees (2026-11-21); "
            f"Change: {again - before[degrees]:+.1f} degrees; Against the error of measurement: "
            f"{_verdict(abs(again - before[degrees]) >= RANGE_ERROR)} 5.0 degrees"
        )
        for degrees, again in (("0", 83.5), ("45", 82.5))
    }
    expected["Range, turning outward, right, at 90 degrees"] = (
        f"First: {before['90']:.1f} degrees ({on['90']}); Against the error of measurement: one value only"
    )
    for degrees, title in (("0", "Arm at your side (0 degrees)"), ("45", "Arm halfway up (45 degrees)")):
        here = [one for one in done if place(one) == degrees]
        first, last = (here[end]["rungs"]["step"] for end in (0, -1))
        halves = [max(one["high_nm"] - one["mean_nm"], one["mean_nm"] - one["low_nm"]) for one in (first, last)]
        error, exact = sum(half**2 for half in halves) ** 0.5, last["mean_nm"] - first["mean_nm"]
        change = round(last["mean_nm"], 2) - round(first["mean_nm"], 2)
        expected[f"Load, External rotation with a band, right, {title}"] = (
            f"First: {first['mean_nm']:.2f} Nm ({here[0]['started'].date()}); "
            f"Latest: {last['mean_nm']:.2f} Nm ({here[-1]['started'].date()}); Change: {change:+.2f} Nm; "
            f"Against the error of measurement: {_verdict(abs(exact) >= error)} {error:.2f} Nm"
        )
    pains = [
        (one["started"].date(), entry["value"])
        for one in records
        for entry in entries(one, "answer")
        if entry["step"] == "check_in.pain_now"
    ]
    two_weeks = timedelta(days=14)
    first_pain = median(pain for day, pain in pains if day - pains[0][0] < two_weeks)
    last_pain = median(pain for day, pain in pains if pains[-1][0] - day < two_weeks)
    assert abs(last_pain - first_pain) < PAIN_ERROR
    expected["Pain before a session"] = (
        f"First: {first_pain:.1f} of 10 ({pains[0][0]}); Latest: {last_pain:.1f} of 10 ({pains[-1][0]}); "
        "Change: 0.0 of 10; Against the error of measurement: within the error of 1.1 of 10"
    )
    rated: dict[date, list[int]] = {}
    for one in records:
        for entry in entries(one, "answer"):
            if re.fullmatch(r"closing\.activity_\d", entry["step"]) or "activity" in entry["step"]:
                rated.setdefault(one["started"].date(), []).append(entry["value"])
    means = {day: sum(values) / len(values) for day, values in rated.items()}
    first_day, last_day = min(means), max(means)
    assert means[last_day] - means[first_day] >= ACTIVITY_ERROR
    expected["Own activities"] = (
        f"First: {means[first_day]:.1f} of 10 ({first_day}); Latest: {means[last_day]:.1f} of 10 ({last_day}); "
        f"Change: {means[last_day] - means[first_day]:+.1f} of 10; "
        "Against the error of measurement: counts as a change, the error is 2.0 of 10"
    )
    for what, told in expected.items():
        assert said(text, what) == told
    sets = [entry for one in done for entry in entries(one, "set")]
    repetitions = sum(one["repetitions"] for one in sets)
    weeks = round((days[-1] - days[0]).days / 7)
    whole = " ".join(text.split())
    assert f"{repetitions} repetitions in {len(sets)} sets." in whole
    assert f"Exercised on {len(set(days))} days in {weeks} weeks" in whole


def test_strength_in_both_and_a_change_within_its_error(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """24 % of the first value (B8): 16.8 to 20 Nm is within it, and 18.72 to 24 Nm is not."""
    client = demo_profiles / "curlew"
    (client / "visits").mkdir()
    tests = "".join(
        f'\n[[strengths]]\nposition = "0"\nside = "{side}"\nforce_n = {force}\nlever_m = 0.25\n'
        for side, force in (("right", 80), ("left", 96))
    )
    visit = f'format = 2\nat = 2026-11-24T10:00:00+01:00\ninitials = "KB"\n{tests}'
    (client / "visits" / "2026-11-24T100000.toml").write_text(visit, encoding="utf-8")
    text = text_of(client, capsys)
    right, left = (said(text, f"Strength, turning outward, {side}, at 0 degrees") for side in ("right", "left"))
    assert right.endswith(f"Change: +3.20 Nm; Against the error of measurement: within the error of "
                          f"{16.8 * STRENGTH_ERROR:.2f} Nm")  # fmt: skip
    assert left.endswith(f"Change: +5.28 Nm; Against the error of measurement: counts as a change, the error is "
                         f"{18.72 * STRENGTH_ERROR:.2f} Nm")  # fmt: skip


@pytest.mark.parametrize("name", ["avocet", "curlew", "heron", "plover"])
def test_each_change_agrees_with_the_numbers_beside_it(
    name: str, demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """2.214 and 2.337 Nm were told as 2.21 and 2.34, with a change of 0.12."""
    text = " ".join(text_of(demo_profiles / name, capsys).split())
    number = r"([-+]?\d+\.\d+)"
    told = re.findall(rf"First: {number} [^;]*; Latest: {number} [^;]*; Change: {number}", text)
    assert told
    for first, last, change in told:
        assert Decimal(last) - Decimal(first) == Decimal(change)


@pytest.mark.parametrize("reader", ["referrer", "client"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_pdf_is_one_page_with_the_same_numbers(
    heron: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], reader: str, paper: str
) -> None:
    text = text_of(heron, capsys, "--for", reader)
    file = tmp_path / "letter.pdf"
    assert main(["letter", str(heron), "--for", reader, "--paper", paper, "--to", str(file)]) == 0
    (page,) = PdfReader(BytesIO(file.read_bytes())).pages
    numbers = re.compile(r"[+-]?\d[\d.:-]*")
    assert sorted(numbers.findall(page.extract_text())) == sorted(numbers.findall(text))
    assert main(["letter", str(heron), "--to", str(file)]) == 1, "nothing is overwritten"


def test_a_clinic_says_it_in_its_own_words_and_a_misspelt_place_is_told_where(
    heron: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    clinic = heron.parent / "clinic"
    (clinic / "en").mkdir(parents=True)
    (clinic / "clinic.toml").write_text('format = 1\nname = "Harbour Lane"\nphone = "01234"\n', encoding="utf-8")
    own = clinic / "en" / "letter.toml"
    own.write_text('format = 1\n\n[referrer]\ntitle = "For {profile} on {day}"\n', encoding="utf-8")
    text = text_of(heron, capsys)
    assert "For heron on " in text
    assert text.startswith("Harbour Lane\n01234\n")
    assert "The clinic: 01234" in text_of(heron, capsys, "--for", "client")
    own.write_text('format = 1\n\n[referrer]\ntitle = "For {profil}: she will be cured"\n', encoding="utf-8")
    told = {(fault.path, fault.line, fault.nearest) for fault in check_clinic(clinic)}
    assert told == {(own, 4, "profile"), (own, 4, None)}, "the place, and the promise"


def test_a_line_with_a_place_without_a_value_is_left_out(heron: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "The clinic:" not in text_of(heron, capsys, "--for", "client")
    for path in (heron / "records").glob("*.toml"):
        path.unlink()
    text = text_of(heron, capsys)
    assert "sessions from" not in text
    assert "What was done" not in text
    assert "Goal in the client's words" in text


@pytest.mark.parametrize(
    ("language", "reader", "said"),
    [
        ("en", "referrer", "Exercised on 1 day in 1 week; 1 was asked for."),
        ("en", "client", "You exercised on 1 day in 1 week; 1 was planned."),
        ("de", "referrer", "Geübt an 1 Tag in 1 Woche; vorgesehen war 1."),
        ("de", "client", "Sie haben an 1 Tag in 1 Woche geübt; vorgesehen war 1."),
    ],
)
def test_of_one_day_the_words_are_those_of_one(
    language: str, reader: str, said: str, demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    client = demo_profiles / "plover"
    profile = client / "profile.toml"
    text = profile.read_text(encoding="utf-8")
    profile.write_text(text.replace('language = "en"', f'language = "{language}"'), encoding="utf-8")
    _, *later = sorted((client / "records").glob("*.toml"))
    for file in later:
        file.unlink()
    for derived in (*client.glob("progress.toml"), *client.glob(".progress*")):
        derived.unlink()
    assert said in " ".join(text_of(client, capsys, "--for", reader).split())

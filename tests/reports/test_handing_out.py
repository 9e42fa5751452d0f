"""The commands that write a file for somebody else."""

import csv
import json
import re
import stat
from pathlib import Path

import pytest
from pypdf import PdfReader

from coach.cli import main
from coach.commands.support.output import FAULTS, FINE, NOT_NOW, USAGE

CLIENTS = ("tern", "plover", "heron", "avocet")


@pytest.mark.parametrize("client", CLIENTS)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_handout_is_written(
    client: str, paper: str, demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "page.pdf"
    assert main(["handout", str(demo_profiles / client), "--paper", paper, "--to", str(path)]) == FINE
    assert capsys.readouterr().out == f"Written: {path}\n"
    assert len(PdfReader(path).pages) == 1
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize("client", CLIENTS)
def test_what_an_export_holds_is_said(
    client: str, demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "out.json"
    assert main(["export", str(demo_profiles / client), "--fhir", "--to", str(path)]) == FINE
    said = " ".join(capsys.readouterr().out.split())
    entries = json.loads(path.read_text(encoding="utf-8"))["entry"]
    kinds = [entry["resource"]["resourceType"] for entry in entries]
    assert f"measurements: {kinds.count('Observation')};" in said
    assert f"sessions: {kinds.count('Procedure')} (" in said
    assert "no name, address or date of birth" in said
    assert (
        f'"{next(e["resource"] for e in entries if e["resource"]["resourceType"] == "Goal")["description"]["text"]}"'
        in said
    )
    assert said.endswith(f"Written: {path}")


def test_a_table_has_a_row_a_set(demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "out.csv"
    assert main(["export", str(demo_profiles / "plover"), "--csv", "--to", str(path)]) == FINE
    with path.open(encoding="utf-8-sig", newline="") as file:
        table = list(csv.DictReader(file))
    assert f"sets: {len(table)}," in " ".join(capsys.readouterr().out.split())
    assert all(row["repetitions"].isdigit() for row in table)


@pytest.mark.parametrize("command", [["handout"], ["export", "--fhir"], ["export", "--csv"]])
def test_nothing_is_written_over(
    command: list[str], demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine"
    path.write_text("mine")
    name, *options = command
    assert main([name, str(demo_profiles / "tern"), *options, "--to", str(path)]) == FAULTS
    heard = capsys.readouterr()
    assert "it exists already" in heard.err
    assert heard.out == ""
    assert path.read_text() == "mine"


def test_a_client_in_review_gets_no_handout(
    demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    records = demo_profiles / "plover" / "records"
    newest = max(records.glob("*.toml"))
    text = newest.read_text(encoding="utf-8")
    head, decision, told = text.rpartition("[entry.decision]")
    by_hand = head + decision + told.replace('status = "active"', 'status = "review"')
    newest.write_text(re.sub("# whole [0-9a-f]+", "# whole", by_hand))
    path = tmp_path / "page.pdf"
    assert main(["handout", str(demo_profiles / "plover"), "--to", str(path)]) == NOT_NOW
    assert "There is no session now." in capsys.readouterr().err
    assert not path.exists()


@pytest.mark.parametrize("options", [[], ["--fhir", "--csv"]])
def test_an_export_is_of_one_kind(options: list[str], demo_profiles: Path, tmp_path: Path) -> None:
    with pytest.raises(SystemExit) as refused:
        main(["export", str(demo_profiles / "tern"), *options, "--to", str(tmp_path / "out")])
    assert refused.value.code == USAGE


def test_a_profile_is_only_read(demo_profiles: Path, tmp_path: Path) -> None:
    def state() -> dict[Path, bytes]:
        return {path: path.read_bytes() for path in demo_profiles.rglob("*") if path.is_file()}

    before = state()
    assert main(["handout", str(demo_profiles / "heron"), "--to", str(tmp_path / "page.pdf")]) == FINE
    assert main(["export", str(demo_profiles / "heron"), "--fhir", "--to", str(tmp_path / "out.json")]) == FINE
    assert main(["export", str(demo_profiles / "heron"), "--csv", "--to", str(tmp_path / "out.csv")]) == FINE
    assert state() == before

"""An export of a whole clinic: everybody who can be is in it, and it appears as a whole or not at all."""

import csv
import io
import json
import shutil
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support import export_all
from coach.commands.support.output import FAULTS, FINE
from coach.reports.tables.csv_table import TableForm
from coach.store import client_pool
from coach.store.client_store import ClientStore

CLIENTS = ("avocet", "curlew", "heron", "plover", "tern")


def _exported(*words: object) -> int:
    return main(["export", *map(str, words)])


def test_one_table_is_the_tables_of_all_one_after_the_other(demo_profiles: Path, tmp_path: Path) -> None:
    assert _exported(demo_profiles, "--all", "--csv", "--to", tmp_path / "all.csv") == FINE
    rows: list[list[str]] = []
    for name in CLIENTS:
        assert _exported(demo_profiles / name, "--csv", "--to", tmp_path / f"{name}.csv") == FINE
        heading, *own = csv.reader(io.StringIO((tmp_path / f"{name}.csv").read_text("utf-8-sig"), newline=""))
        rows += own if rows else [heading, *own]
    of_all = list(csv.reader(io.StringIO((tmp_path / "all.csv").read_text("utf-8-sig"), newline="")))
    assert of_all[0][-2:] == ["programme_exercise", "side"]
    assert [row[: len(rows[0])] for row in of_all] == [row[: len(rows[0])] for row in rows]
    assert (tmp_path / "all.csv").stat().st_mode & 0o777 == 0o600


def test_a_bundle_of_each_is_what_is_exported_of_one(demo_profiles: Path, tmp_path: Path) -> None:
    assert _exported(demo_profiles, "--all", "--fhir", "--to", tmp_path / "all") == FINE
    assert sorted(path.name for path in (tmp_path / "all").iterdir()) == [f"{name}.json" for name in CLIENTS]
    for name in ("heron", "tern"):
        assert _exported(demo_profiles / name, "--fhir", "--to", tmp_path / f"{name}.json") == FINE
        assert (tmp_path / "all" / f"{name}.json").read_bytes() == (tmp_path / f"{name}.json").read_bytes()
    assert {path.stat().st_mode & 0o777 for path in (tmp_path / "all").iterdir()} == {0o600}


def test_a_client_who_cannot_be_read_is_named_and_the_others_are_exported(
    demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (demo_profiles / "plover" / "profile.toml").write_text("format = 1\n")
    assert _exported(demo_profiles, "--all", "--fhir", "--to", tmp_path / "all") == FAULTS
    said = capsys.readouterr().err
    assert "plover" in said
    assert "1 client is not in it" in said
    assert sorted(path.stem for path in (tmp_path / "all").iterdir()) == ["avocet", "curlew", "heron", "tern"]


def test_what_was_left_out_of_a_client_is_said(
    demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = max((demo_profiles / "plover" / "records").glob("*.toml"))
    shutil.copy(record, record.with_suffix(".replaced"))
    assert _exported(demo_profiles, "--all", "--csv", "--to", tmp_path / "all.csv") == FINE
    assert f"plover: {record.stem}.replaced: " in capsys.readouterr().err


def test_several_processes_export_the_same(
    demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert _exported(demo_profiles, "--all", "--csv", "--to", tmp_path / "one.csv") == FINE
    monkeypatch.setattr(client_pool, "_LEAST_FOR_PROCESSES", 2)
    monkeypatch.setattr(client_pool, "_CHUNK", 1)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    monkeypatch.setattr("threading.active_count", lambda: 1)
    assert _exported(demo_profiles, "--all", "--csv", "--to", tmp_path / "two.csv") == FINE
    assert (tmp_path / "one.csv").read_bytes() == (tmp_path / "two.csv").read_bytes()


@pytest.mark.parametrize("form", ["csv", "fhir"])
def test_ctrl_c_leaves_nothing(
    demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, form: export_all.Form
) -> None:
    """After two clients of four."""
    made, seen = export_all._FORMS[form], list[Path]()

    def interrupted(store: ClientStore, table: TableForm) -> bytes:
        seen.append(store.path)
        if len(seen) == 3:
            raise KeyboardInterrupt
        return made(store, table)

    monkeypatch.setitem(export_all._FORMS, form, interrupted)
    (tmp_path / "to").mkdir()
    assert _exported(demo_profiles, "--all", f"--{form}", "--to", tmp_path / "to" / "all") == 130
    assert len(seen) == 3
    assert list((tmp_path / "to").iterdir()) == []


def test_a_folder_of_clients_is_exported_only_where_all_are_asked_for(demo_profiles: Path, tmp_path: Path) -> None:
    """By a slip a whole clinic is not passed on."""
    assert _exported(demo_profiles, "--csv", "--to", tmp_path / "all.csv") == FAULTS
    assert _exported(demo_profiles / "tern", "--all", "--csv", "--to", tmp_path / "all.csv") == FAULTS
    assert not (tmp_path / "all.csv").exists()


def test_the_answers_of_a_session_stand_after_it(demo_profiles: Path, tmp_path: Path) -> None:
    """Each set of a bundle comes after its own session."""
    assert _exported(demo_profiles / "heron", "--fhir", "--to", tmp_path / "one.json") == FINE
    session, sets = "", 0
    for entry in json.loads((tmp_path / "one.json").read_text())["entry"]:
        resource = entry["resource"]
        if resource["resourceType"] == "Procedure":
            session = entry["fullUrl"]
        parts = [one["reference"] for one in resource.get("partOf", [])]
        sets += bool(parts)
        assert parts in ([], [session])
    assert sets > 100


@pytest.mark.parametrize("form", ["--fhir", "--csv"])
@pytest.mark.parametrize("of_all", [True, False])
def test_an_export_says_what_it_leaves_out(
    form: str, of_all: bool, demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No condition, no irritability and nothing that was noted at a visit is in either form."""
    what = (demo_profiles, "--all") if of_all else (demo_profiles / "curlew",)
    assert _exported(*what, form, "--to", tmp_path / "to") == FINE
    said = " ".join(capsys.readouterr().out.split())
    assert "conditions and irritability; what was noted and agreed at visits;" in said

"""Every figure of an audit of clients whose truth is known is recovered; those of a few people are left out.

`python -m tests.commands.test_audit 2000` does so with many clients, and prints time and memory.
"""

import csv
import re
import resource
import sys
import tempfile
import time
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.cli import main
from coach.commands.clinic.courses import course_of, courses_of
from coach.model.option_names import DischargeReason
from coach.overview.results.audit import Audit
from coach.overview.results.suppression import coarse_curve, shown_counts
from coach.store.client_store import ClientStore
from tests.commands.known_clients import KINDS, Truth, make, truth_of
from tests.plans import shipped

LEAST, HIDDEN = 5, "[c]"
PARTS_OF_ALL = ("clients", "came", "never_came", "discharged")
PARTS = ("higher", "lower", "within")
Row = dict[str, str]


def rows_of(file: Path, separator: str = ",") -> list[Row]:
    with file.open(encoding="utf-8-sig", newline="") as opened:
        return list(csv.DictReader(opened, delimiter=separator))


def compare(rows: Sequence[Row], truth: dict[tuple[str, str], Truth]) -> tuple[int, int]:
    """Each row beside the truth; how many figures were recovered and how many are hidden."""
    recovered = hidden = 0
    expected = {(*group, *key): values for group, true in truth.items() for key, values in true.figures().items()}
    hidden_groups = {
        (row["by"], row["group"]) for row in rows if row["figure"] == "clients" and row["clients"] == HIDDEN
    }
    seen = set()
    for row in rows:
        key = (row["by"], row["group"], row["figure"], row["detail"], row["unit"])
        if row["figure"] in ("status", "unreadable"):
            continue
        seen.add(key)
        values = expected.get(key, {"clients": 0})
        if row["clients"] == HIDDEN and not row["mean"]:
            hidden += 1
            assert values["clients"] < LEAST or row["figure"] in PARTS_OF_ALL, key
            continue
        for name, value in values.items():
            if row[name] == HIDDEN:
                hidden += 1
            else:
                recovered += 1
                assert float(row[name] or 0) == pytest.approx(value, abs=6e-5), (key, name)
                assert name not in ("clients", *PARTS) or not 0 < float(row[name]) < LEAST, key
        assert sum(row[part] == HIDDEN for part in PARTS) != 1, "one alone would follow from the others"
    missing = {key for key in expected if key not in seen and key[:2] not in hidden_groups}
    assert {key for key in missing if expected[key]["clients"] >= LEAST} == set()
    return recovered, hidden


def test_every_figure_of_thirty_clients_is_recovered(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, file = tmp_path / "clients", tmp_path / "audit.csv"
    make(folder, 30)
    assert main(["audit", str(folder), "--csv", "--locale", "de_DE", "--to", str(file)]) == 0
    assert "," in file.read_text(encoding="utf-8-sig").partition("kept")[2].partition("\n")[0], "decimal commas"
    rows = [{name: value.replace(",", ".") for name, value in row.items()} for row in rows_of(file, ";")]
    recovered, hidden = compare(rows, truth_of(folder))
    assert recovered > 100
    assert hidden > 5
    text = capsys.readouterr().out
    assert main(["audit", str(folder)]) == 0
    text = capsys.readouterr().out
    assert "30 clients" in text
    assert "How many came for at least so many weeks" in text
    assert all(len(line) <= 80 for line in text.splitlines())
    changes = re.findall(r" [0-9]+ +([0-9]+\.[0-9]{2}) +([0-9]+\.[0-9]{2}) +(-?[0-9]+\.[0-9]{2}) +[0-9.]+ ", text)
    assert changes
    for first, last, change in changes:
        assert Decimal(last) - Decimal(first) == Decimal(change)


def test_a_group_is_named_in_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A condition by its name, and a position by its exercise."""
    make(tmp_path / "clients", 30)
    assert main(["audit", str(tmp_path / "clients")]) == 0
    headings = re.findall(r"^(.+)\n-+$", capsys.readouterr().out, re.MULTILINE)
    conditions = shipped().messages.conditions.condition
    expected = {f"Condition: {conditions[kind].name}" for kind in KINDS}
    assert {one for one in headings if one.startswith("Condition")} == {*expected, "Condition: none noted"}
    assert "External rotation with a band, 0 degrees" in headings
    assert not any("_" in one for one in headings)


def test_of_a_few_clients_nothing_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    make(tmp_path / "clients", 4)
    assert main(["audit", str(tmp_path / "clients")]) == 0
    out = capsys.readouterr().out
    assert "fewer than 5 clients: no figure is told" in out
    assert "Range" not in out


def test_who_cannot_be_read_is_named_and_counted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    make(tmp_path / "clients", 8)
    (tmp_path / "clients" / "harbour_0003" / "profile.toml").write_text("nonsense", encoding="utf-8")
    assert main(["audit", str(tmp_path / "clients")]) == 1
    told = capsys.readouterr()
    assert "harbour_0003: " in told.err
    assert "1 client could not be read" in told.out
    assert "Audit of clients, 7 clients" in told.out


@pytest.mark.parametrize(
    ("counts", "shown"),
    [
        ({"a": 20, "b": 9}, {"a": 20, "b": 9}),
        ({"a": 20, "b": 0}, {"a": 20, "b": 0}),
        ({"a": 20, "b": 4}, {"a": None, "b": None}),
        ({"a": 20, "b": 4, "c": 7}, {"a": 20, "b": None, "c": None}),
        ({"a": 20, "b": 4, "c": 1}, {"a": 20, "b": None, "c": None}),
        ({"a": 20, "b": 5}, {"a": 20, "b": 5}),
    ],
)
def test_a_part_of_a_few_is_left_out_and_cannot_be_worked_out(
    counts: dict[str, int], shown: dict[str, int | None]
) -> None:
    assert shown_counts(counts, LEAST) == shown


def test_no_step_of_the_curve_is_of_a_few_people() -> None:
    points = coarse_curve({0: 3, 1: 1, 2: 6, 3: 2, 4: 9, 5: 4}, LEAST)
    assert points == ((0, 25), (3, 15))


def test_each_client_is_counted_once_as_going_on_or_as_discharged(tmp_path: Path) -> None:
    """Those of a few reasons cannot be worked out from the others and the whole."""
    make(tmp_path / "clients", 1)
    store = ClientStore.read(next((tmp_path / "clients").iterdir()))
    course, audit = course_of(store, courses_of(store)), Audit()
    for number in range(18):
        reason: DischargeReason | None = "goals_met" if number < 6 else "moved" if number < 8 else None
        audit.add(replace(course, statuses=("active",), discharged=reason))
    assert _stands(audit, 1) == {("discharged", "goals_met"): 6, ("discharged", "moved"): 2, ("status", "active"): 10}
    told = {("discharged", "goals_met"): None, ("discharged", "moved"): None, ("status", "active"): 10}
    assert _stands(audit, LEAST) == told


def _stands(audit: Audit, least: float) -> dict[tuple[str, str], int | None]:
    counted = (one for one in audit.figures(least) if one.by == "all" and one.name in ("status", "discharged"))
    return {(one.name, one.detail): one.clients for one in counted}


def run_many(clients: int) -> None:
    """Print what an audit of so many clients takes, and whether every figure is right."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "clients"
        make(folder, clients)
        for part in (clients // 10, clients):
            some = Path(made) / f"some_{part}"
            some.mkdir()
            for path in sorted(folder.iterdir())[:part]:
                (some / path.name).symlink_to(path)
            began = time.perf_counter()
            file = Path(made) / f"{part}.csv"
            code = main(["audit", str(some), "--csv", "--to", str(file)])
            seconds = time.perf_counter() - began
            own, children = (
                resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
            )
            recovered, hidden = compare(rows_of(file), truth_of(some))
            print(f"{part} clients, exit code {code}: {seconds:.1f} s; at most {own:.0f} and {children:.0f} MiB; "
                  f"{recovered} figures recovered, {hidden} left out")  # fmt: skip


if __name__ == "__main__":
    run_many(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)

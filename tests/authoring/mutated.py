"""Mutated contents: `python -m tests.authoring.mutated --count 5000 --seed 1`.

A content folder, or a clinic's own, with one or two things changed at random is refused by the check, or everything
runs on it for a client who reads English or German: session rehearsal, preview, decisions, setup, history, charts,
the client's own view, letter, visit, words of the handout, export, caseload; and for one in thirty the handout as a
PDF, the forecast and every page of the proof. Anything else is printed, the folder is kept, and the exit code is 1.
`--from 2500` goes on where another run ended.
"""

import argparse
import random
import shutil
import sys
import tempfile
import traceback
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import get_args

from coach.authoring.check_clinic import check_clinic
from coach.authoring.check_content import check_content
from coach.commands.clinic.courses import course_of, courses_of
from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder, using_content
from coach.model.exercise import NoExercise
from coach.model.no_session import NoSession
from coach.overview.caseload_lines import LineSources, caseload_line
from coach.overview.history_chart import ClientHistory
from coach.overview.history_charts import history_charts
from coach.overview.visits.since_visit import since_lines
from coach.reports.fhir.bundle import fhir_json, fhir_resources
from coach.reports.pdf.handout import HandoutError, handout_pdf
from coach.reports.pdf.handout_text import handout_text
from coach.reports.tables.csv_table import csv_table
from coach.reports.text.decision_table import decision_table_text
from coach.reports.text.forecast import forecast_text
from coach.reports.text.history import client_history_text
from coach.reports.text.history_plots import charts_text
from coach.reports.text.instructions import instructions_text
from coach.reports.text.preview import preview_text
from coach.reports.text.progress_view import progress_text
from coach.reports.text.results.letter import Reader, letter_as_text, letter_text
from coach.reports.text.setup import setup_text
from coach.screens.coach.proof import ProofSelection, make_proof
from coach.screens.therapist.visit.visit_basis import visit_subject
from coach.screens.therapist.visit.visit_form import visit_fields
from coach.session.plan import plan_session
from coach.session.rehearsal import rehearse
from coach.session.scenarios import scenarios
from coach.store.client_paths import is_client
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.therapist.steering import read_snapshot
from tests.authoring.mutations import mutate
from tests.authoring.test_broken_content import CLINIC_FILES
from tests.authoring.test_own_entries import prescribe, write_clinic
from tests.demo.pristine import copy_pristine

AT = datetime(2026, 12, 1, 10, tzinfo=UTC)
LONG_SHARE = 30
CLINIC_SHARE = 6


@dataclass(frozen=True)
class Scratch:
    """Folders that are changed and made right again: a content, and clients beside a clinic of their own."""

    content: Path
    clinic: Path
    clients: Path
    beside_clinic: Path

    @classmethod
    def at(cls, path: Path) -> "Scratch":
        """Fill an empty folder."""
        content, beside = path / "content", path / "clinics_clients"
        shutil.copytree(content_folder(), content, ignore=shutil.ignore_patterns("schema"))
        for clients in (path / "clients", beside):
            copy_pristine(clients)
            for client in [*clients.iterdir()]:
                other = Path(shutil.copytree(client, clients / f"{client.name}_de"))
                _replace(other / "profile.toml", 'language = "en"', 'language = "de"')
        write_clinic(beside / "clinic", CLINIC_FILES)
        for name in ("tern", "tern_de"):
            _replace(beside / name / "profile.toml", "[95, 105, 120]", "[120, 190]")
            prescribe(beside / name, "reach_down", "[45]")
        prescribe(beside / "plover", "external_rotation", "[60]")
        return cls(content, beside / "clinic", path / "clients", beside)

    def whole(self, of_clinic: bool) -> dict[Path, bytes]:
        """Every file of a folder as it is now."""
        return {path: path.read_bytes() for path in self._changed(of_clinic).rglob("*") if path.is_file()}

    def make_right(self, of_clinic: bool) -> None:
        """Undo every change."""
        folder, files = self._changed(of_clinic), self._right[of_clinic]
        if {path for path in folder.rglob("*") if path.is_file()} != files.keys():
            shutil.rmtree(folder)
        for path, data in files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            if not path.exists() or path.read_bytes() != data:
                path.write_bytes(data)

    @cached_property
    def _right(self) -> tuple[dict[Path, bytes], dict[Path, bytes]]:
        return self.whole(of_clinic=False), self.whole(of_clinic=True)

    def _changed(self, of_clinic: bool) -> Path:
        return self.clinic if of_clinic else self.content


def _replace(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text, (path, old)
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def _is_read(client: Path, folder: Path, of_clinic: bool) -> bool:
    """Whether there are messages in the client's language; where there are none, every command says so."""
    return of_clinic or not client.name.endswith("_de") or (folder / "de").is_dir()


def drive(folder: Path, client: Path, long: bool) -> None:
    """Run what the commands run for one client, with a content folder that the check found right."""
    # The content may lack what this client was prescribed, or have no load for them: that is a sentence.
    with using_content(folder), suppress(NoExercise, NoSession, HandoutError):
        _drive_client(client, folder, long)


def _drive_client(client: Path, folder: Path, long: bool) -> None:
    store = ClientStore.read(client)
    profile, prescription, content = store.profile, store.prescription, store.content
    caseload_line(summary_of(client, content), LineSources(load_needs(folder), content, AT.date()))
    client_history_text(store)
    instructions_text(store)
    history = ClientHistory(profile, prescription, store.sessions, store.folded_progress, content, AT.date())
    charts_text(history_charts(history), content.messages.therapist.history_charts, history.profile.name)
    progress_text(history, None)
    list(fhir_json(profile, fhir_resources(profile, prescription, store.records, store.progress, content)))
    csv_table(profile, store.records, store.progress, content)
    courses = courses_of(store)
    for reader in get_args(Reader):
        letter_as_text(letter_text(course_of(store, courses), courses, prescription, content, reader, AT.date()))
    visit = visit_subject(read_snapshot(client), content, AT)
    visit_fields(visit.basis)
    since_lines(visit.since, content)
    plan = plan_session(profile, prescription, content, store.progress)
    for answers in scenarios(plan).values():
        rehearse(plan, answers, AT)
    preview_text(plan, AT)
    decision_table_text(plan, AT)
    setup_text(plan, whole=True)
    handout_text(plan, store.records)
    if long:
        handout_pdf(plan, store.records, "a4")
        forecast_text(plan, 1, AT, lives=2)
        selection = ProofSelection(prescription.exercise, plan.position.name, content.messages.language)
        proof = make_proof(content, selection.within(content), profile, prescription, AT)
        for name in proof.names:
            proof.page(name)
            proof.keys(name)


def run(count: int, seed: int, keep: Path, first: int = 0) -> Counter[str]:
    """Try so many mutated contents; how many were refused, driven, and failed. Each failure is printed and kept."""
    outcomes: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as path:
        scratch = Scratch.at(Path(path))
        for of_clinic in (False, True):
            scratch.make_right(of_clinic)  # remembers what is right
        for number in range(first, first + count):
            chance = random.Random(seed * 1_000_003 + number)
            of_clinic = chance.randrange(CLINIC_SHARE) == 0
            folder = scratch.clinic if of_clinic else scratch.content
            done = mutate(folder, chance)
            try:
                if check_clinic(folder) if of_clinic else check_content(folder):
                    outcomes["refused"] += 1
                else:
                    clients = scratch.beside_clinic if of_clinic else scratch.clients
                    client = chance.choice(
                        [
                            one
                            for one in sorted(clients.iterdir())
                            if is_client(one) and _is_read(one, folder, of_clinic)
                        ]
                    )
                    long = chance.randrange(LONG_SHARE) == 0
                    drive(content_folder() if of_clinic else folder, client, long)
                    outcomes["driven"] += 1
            except Exception:
                outcomes["failed"] += 1
                kept = keep / f"mutated_{seed}_{number}"
                shutil.copytree(folder, kept, dirs_exist_ok=True)
                print(f"{'; '.join(done)}, kept in {kept}", traceback.format_exc(limit=-4), sep="\n", file=sys.stderr)
            finally:
                scratch.make_right(of_clinic)
    return outcomes


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--from", dest="first", type=int, default=0)
    parser.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()))
    arguments = parser.parse_args()
    outcomes = run(arguments.count, arguments.seed, arguments.keep, arguments.first)
    print(", ".join(f"{number} {name}" for name, number in sorted(outcomes.items())))
    return 1 if outcomes["failed"] else 0


if __name__ == "__main__":
    sys.exit(main())

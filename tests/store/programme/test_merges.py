"""One client on two computers at home and two in the clinic, whose files are copied between them at random.

Short here; at length: `python -m tests.store.programme.test_merges 2000`.
"""

import random
import shutil
import sys
import tempfile
from collections.abc import Mapping
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.programme.session_file import SessionFile
from coach.model.programme.written import Written
from coach.session.rehearsal import rehearse_programme
from coach.store.client_folder import progress_text, records_folder
from coach.store.client_store import ClientStore
from coach.store.programme.opening import todays_exercises
from coach.store.records import record_file
from coach.toml.atomic_write import make_folder
from coach.toml.writer import dump
from tests.demo.pristine import DEMO

HOMES, CLINICS = ("hearthaa", "phonebbb"), ("cliniccc", "branchdd")
START = datetime.fromisoformat("2026-11-11T18:00:00+01:00")
CURLEW = DEMO / "curlew"
KINDS: Mapping[str, Mapping[str, int | str]] = {"clean": {}, "sign": {"sign": "gave_way"}, "hurts": {"pain": 8}}
SIGNED: tuple[Mapping[str, Any], ...] = (
    {"what": "end_review"},
    {"what": "freeze_load", "exercise": "outward_left"},
    {"what": "lift_freeze", "exercise": "outward_left"},
    {"what": "cap_position", "exercise": "outward_right", "position": "0"},
    {"what": "lift_caps", "exercise": "outward_right"},
    {"what": "unlock_position", "exercise": "outward_right", "position": "45", "apprehension": "absent"},
    {"what": "overrule", "exercise": "inward_right", "repetitions": 9},
)


@cache
def content() -> Content:
    """The shipped content."""
    return load_content(content_folder(), "en")


@cache
def sessions() -> Mapping[str, SessionFile]:
    """One session of each kind."""
    with tempfile.TemporaryDirectory() as inside:
        store = ClientStore.read(new_client(Path(inside) / "curlew"), content())
        plans = todays_exercises(store, START).plans
        return {kind: rehearse_programme(plans, Answers(answer=dict(said)), START) for kind, said in KINDS.items()}


def new_client(path: Path) -> Path:
    """The demo client before the first session."""
    shutil.copytree(CURLEW, path, ignore=shutil.ignore_patterns("records", "instructions", "progress.toml", ".*"))
    return path


class Computers:
    """Four computers, each with its own copy of the client's folder and its own wrong clock."""

    def __init__(self, folder: Path, draw: random.Random) -> None:
        self.draw = draw
        self.paths = {name: new_client(folder / name) for name in (*HOMES, *CLINICS)}
        self.written: list[Path] = []
        self._seconds = 0

    def step(self) -> None:
        """Somebody writes something, or copies everything from one computer to another."""
        name, other = self.draw.sample(list(self.paths), 2)
        if self.draw.random() < 0.4:
            copy_all(self.paths[name], self.paths[other])
        elif name in HOMES:
            self.train(name)
        else:
            self.sign(name)

    def train(self, name: str) -> None:
        """A session at home, as each clock has it."""
        session = sessions()[self.draw.choice(("clean", "clean", "sign", "hurts"))].moved_to(self.now())
        session = session.model_copy(update={"written": self.heads(name)})
        path = record_file.create(records_folder(self.paths[name]), session.model_copy(update={"entry": ()}))
        record_file.append(path, session.entry)
        self.written.append(path)

    def sign(self, name: str) -> None:
        """An instruction in the clinic."""
        at, written = self.now(), self.heads(name)
        signed = {"format": 2, "at": at, "initials": "KB", **self.draw.choice(SIGNED), "reason": "seen"}
        path = self.paths[name] / "instructions" / f"{at:%Y-%m-%dT%H%M%S}-{name}.toml"
        make_folder(path.parent)
        path.write_text(dump({**signed, "written": written.model_dump()}), encoding="utf-8")
        self.written.append(path)

    def now(self) -> datetime:
        """A time of its own for everything, years off."""
        self._seconds += 1
        return START + timedelta(days=self.draw.randint(-400, 400), seconds=self._seconds)

    def heads(self, name: str) -> Written:
        """What this computer knows."""
        there = [one for one in ClientStore.read(self.paths[name], content()).folder.written if one is not None]
        seen: dict[str, int] = {}
        for one in there:
            seen[one.writer] = max(seen.get(one.writer, 0), one.number)
        return Written(writer=name, number=seen.pop(name, 0) + 1, seen=seen)


def copy_all(source: Path, target: Path) -> None:
    """Every file that the target lacks, as a program does that keeps folders alike."""
    for file in source.rglob("*.toml"):
        there = target / file.relative_to(source)
        if not there.exists():
            there.parent.mkdir(exist_ok=True)
            shutil.copy(file, there)


def check_merges(seed: int, folder: Path) -> None:
    """Copies that are merged in any order say the same, nothing is lost, and no sign is ended unseen."""
    draw = random.Random(seed)
    computers = Computers(folder, draw)
    for _ in range(14):
        computers.step()
    told = set[str]()
    for number in range(2):
        merged = new_client(folder / f"merged{number}")
        order = list(computers.paths.values())
        draw.shuffle(order)
        for path in (*order, draw.choice(order)):
            copy_all(path, merged)
        there = {file.name for file in merged.rglob("*.toml")}
        assert {path.name for path in computers.written} <= there
        store = ClientStore.read(merged, content())
        told.add(progress_text([one.folded_progress for one in store.exercises]))
        assert_no_sign_is_ended_unseen(store)
    assert len(told) == 1


def assert_no_sign_is_ended_unseen(store: ClientStore) -> None:
    """Every exercise is in review while there is a sign that no end of a review knew."""
    signs = [one.session.written for one in store.folder.stored_sessions if _is_sign(one.session)]
    ends = [one.written for one in store.folder.signed if one.what == "end_review"]
    open_signs = [sign for sign in signs if sign and not any(end and end.knew(sign) for end in ends)]
    if open_signs:
        assert {one.folded_progress.status for one in store.exercises} == {"review"}


def _is_sign(session: object) -> bool:
    return isinstance(session, SessionFile) and any(
        one.decision.status == "review" and "sign" in one.decision.numbers for one in session.ended.values()
    )


@pytest.mark.parametrize("seed", range(100))
def test_copies_merged_in_any_order_say_the_same(seed: int, tmp_path: Path) -> None:
    check_merges(seed, tmp_path)


if __name__ == "__main__":
    for each in range(100, 100 + int(sys.argv[1])):
        with tempfile.TemporaryDirectory() as made:
            check_merges(each, Path(made))
    print(f"{sys.argv[1]} interleavings, two homes and two clinics: merged alike, nothing lost, no sign ended unseen")

"""Random lives of a client with four exercises: what holds after every session, whatever was answered.

Short here; at length: `python -m tests.store.programme.test_lives 300`.
"""

import random
import shutil
import sys
import tempfile
from datetime import timedelta
from pathlib import Path

import pytest

from coach.model.answers_file import Answers
from coach.model.programme.session_file import SessionFile
from coach.model.programme.written import Written
from coach.session.rehearsal import rehearse_programme
from coach.store.client_folder import records_folder
from coach.store.client_store import ClientStore
from coach.store.programme.opening import todays_exercises
from coach.store.records import record_file
from coach.toml.writer import dump
from tests.store.programme.by_hand import MONDAY, content
from tests.store.programme.test_merges import new_client

_SESSIONS = 8
_FORM = ("blade", "elbow", "range", "slack", "trunk", "tempo", "shrug", "shoulder")


def answers(draw: random.Random) -> Answers:
    """Mostly a good session, sometimes pain, faults, doubts, or a sign."""
    said: dict[str, int | str] = {
        "pain_now": draw.choice((0, 0, 0, 1, 2, 3, 8)),
        "two_more": draw.choice(("yes", "no")),
    }
    said["pain"] = draw.choice((0, 0, 0, 1, 2, 4, 9))
    said["effort"] = draw.choice((1, 3, 6))
    if draw.random() < 0.4:
        said[f"set_{draw.randint(1, 2)}.{draw.choice(_FORM)}"] = draw.choice(("once", "more_than_once", "not_sure"))
    if draw.random() < 0.06:
        said["sign"] = draw.choice(("gave_way", "numb_or_weak", "lump"))
    return Answers(answer=said)


def live(seed: int, folder: Path) -> None:
    """One life; raises AssertionError at the first thing that does not hold."""
    draw, client = random.Random(seed), new_client(folder / "curlew")
    at, number, signed = MONDAY, 0, 0
    for _ in range(_SESSIONS):
        at += timedelta(days=draw.choice((1, 2, 2, 3, 9, 30)))
        plans = todays_exercises(ClientStore.read(client, content()), at).plans
        if not plans:
            signed += 1
            sign(client, "end_review", signed, number)
            continue
        number += 1
        written = Written(writer="hearthaa", number=number, seen={"cliniccc": signed} if signed else {})
        session = rehearse_programme(plans, answers(draw), at, written)
        path = record_file.create(records_folder(client), session.model_copy(update={"entry": ()}))
        record_file.append(path, session.entry)
        assert record_file.parse_session(record_file.read_raw(path)).session == session
        holds(session, ClientStore.read(client, content()))


def sign(client: Path, what: str, number: int, known: int) -> None:
    """An instruction of a clinic that has received everything."""
    (client / "instructions").mkdir(exist_ok=True)
    values = {"format": 2, "at": MONDAY + timedelta(seconds=number), "initials": "KB", "what": what, "reason": "seen"}
    written = {"writer": "cliniccc", "number": number, "seen": {"hearthaa": known} if known else {}}
    text = dump({**values, "written": written})
    (client / "instructions" / f"{number:03d}.toml").write_text(text, encoding="utf-8")


def holds(session: SessionFile, store: ClientStore) -> None:
    """What is so after a session."""
    ended, exercises = session.ended, store.exercises
    told = {name: one.decision for name, one in ended.items()}
    assert sum(one.raises_load for one in told.values()) <= 1
    assert len({tuple(one.progress.pains) for one in exercises}) == 1  # one check-in, for all of them
    closed = any("sign" in one.numbers for one in told.values())
    for one in exercises:
        name, progress = one.folder.name or "", one.folded_progress
        assert progress.pending == ()
        assert progress.status == "review" or not closed
        if name in told:
            assert one.sessions[-1].decision == told[name]
            assert progress.load == told[name].load
        if name in told and told[name].move == "progress" and told[name].variable == "load":
            record = session.record(session.part(name))
            assert record.held_by is None
            assert record.rise_taken is None


@pytest.mark.parametrize("seed", range(8))
def test_what_holds_after_every_session_of_a_life(seed: int, tmp_path: Path) -> None:
    live(seed, tmp_path)


if __name__ == "__main__":
    for each in range(100, 100 + int(sys.argv[1])):
        made = Path(tempfile.mkdtemp())
        live(each, made)
        shutil.rmtree(made)
    print(f"{sys.argv[1]} lives of {_SESSIONS} sessions of four exercises: everything held")

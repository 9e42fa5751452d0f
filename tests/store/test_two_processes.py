"""Processes that write into one client's folder at once: all that was signed is there, the rest was refused."""

import json
import os
import traceback
from datetime import timedelta
from pathlib import Path

import pytest

from coach.store.client_folder import read_client_folder
from coach.store.lock import InUse, lock
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import FileFault, Refusal
from tests.plans import shipped
from tests.store.therapist.instructions import AT, signed

TIMES, TRIES, MANY = 2, 20, 24


def _signs(client: Path, who: str, start: int, times: int, tries: int) -> list[str]:
    """What a process signed, each after it was told that nothing had changed since it looked."""
    done = list[str]()
    os.read(start, 1)
    for number in range(times):
        for _ in range(tries):
            try:
                at = AT + timedelta(minutes=number, seconds=len(who))  # no two of one computer are of one second
                signed(client, "change", at=at, goal=f"{who} {number}".strip())
            except (InUse, FileFault, Refusal) as error:
                done.append(f"refused: {error}")
                continue
            done.append(f"{who} {number}")
            break
    return done


def _in_a_process(client: Path, who: str, start: int, times: int = TIMES, tries: int = TRIES) -> tuple[int, int]:
    out, into = os.pipe()
    number = os.fork()
    if number:
        os.close(into)
        return number, out
    said = ""
    try:
        said = json.dumps(_signs(client, who, start, times, tries))
    except BaseException:
        said = traceback.format_exc()
    finally:
        os.write(into, said.encode())
        os._exit(0)


@pytest.mark.parametrize("locks", [True, False], ids=["locks", "a file system without locks"])
def test_everything_that_two_processes_signed_is_there(
    demo_profiles: Path, locks: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = demo_profiles / "curlew"
    if not locks:
        monkeypatch.setattr("fcntl.flock", _no_locks)
    lock(client).release()
    waiting, start = os.pipe()
    children = [_in_a_process(client, who, waiting) for who in ("left", "right")]
    os.write(start, b"12")
    said = [json.loads(os.read(out, 1 << 16)) for _, out in children]
    for number, _ in children:
        os.waitpid(number, 0)
    goals = [one for one in said[0] + said[1] if not one.startswith("refused: ")]
    assert len(goals) == 2 * TIMES, said
    folder = read_client_folder(client)
    assert sorted((change.now or "").strip('"') for one in folder.signed for change in one.changed) == sorted(goals)
    assert len({(one.written.writer, one.written.number) for one in folder.signed if one.written}) == 2 * TIMES
    assert len(list((client / "programme").iterdir())) == 1 + 2 * TIMES
    assert [fault for fault in check_profile(client, shipped()) if fault.path.parent.name == "instructions"] == []
    assert not list(client.rglob("*.tmp"))


def test_of_many_who_sign_at_once_each_is_there_or_was_refused(demo_profiles: Path) -> None:
    client = demo_profiles / "curlew"
    waiting, start = os.pipe()
    children = [_in_a_process(client, "x" * number, waiting, 1, 1) for number in range(MANY)]
    os.write(start, bytes(MANY))
    said = [json.loads(os.read(out, 1 << 16)) for _, out in children]
    for number, _ in children:
        os.waitpid(number, 0)
    goals = [one.strip() for one, *more in said if not one.startswith("refused: ") and not more]
    assert goals
    assert len(goals) + sum(one[0].startswith("refused: ") for one in said) == MANY
    folder = read_client_folder(client)
    assert sorted((change.now or "").strip('"') for one in folder.signed for change in one.changed) == sorted(goals)
    assert len(list((client / "programme").iterdir())) == 1 + len(goals)
    assert not list(client.rglob("*.tmp"))


def _no_locks(*_: object) -> None:
    raise OSError(38, os.strerror(38))

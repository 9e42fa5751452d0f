"""Two processes that write into one client's folder at once: all that was signed is there, the rest was refused."""

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

TIMES = 2


def _signs(client: Path, who: str, start: int) -> list[str]:
    """What a process signed, each after it was told that nothing had changed since it looked."""
    done = list[str]()
    os.read(start, 1)
    for number in range(TIMES):
        for _ in range(20):
            try:
                at = AT + timedelta(minutes=number, seconds=len(who))  # no two of one computer are of one second
                signed(client, "change", at=at, goal=f"{who} {number}")
            except (InUse, FileFault, Refusal) as error:
                done.append(f"refused: {error}")
                continue
            done.append(f"{who} {number}")
            break
    return done


def _in_a_process(client: Path, who: str, start: int) -> tuple[int, int]:
    out, into = os.pipe()
    number = os.fork()
    if number:
        os.close(into)
        return number, out
    said = ""
    try:
        said = json.dumps(_signs(client, who, start))
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


def _no_locks(*_: object) -> None:
    raise OSError(38, os.strerror(38))

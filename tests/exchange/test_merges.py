"""A client on two computers at home and in a clinic with two: files between them come late, twice, or not at all.

Short here; at length: `python -m tests.exchange.test_merges 1000`.
"""

import random
import sys
import tempfile
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from coach.exchange.what_goes import PARTS
from coach.model.programme.written import Written
from coach.store.client_folder import progress_text, records_folder
from coach.store.client_store import ClientStore
from coach.store.records import record_file
from coach.toml.atomic_write import make_folder
from coach.toml.writer import dump
from tests.exchange.machines import Clinic, Home, Machine, content, new_client, put
from tests.store.programme.test_merges import SIGNED, START, assert_no_sign_is_ended_unseen, sessions

HOMES, WRITERS = ("hearthaa", "phonebbb"), ("cliniccc", "branchdd")


class Post:
    """Who writes what, and the files on their way."""

    def __init__(self, folder: Path, draw: random.Random) -> None:
        self.draw, self.folder = draw, folder
        self.clinic = Clinic("clinic", folder / "clinic_state", new_client(folder / "clinic" / "curlew"))
        self.homes = tuple(self._home(name) for name in HOMES)
        self.on_their_way: list[tuple[Machine, Path]] = []
        self.written: dict[str, bytes] = {}
        self._count = 0

    def _home(self, name: str) -> Home:
        ahead = timedelta(hours=self.draw.randint(-400 * 24, 400 * 24))
        home = Home(name, self.folder / f"{name}_state", new_client(self.folder / name / "curlew"), ahead)
        self.clinic.enrol(home)
        return home

    def step(self) -> None:
        """Somebody writes something, sends something, or a file arrives, perhaps not for the first time."""
        chance = self.draw.random()
        if chance < 0.25:
            self.train(self.draw.choice(self.homes))
        elif chance < 0.45:
            self.sign(self.draw.choice(WRITERS))
        elif chance < 0.5:
            self.revise()
        elif chance < 0.7:
            self.send(self.draw.choice((*self.homes, self.clinic)))
        elif self.on_their_way:
            self.deliver(self.draw.randrange(len(self.on_their_way)), keeps=self.draw.random() < 0.5)

    def train(self, home: Home) -> None:
        """A session at home, as its clock has it."""
        session = sessions()[self.draw.choice(("clean", "clean", "sign", "hurts"))].moved_to(self._now())
        session = session.model_copy(update={"written": self._heads(home.client, home.name)})
        path = record_file.create(records_folder(home.client), session.model_copy(update={"entry": ()}))
        half = self.draw.randint(1, len(session.entry))
        record_file.append(path, session.entry[:half])
        if self.draw.random() < 0.3:
            self.send(home)  # while the session is interrupted
        record_file.append(path, session.entry[half:])
        self.written[f"records/{path.name}"] = path.read_bytes()

    def sign(self, writer: str) -> None:
        """An instruction in the clinic, on one of its computers."""
        at, written = self._now(), self._heads(self.clinic.client, writer)
        signed = {"format": 2, "at": at, "initials": "KB", **self.draw.choice(SIGNED), "reason": "seen"}
        path = self.clinic.client / "instructions" / f"{at:%Y-%m-%dT%H%M%S}-{writer}.toml"
        make_folder(path.parent)
        path.write_text(dump({**signed, "written": written.model_dump()}), encoding="utf-8")
        self.written[f"instructions/{path.name}"] = path.read_bytes()

    def revise(self) -> None:
        """A new version of the programme, and the client measured again."""
        newest = max((self.clinic.client / "programme").glob("*.toml"))
        path = newest.with_name(f"{int(newest.stem) + 1:04d}.toml")
        path.write_bytes(newest.read_bytes())
        self.written[f"programme/{path.name}"] = path.read_bytes()
        profile = self.clinic.client / "profile.toml"
        profile.write_text(f"# measured again\n{profile.read_text()}")
        self.written["profile.toml"] = profile.read_bytes()

    def send(self, sender: Machine) -> None:
        """Files of a sender go on their way."""
        if isinstance(sender, Home):
            self._post(self.clinic, sender.send().data)
            return
        for one in self.clinic.send():
            (to,) = (home for home in self.homes if _has_key(home, one.to.verify))
            self._post(to, one.data)

    def deliver(self, number: int, keeps: bool = False) -> None:
        """A file arrives; with `keeps` it stays on its way as well, and arrives again."""
        receiver, path = self.on_their_way[number]
        plan = receiver.take(path)
        assert plan.refused == ()
        if not keeps:
            del self.on_their_way[number]

    def settle(self) -> None:
        """Everybody sends, and everything arrives, in any order; what was on its way until now is lost."""
        self.on_their_way.clear()
        for senders in (self.homes, (self.clinic,), self.homes, (self.clinic,)):
            for sender in senders:
                self.send(sender)
            while self.on_their_way:
                self.deliver(self.draw.randrange(len(self.on_their_way)))

    def _post(self, to: Machine, data: bytes) -> None:
        self._count += 1
        self.on_their_way.append((to, put(self.folder / "post", str(self._count), data)))

    def _now(self) -> datetime:
        """A time of its own for everything, years off."""
        self._count += 1
        return START + timedelta(days=self.draw.randint(-400, 400), seconds=self._count)

    def _heads(self, client: Path, writer: str) -> Written:
        seen: dict[str, int] = {}
        for one in ClientStore.read(client, content()).folder.written:
            if one is not None:
                seen[one.writer] = max(seen.get(one.writer, 0), one.number)
        return Written(writer=writer, number=seen.pop(writer, 0) + 1, seen=seen)


def _has_key(home: Home, verify: str) -> bool:
    keys = (home.state / "steady-arc" / "keys").glob("home_*.toml")
    return any(f'"{verify}"' in one.read_text() for one in keys)


def exchanged(client: Path) -> dict[str, bytes]:
    """The files that go one way or the other."""
    names = {part.name for part in PARTS}
    found = (file for file in client.rglob("*.toml") if file.relative_to(client).parts[0] in names)
    return {str(file.relative_to(client)): file.read_bytes() for file in sorted(found)}


def check_post(seed: int, folder: Path) -> None:
    """However files come, in the end all sides have the same, nothing is lost, and no sign is ended unseen."""
    draw = random.Random(seed)
    post = Post(folder, draw)
    for _ in range(16):
        post.step()
    post.settle()
    clients = [one.client for one in (post.clinic, *post.homes)]
    first = exchanged(clients[0])
    assert [exchanged(one) == first for one in clients] == [True] * len(clients)
    assert {name: first.get(name) for name in post.written} == post.written
    told = set[str]()
    for client in clients:
        store = ClientStore.read(client, content())
        told.add(progress_text([one.folded_progress for one in store.exercises]))
        assert_no_sign_is_ended_unseen(store)
    assert len(told) == 1


@pytest.mark.parametrize("seed", range(2))
def test_however_files_come_both_sides_have_the_same_in_the_end(seed: int, tmp_path: Path) -> None:
    check_post(seed, tmp_path)


if __name__ == "__main__":
    for each in range(100, 100 + int(sys.argv[1])):
        with tempfile.TemporaryDirectory() as made:
            check_post(each, Path(made))
    print(f"{sys.argv[1]} histories, two homes and a clinic of two computers: alike in the end, nothing lost")

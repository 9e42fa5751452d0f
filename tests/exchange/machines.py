"""A clinic and computers at home: each with its own folder for its own things, its own clock and its own keys."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from unittest import mock

from coach.content_files.content_folder import content_folder, load_content
from coach.exchange.clinic_book import read_book
from coach.exchange.clinic_side import clinic_key_ring, plan_clinic, take_clinic
from coach.exchange.enrolment import ENROLMENT, write_enrolment
from coach.exchange.home_side import enrolled, home_key_ring, plan_home, take_home
from coach.exchange.own_keys import clinic_key_path, clinic_keys, home_key_path, unlocked
from coach.exchange.receiving import TakingPlan, looked_at
from coach.exchange.sending import Outgoing, from_clinic, from_home
from coach.model.content import Content
from coach.session.state import Instant
from coach.store.client_store import ClientStore
from tests.demo.pristine import DEMO

CURLEW = DEMO / "curlew"
NOW = datetime.fromisoformat("2026-12-01T12:00:00+01:00")


@cache
def content() -> Content:
    """The shipped content."""
    return load_content(content_folder(), "en")


def no_passphrase(_: Path) -> str:
    """Nobody to ask."""
    return ""


def new_client(path: Path, records: bool = False) -> Path:
    """The demo client, before the first session or with the six sessions."""
    left_out = (".*", "progress.toml") if records else ("records", "instructions", "progress.toml", ".*")
    path.parent.mkdir(parents=True, exist_ok=True)
    shutil.copytree(CURLEW, path, ignore=shutil.ignore_patterns(*left_out))
    return path


@dataclass
class Machine:
    """One computer; `client` is the client's folder on it."""

    name: str
    state: Path
    client: Path
    ahead: timedelta = timedelta()
    now: datetime = field(default=NOW)

    @contextmanager
    def on(self) -> Iterator[None]:
        """Everything happens on this computer."""
        at = self.now + self.ahead
        with (
            mock.patch.dict(os.environ, {"XDG_STATE_HOME": str(self.state)}),
            mock.patch("coach.store.clock.now", return_value=Instant(0.0, at)),
        ):
            yield

    def plan(self, *files: Path) -> TakingPlan:
        """What files would bring."""
        raise NotImplementedError

    def take(self, *files: Path) -> TakingPlan:
        """Take files in."""
        raise NotImplementedError


class Clinic(Machine):
    """The clinic."""

    def enrol(self, home: "Home") -> None:
        """Give a code to take home."""
        (home.client / ENROLMENT).unlink(missing_ok=True)
        with self.on():
            write_enrolment(self.client, home.client, self.now)

    def send(self) -> tuple[Outgoing, ...]:
        """What it sends."""
        with self.on(), ClientStore.locked(self.client, content()) as store:
            book = read_book(self.client)
            assert book is not None
            keys = unlocked(clinic_key_path(), no_passphrase)
            return from_clinic(store, book, clinic_keys(), keys, self.now + self.ahead)

    def plan(self, *files: Path) -> TakingPlan:
        """What files would bring."""
        with self.on():
            ring = clinic_key_ring(no_passphrase)
            return looked_at(
                plan_clinic(self.client, [ring.open(one) for one in files], self.now), content(), _nothing
            )

    def take(self, *files: Path) -> TakingPlan:
        """Take files in."""
        with self.on(), ClientStore.locked(self.client, content()) as store:
            plan = self.plan(*files)
            if plan.came:
                take_clinic(store, plan, self.now + self.ahead)
            return plan


class Home(Machine):
    """A computer at home."""

    def send(self) -> Outgoing:
        """What it sends."""
        with self.on(), ClientStore.locked(self.client, content()) as store:
            book = enrolled(self.client)
            keys = unlocked(home_key_path(book.client), no_passphrase)
            (one,) = from_home(store, book, keys, self.now + self.ahead)
            return one

    def plan(self, *files: Path) -> TakingPlan:
        """What files would bring."""
        with self.on():
            ring = home_key_ring(self.client, no_passphrase)
            return looked_at(plan_home(self.client, [ring.open(one) for one in files]), content(), _nothing)

    def take(self, *files: Path) -> TakingPlan:
        """Take files in."""
        with self.on(), ClientStore.locked(self.client, content()) as store:
            plan = self.plan(*files)
            if plan.came:
                take_home(store, plan, self.now + self.ahead)
            return plan


def clinic_and_home(folder: Path, records: bool = False) -> tuple[Clinic, Home]:
    """A clinic and one computer at home that has a code; the home's clock is an hour ahead."""
    clinic, home = the_clinic(folder), the_home(folder)
    new_client(clinic.client, records)
    new_client(home.client, records)
    clinic.enrol(home)
    return clinic, home


def the_clinic(folder: Path) -> Clinic:
    """The clinic of `clinic_and_home`."""
    return Clinic("clinic", folder / "clinic_state", folder / "clinic" / "curlew")


def the_home(folder: Path) -> Home:
    """The home of `clinic_and_home`."""
    return Home("home", folder / "home_state", folder / "home" / "curlew", timedelta(hours=1))


def put(folder: Path, name: str, data: bytes) -> Path:
    """A file on its way."""
    folder.mkdir(exist_ok=True)
    path = folder / f"{name}.sealed"
    path.write_bytes(data)
    return path


def files_of(folder: Path) -> dict[str, bytes]:
    """Every file below a folder but those of locks."""
    found = {str(one.relative_to(folder)): one.read_bytes() for one in sorted(folder.rglob("*")) if one.is_file()}
    return {name: data for name, data in found.items() if not name.endswith(".lock")}


def _nothing(_: ClientStore) -> None:
    """Look at nothing."""

"""Readers of what goes between home and clinic, and of a client of a programme: keys, sealed files, what goes home.

A sealed file that was altered opens for nobody; so what is in one is spoilt too before it is sealed, as somebody who
has the keys could do it.
"""

import os
import shutil
from collections.abc import Mapping
from pathlib import Path

from coach.authoring.check import check_folder
from coach.exchange.clinic_book import read_book
from coach.exchange.enrolment import ENROLMENT, new_enrolment, read_enrolment
from coach.exchange.home_book import home_book_path, read_home_book
from coach.exchange.own_keys import OwnKeys, clinic_key_path, home_key_path, read_key_file, unlocked
from coach.exchange.sealed_file import open_sealed, read_sealed, seal
from coach.exchange.taking_home.coming_home import bring_home
from coach.exchange.taking_home.going_home import packed_client
from coach.model.programme.instruction_file import InstructionFile
from coach.model.programme.programme import Programme
from coach.model.programme.visit_file import VisitFile
from coach.store.client_folder import read_client_folder
from coach.store.home.places import home_folder
from coach.store.programme.marked_file import read_marked, with_mark
from coach.toml.diagnostic import render
from coach.toml.reader import read_model
from tests.exchange.machines import NOW, Clinic, Home, clinic_and_home, no_passphrase
from tests.faults.fuzz import Reader

_INSTRUCTION = """\
format = 2
at = 2026-11-29T04:24:56+00:00
initials = "KB"
what = "freeze_load"
exercise = "outward_left"
reason = "seen today"

[written]
writer = "4d548jq6"
number = 1
seen = { hearthq2 = 6 }
"""
_VISIT = """\
format = 2
at = 2026-11-29T04:24:56+00:00
initials = "KB"

[[ranges]]
position = "0"
direction = "external"
side = "right"
active_deg = 55.0
"""


def exchanged(scratch: Path) -> Mapping[str, tuple[bytes, Reader]]:
    """Every such reader by its name, with a good input."""
    os.environ.update({name: str(scratch / "own") for name in ("XDG_DATA_HOME", "XDG_STATE_HOME", "HOME")})
    clinic, home = clinic_and_home(scratch / "two", records=True)
    sent = home.send().data
    found = dict(_of_programme(home))
    with home.on():
        enrolment = read_enrolment(home.client)
        assert enrolment is not None
        keys, book = home_key_path(enrolment.client), home_book_path(enrolment.client)
        sender = unlocked(keys, no_passphrase)
        found["keys of home"] = (keys.read_bytes(), read_key_file)
        found["book of home"] = (book.read_bytes(), _in_place(home, book, lambda: read_home_book(enrolment.client)))
        there = home.client / ENROLMENT
        found["enrolment"] = (there.read_bytes(), _in_place(home, there, lambda: read_enrolment(home.client)))
    with clinic.on():
        receiver = unlocked(clinic_key_path(), no_passphrase)
        kept = clinic.client / "exchange" / "clinic.toml"
        found["book of the clinic"] = (kept.read_bytes(), _in_place(clinic, kept, lambda: read_book(clinic.client)))
    (scratch / "sent").write_bytes(sent)
    message = open_sealed(read_sealed(scratch / "sent"), receiver).message
    found["sealed file"] = (sent, clinic.plan)
    found["signed parcel"] = (message, _sealed_again(clinic, sender, receiver, scratch / "again"))
    with clinic.on():
        found["taken home"] = (packed_client(clinic.client, new_enrolment(clinic.client, NOW)), _brought_home)
    return found


def _of_programme(home: Home) -> Mapping[str, tuple[bytes, Reader]]:
    record = sorted((home.client / "records").iterdir())[0]
    files = {
        "profile.toml": (home.client / "profile.toml").read_bytes(),
        "programme/0001.toml": (home.client / "programme" / "0001.toml").read_bytes(),
        "instructions/1.toml": with_mark(_INSTRUCTION).encode(),
        "visits/1.toml": with_mark(_VISIT).encode(),
        f"records/{record.name}": record.read_bytes(),
    }
    client = Path(shutil.copytree(home.client, home.client.parent / "spoilt"))
    shutil.rmtree(client / "exchange", ignore_errors=True)
    profile = files["profile.toml"].replace(f'"{home.client.name}"'.encode(), b'"spoilt"')
    files["profile.toml"] = profile
    found: dict[str, tuple[bytes, Reader]] = {
        f"client of a programme, {name}": (data, _in_folder(client, name, files)) for name, data in files.items()
    }
    found["programme"] = (files["programme/0001.toml"], lambda path: read_model(path, Programme))
    found["instruction without a mark"] = (_INSTRUCTION.encode(), lambda path: read_marked(path, InstructionFile))
    found["visit without a mark"] = (_VISIT.encode(), lambda path: read_marked(path, VisitFile))
    return found


def _in_folder(client: Path, name: str, files: Mapping[str, bytes]) -> Reader:
    def read(path: Path) -> object:
        for one, data in files.items():
            (client / one).parent.mkdir(exist_ok=True)
            (client / one).write_bytes(path.read_bytes() if one == name else data)
        for fault in check_folder(client):
            render(fault)
        return read_client_folder(client).stored_sessions

    return read


def _in_place(machine: Clinic | Home, file: Path, look: object) -> Reader:
    good = file.read_bytes()

    def read(path: Path) -> object:
        file.write_bytes(path.read_bytes())
        try:
            with machine.on():
                return look()  # type: ignore[operator]
        finally:
            file.write_bytes(good)

    return read


def _sealed_again(clinic: Clinic, sender: OwnKeys, receiver: OwnKeys, file: Path) -> Reader:
    def read(path: Path) -> object:
        file.write_bytes(seal(path.read_bytes(), sender, receiver.public))
        return clinic.plan(file)

    return read


def _brought_home(path: Path) -> object:
    shutil.rmtree(home_folder(), ignore_errors=True)
    packed = path.with_name("taken.zip")
    packed.write_bytes(path.read_bytes())
    return bring_home(packed)

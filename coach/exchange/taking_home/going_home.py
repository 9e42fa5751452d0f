"""A client packed to be taken home: what home needs, the clinic's own content, and a code to be enrolled with."""

import io
from collections.abc import Iterator
from pathlib import Path

from coach.exchange.enrolment import ENROLMENT, Enrolment
from coach.exchange.what_goes import PARTS, part_of
from coach.store.backups.backup import FoundFile, Member, find_inside, is_name, pack, read_member
from coach.store.client_paths import PLAN, PROFILE, PROGRESS, SETTINGS, clinic_of
from coach.store.records.record_damage import FINGERPRINT
from coach.toml.diagnostic import FileFault, whole_file

_OF_HOME = (SETTINGS, PLAN, PROGRESS, FINGERPRINT)  # the last two: what a lost record led to, and that it is lost


def packed_client(client: Path, enrolment: Enrolment) -> bytes:
    """The file that a client takes home, a backup of what home needs. Raises FileFault."""
    name, out = client.resolve().name, io.BytesIO()
    pack((*_members(client, name), Member(f"{name}/{ENROLMENT}", enrolment.text.encode())), out)
    return out.getvalue()


def require_packable(client: Path) -> None:
    """Raise FileFault with everything that cannot be packed, before anything is written."""
    list(_members(client, client.resolve().name))


def _members(client: Path, name: str) -> Iterator[Member]:
    if not is_name(f"{name}/{PROFILE}"):
        raise FileFault(
            [whole_file(client, "a folder of this name cannot be taken home", "", "give it a plain name")]
        )
    clinic = clinic_of(client)
    found = [one for one in find_inside(client, name) if _goes_home(one)]
    if clinic is not None:
        found = [*find_inside(clinic, clinic.name), *found]
    faults = [one.fault for one in found if one.fault is not None]
    if faults:
        raise FileFault(faults)
    yield from map(read_member, found)


def _goes_home(found: FoundFile) -> bool:
    """Whether home needs it; also what stands where a folder that home needs should be, or cannot be packed there."""
    _, _, inside = found.name.partition("/")
    top, part = inside.partition("/")[0], part_of(inside)
    if inside == top or found.fault is not None:
        return top in _OF_HOME or any(one.name == top and "home" in one.goes_to for one in PARTS)
    return part is not None and "home" in part.goes_to

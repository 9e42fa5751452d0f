"""Which files of a client go which way, and how two versions of one are brought together."""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Literal

from msgspec import Struct

from coach.exchange.public_keys import Digest, digest_of
from coach.model.programme.written import Written
from coach.store.backups.backup import is_name
from coach.store.client_paths import INSTRUCTIONS, MEASURED, PROFILE, PROGRAMME, RECORDS, VISITS
from coach.store.records.record_file import read_raw
from coach.store.records.record_marks import LOST
from coach.toml.reader import read_bytes

Side = Literal["home", "clinic"]


class Part(Struct, frozen=True):
    """One folder of a client, or the file at its top, and the sides that it goes to.

    `appended`: of two versions of a file one is the beginning of the other, and the longer one counts. `added`: a
    file stays as it is once it is there. `newest`: the file of the parcel with the highest number counts.
    """

    name: str
    goes_to: tuple[Side, ...]
    kept: Literal["appended", "added", "newest"]


# Sessions and measured sets come from the clinic too: a second or a new computer at home needs those of the first.
PARTS = (
    Part(RECORDS, ("clinic", "home"), "appended"),
    Part(MEASURED, ("clinic", "home"), "added"),
    Part(INSTRUCTIONS, ("home",), "added"),
    Part(VISITS, ("home",), "added"),
    Part(PROGRAMME, ("home",), "added"),
    Part(PROFILE, ("home",), "newest"),
)


def part_of(name: str) -> Part | None:
    """The part that a file belongs to by its name; None where it belongs to none."""
    folder, slash, inside = name.partition("/")
    if slash and (not is_name(name) or "/" in inside or not inside.endswith(".toml")):
        return None
    return next((one for one in PARTS if one.name == folder and bool(slash) == (one.kept != "newest")), None)


def files_of(client: Path) -> dict[str, bytes]:
    """Every file of a client that is sent one way or the other, by its name. Raises FileFault.

    Of a record what is whole; one that is damaged is left out.
    """
    return dict(_found(client))


def _found(client: Path) -> Iterator[tuple[str, bytes]]:
    for part in PARTS:
        if part.kept == "newest":
            if (client / part.name).exists():
                yield part.name, read_bytes(client / part.name)
            continue
        for file in sorted((client / part.name).glob("*.toml")):
            name = f"{part.name}/{file.name}"
            if part_of(name) is None:
                continue
            if part.kept == "added":
                yield name, read_bytes(file)
                continue
            raw = read_raw(file)
            if raw.damage not in LOST:
                yield name, raw.content


def digests(files: Mapping[str, bytes]) -> dict[str, Digest]:
    """A digest of each file, of its name and what it holds."""
    return {name: digest_of(name.encode(), data) for name, data in files.items()}


def missing_there(files: Mapping[str, bytes], to: Side, has: Iterable[Digest]) -> dict[str, bytes]:
    """The files that go to a side and that it has not said to have."""
    there, each = set(has), digests(files)
    return {name: data for name, data in files.items() if _goes(name, to) and each[name] not in there}


def heads_of(written: Iterable[Written | None]) -> dict[str, int]:
    """The newest number of each writer."""
    heads: dict[str, int] = {}
    for one in written:
        if one is not None:
            heads[one.writer] = max(heads.get(one.writer, 0), one.number)
    return dict(sorted(heads.items()))


def _goes(name: str, to: Side) -> bool:
    part = part_of(name)
    return part is not None and to in part.goes_to

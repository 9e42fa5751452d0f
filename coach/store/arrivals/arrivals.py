"""What came into a client's folder with a sealed file: put there whole or not at all, and what is told of it.

The new files are first written into a hidden folder, which then gets another name in one step: from then on they are
there, and whoever writes into the client's folder next puts in place what is left of them.
"""

import shutil
import tempfile
from collections.abc import Container, Iterable, Mapping
from pathlib import Path
from typing import Annotated, Literal, get_args

from coach.frozen import AwareDatetime, Bounds, Field
from coach.model.base import Frozen
from coach.model.message_format import fill
from coach.model.messages.exchange import ExchangeMessages, PartName
from coach.model.option_names import InstructionKind
from coach.model.programme.session_file import SessionClosed, SessionFile
from coach.model.programme.written import WriterName
from coach.model.record import Ended
from coach.store.client_paths import EXCHANGE
from coach.system import flush_folder, move
from coach.toml.atomic_write import TEMPORARY_SUFFIX, make_folder, replace_bytes
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.reader import is_there, read_model
from coach.toml.writer import dump

ARRIVED = f"{EXCHANGE}/arrived.toml"
_COMING = ".arriving"
_MOST_KEPT = 100
PARTS: tuple[PartName, ...] = get_args(PartName)
_TOLD = ("visits", "programme", "profile")  # beside the instructions, which are told by what they are
_COMMENT = "What came with sealed files, the newest last. Written by the program."


class Arrival(Frozen):
    """What came at one time. `number` is that of the newest thing that this computer had written by then."""

    at: AwareDatetime
    writer: WriterName
    number: Annotated[int, Bounds(ge=0)]
    records: int = 0
    measured: int = 0
    instructions: int = 0
    visits: int = 0
    programme: int = 0
    profile: int = 0
    kinds: tuple[InstructionKind, ...] = Field(default=(), description="what was signed")


class Arrivals(Frozen):
    """exchange/arrived.toml."""

    format: Literal[1] = 1
    arrival: tuple[Arrival, ...] = ()

    def with_new(self, new: Arrival) -> "Arrivals":
        """The same with one more; the oldest of too many are left out."""
        return self.model_copy(update={"arrival": (*self.arrival, new)[-_MOST_KEPT:]})

    @property
    def text(self) -> str:
        """The file."""
        return dump({"format": 1} | self.model_dump(exclude_defaults=True), _COMMENT)


def read_arrivals(client: Path) -> Arrivals:
    """What came for a client; nothing where there is no such file or it cannot be read: nothing follows from it."""
    if not is_there(client / ARRIVED):  # as for most, and at the start of every session
        return Arrivals()
    try:
        return read_model(client / ARRIVED, Arrivals)
    except FileFault:
        return Arrivals()


def not_told(client: Path, sessions: Iterable[object]) -> tuple[Arrival, ...]:
    """What came since this computer's last session in which anything was answered."""
    begun = [one.written for one in sessions if isinstance(one, SessionFile) and _was_begun(one)]
    newest: dict[WriterName, int] = {}
    for written in begun:
        if written is not None:
            newest[written.writer] = max(newest.get(written.writer, 0), written.number)
    came = read_arrivals(client).arrival
    return tuple(one for one in came if newest.get(one.writer, 0) <= one.number)


def _was_begun(session: SessionFile) -> bool:
    """Whether anything was answered: one that was left on its first page told nobody for certain."""
    return any(not isinstance(one, Ended | SessionClosed) for one in session.entry)


def added(arrivals: Iterable[Arrival]) -> dict[str, int]:
    """How many files of each part came together."""
    every = tuple(arrivals)
    return {part: sum(getattr(one, part) for one in every) for part in PARTS}


def said_counts(found: Mapping[str, int], messages: ExchangeMessages) -> str:
    """Counts of parts, as people say them."""
    return ", ".join(fill(line, {"count": found[part]}) for part, line in messages.part.items() if found.get(part))


def said_to_client(arrivals: Iterable[Arrival], messages: ExchangeMessages, waiting: Container[str] = ()) -> str:
    """What came from the therapist, as the client is told it; empty where nothing did.

    Instructions of the kinds that are `waiting` do not count yet, so they are left out.
    """
    every = tuple(arrivals)
    kinds = dict.fromkeys(kind for one in every for kind in one.kinds if kind not in waiting)
    others = {part: count for part, count in added(every).items() if part in _TOLD}
    said = said_counts(others, messages)
    return "; ".join([*(messages.instruction[kind] for kind in kinds), *([said] if said else [])])


def put_in_place(client: Path, files: Mapping[str, bytes]) -> None:
    """Write new files, and new states of files, all or none. Only for the holder of the lock. Raises FileFault."""
    finish_arrival(client)
    try:
        made = Path(tempfile.mkdtemp(dir=client, prefix=f"{_COMING}.", suffix=TEMPORARY_SUFFIX))
        try:
            for name, data in files.items():
                make_folder((made / name).parent)
                replace_bytes(made / name, data)
            move(made, client / _COMING)
            flush_folder(client)
        except BaseException:
            shutil.rmtree(made, ignore_errors=True)
            raise
    except OSError as error:
        what = f"what came cannot be written: {error_reason(error)}"
        raise FileFault([whole_file(client, what, "a folder of your own", "make room, or ask its owner")]) from None
    finish_arrival(client)


def finish_arrival(client: Path) -> None:
    """Put in place what is left of an arrival that was interrupted. Only for the holder of the lock.

    Raises FileFault.
    """
    coming = client / _COMING
    try:
        for left in client.glob(f"{_COMING}.*{TEMPORARY_SUFFIX}"):
            shutil.rmtree(left, ignore_errors=True)
        if not coming.is_dir():
            return
        for file in sorted(one for one in coming.rglob("*") if one.is_file()):
            target = client / file.relative_to(coming)
            make_folder(target.parent)
            move(file, target)
            flush_folder(target.parent)
        shutil.rmtree(coming)
        flush_folder(client)
        _list_signed(client)
    except OSError as error:
        what = f"what came cannot be put in place: {error_reason(error)}"
        raise FileFault([whole_file(client, what, "a folder of your own", "make room, or ask its owner")]) from None


def _list_signed(client: Path) -> None:
    from coach.store.guards.signed_since import list_signed

    list_signed(client)

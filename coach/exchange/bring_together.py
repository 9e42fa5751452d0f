"""The files of a parcel and those that are here, brought together: nothing that is here is written over.

Every file that two people write is only ever added or appended to, so that this is a union, and the order in which
parcels come does not matter. What does not fit is refused as a whole, with the reason.
"""

import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from msgspec.structs import replace

from coach.exchange.what_goes import Part, Side, part_of
from coach.model.content import Content
from coach.model.measured.measured_set import MeasuredSet
from coach.model.profile import Profile
from coach.model.programme.instruction_file import InstructionFile
from coach.model.programme.programme import Programme
from coach.model.programme.visit_file import VisitFile
from coach.store.client_paths import INSTRUCTIONS, KEPT, MEASURED, PROFILE, PROGRAMME, RECORDS, VISITS
from coach.store.client_store import ClientStore
from coach.store.programme.marked_file import parse_marked
from coach.store.records.record_file import RawRecord, parse_session
from coach.store.records.record_marks import whole_part
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import MAX_BYTES, parse_model

_AGAIN = "ask for the file to be sent again, from a folder that coach check has found right"


def new_files(
    path: Path, files: Mapping[str, str], here: Mapping[str, bytes], client: Path, to: Side, newest: bool
) -> dict[str, bytes]:
    """The files of a parcel that are new here, or longer than here. Raises FileFault where any does not fit.

    `path` is the sealed file, `here` are the files of the client, `client` is the folder that they are in. `newest`:
    no parcel of a higher number was taken before.
    """
    found, faults = dict[str, bytes](), list[Diagnostic]()
    names = {name.casefold(): name for name in here}
    for name, text in files.items():
        part, data, there = part_of(name), text.encode(), here.get(name)
        if part is None or to not in part.goes_to:
            faults.append(_fault(path, f"it holds a file that does not go this way: {name}", "no such file"))
            continue
        if data == there or (part.kept == "newest" and not newest) or _is_earlier(part, data, there):
            continue
        try:
            _require_readable(Path(path, name), part, data)
        except FileFault as fault:
            faults += fault.faults
            continue
        unreadable_here = there is None and (client / name).exists()
        other_case = there is None and names.get(name.casefold(), name) != name
        if unreadable_here or other_case or not _may_follow(part, data, there):
            faults.append(_conflict(path, name, client))
            continue
        found[name] = data
        names[name.casefold()] = name
    if faults:
        raise FileFault(faults)
    return found


def _is_earlier(part: Part, data: bytes, there: bytes | None) -> bool:
    """Whether a file is an earlier state of the one that is here."""
    return part.kept == "appended" and there is not None and there.startswith(data)


def _may_follow(part: Part, data: bytes, there: bytes | None) -> bool:
    """Whether a file may take the place of the one that is here."""
    if there is None or part.kept == "newest":
        return True
    return part.kept == "appended" and data.startswith(there)


def _conflict(path: Path, name: str, client: Path) -> Diagnostic:
    what = f"it holds {name}, and {client / name} is another file of that name: nothing of it was taken"
    fix = f"compare the two with whoever wrote them; if the one that comes is right, move {name} here elsewhere"
    return _fault(path, what, "the same file on both sides, or a longer one of the same session", fix)


def _fault(path: Path, what: str, expected: str, fix: str = _AGAIN) -> Diagnostic:
    return whole_file(path, what, expected, fix)


def _require_readable(path: Path, part: Part, data: bytes) -> None:
    """Raise FileFault where a file is not what its name says."""
    if len(data) > MAX_BYTES:
        raise FileFault([_fault(path, "the file is larger than 1 MiB", "a file of a client")])
    _CHECKS[part.name](path, data)


def _record(path: Path, data: bytes) -> None:
    part = whole_part(data)
    if part is None or part.damage or part.end != len(data):
        raise FileFault([_fault(path, "this record is not as it was written", "a record that is whole")])
    parse_session(RawRecord(path, data))


_CHECKS: Mapping[str, Callable[[Path, bytes], object]] = {
    RECORDS: _record,
    MEASURED: lambda path, data: parse_marked(data, path, MeasuredSet),
    INSTRUCTIONS: lambda path, data: parse_marked(data, path, InstructionFile),
    VISITS: lambda path, data: parse_marked(data, path, VisitFile),
    PROGRAMME: lambda path, data: parse_model(data.decode(), path, Programme),
    PROFILE: lambda path, data: parse_model(data.decode(), path, Profile),
}


@contextmanager
def as_it_would_be(client: Path, files: Mapping[str, bytes]) -> Iterator[Path]:
    """A copy of a client's folder with these files, for looking at what they change."""
    with tempfile.TemporaryDirectory(prefix="steady-arc-") as inside:
        copy = Path(inside) / client.name
        shutil.copytree(client, copy, ignore=shutil.ignore_patterns(KEPT, "*.lock", ".arriving*"))
        for name, data in files.items():
            (copy / name).parent.mkdir(exist_ok=True)
            (copy / name).write_bytes(data)
        yield copy


def require_whole(path: Path, client: Path, copy: Path, content: Content) -> ClientStore:
    """The client as it would be. Raises FileFault where the files that come do not fit those that are here.

    `path` is the sealed file; faults that name the copy name the client's folder instead.
    """
    try:
        store = ClientStore.read(copy, content)
        _ = store.folder.stored_sessions
    except FileFault as fault:
        raise FileFault(replace(one, path=_as_here(one.path, copy, client)) for one in fault.faults) from None
    prescribed = store.folder.prescribed
    unknown = [prescribed.of(name).exercise for name in prescribed.names]
    unknown = [one for one in unknown if one not in content.exercises]
    if unknown:
        what = f"it prescribes an exercise that this program does not have: {', '.join(unknown)}"
        fix = "use the newest Steady Arc; an exercise of the clinic's own comes with a new folder to take home"
        raise FileFault([_fault(path, what, f"one of {', '.join(content.exercises)}", fix)])
    if store.folder.conflicting_copies:
        what = "with what comes there would be two versions of a file"
        fix = "move the one that is not right out of the client's folder, and receive it again"
        raise FileFault([_fault(path, what, "one version of each file", fix)])
    return store


def _as_here(path: Path, copy: Path, client: Path) -> Path:
    return client / path.relative_to(copy) if path.is_relative_to(copy) else path

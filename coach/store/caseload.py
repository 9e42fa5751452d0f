"""A folder of clients read into one summary each; those of clients whose files have not changed are in an index."""

import time
from collections.abc import Generator, Iterator
from contextlib import closing, suppress
from datetime import date, datetime
from functools import partial
from pathlib import Path

from coach.files_fingerprint import FilesFingerprint
from coach.model.caseload import ClientSummary, packed, unpacked
from coach.model.content import Content
from coach.store import clock
from coach.store.client_paths import clients_in
from coach.store.client_pool import OnProgress, for_clients, look_at
from coach.store.client_summary import DatedSummary, dated_summary, deciding_part
from coach.store.fingerprint import client_fingerprint, fingerprint_of, program_fingerprint
from coach.store.summary_index import Row, SummaryIndex

_FORMER = ".caseload.json"  # what earlier versions kept in the folder of the clients instead of the index
_WRITTEN_AT_ONCE = 200  # so many are read again after an interruption, at most


def read_caseload(
    folder: Path, content: Content, on_progress: OnProgress | None = None, at: datetime | None = None
) -> Generator[ClientSummary, None, None]:
    """One summary of each client as of `at`, by default now, each as it is read: first those that have not changed.

    None is older than the files it was made from, nor says what held on another day: whether a session may start
    depends on both. `on_progress` is called with how many clients are done and how many there are. What was read is
    in the index by and by, so a reading that was interrupted goes on where it was. Raises FileFault where there is no
    client.
    """
    now = clock.now().at if at is None else at
    basis = fingerprint_of(deciding_part(content), program_fingerprint())
    names, index = clients_in(folder), SummaryIndex(folder)
    now_ns, changed = time.time_ns(), dict[str, FilesFingerprint]()
    with index.reading() as find, closing(look_at(names, lambda one: client_fingerprint(f"{folder}/{one}"))) as looks:
        for number, (name, found) in enumerate(zip(names, looks, strict=True), start=1):
            summary = _kept(find(name), basis, found, now)
            if summary is None:
                changed[name] = found
            else:
                yield summary
            if on_progress is not None:
                on_progress(number - len(changed), len(names))
    unchanged = len(names) - len(changed)
    work = partial(dated_summary, content=content, now=now)
    # Closed, so that an interruption ends the processes and writes what they have read.
    with (
        closing(for_clients(folder, list(changed), work)) as dated,
        closing(_into_index(dated, index, basis, changed, now.date(), now_ns)) as read,
    ):
        for number, one in enumerate(read, start=unchanged + 1):
            yield one
            if on_progress is not None:
                on_progress(number, len(names))
    if changed:
        index.keep_only(names)
        with suppress(OSError):
            (folder / _FORMER).unlink()


def _kept(row: Row | None, basis: str, found: FilesFingerprint, now: datetime) -> ClientSummary | None:
    """The summary in a row of the index, if it is what would be read now."""
    if row is None or (row.basis, row.files) != (basis, found.value):
        return None
    if not row.since <= now.timestamp() or not now.date().isoformat() < row.until:
        return None
    try:
        return unpacked(row.read)
    except ValueError:  # no JSON, or another model of an earlier version
        return None


def _into_index(
    read: Iterator[DatedSummary],
    index: SummaryIndex,
    basis: str,
    fingerprints: dict[str, FilesFingerprint],
    today: date,
    now_ns: int,
) -> Generator[ClientSummary, None, None]:
    """The same summaries. Those that hold tomorrow, of files that have not changed for a while, go into the index."""
    rows: list[Row] = []
    try:
        for one in read:
            name, found = one.summary.folder, fingerprints[one.summary.folder]
            if one.until > today and found.is_settled(now_ns) and _is_text(name):
                kept = packed(one.summary)
                since = int(one.since.timestamp()) + 1
                rows.append(Row(name, basis, found.value, since, one.until.isoformat(), kept))
            if len(rows) >= _WRITTEN_AT_ONCE:
                index.write(rows)
                rows.clear()
            yield one.summary
    finally:
        index.write(rows)


def _is_text(name: str) -> bool:
    """Whether a name can be written as JSON; a name whose bytes are not UTF-8 cannot."""
    return not any("\ud800" <= character <= "\udfff" for character in name)

"""A folder of clients read into one summary each; summaries of clients whose files have not changed are cached."""

import gc
import multiprocessing
import os
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Literal

from pydantic import TypeAdapter, ValidationError

from coach.model.base import Frozen
from coach.model.caseload import ClientSummary, Need, Needs
from coach.model.content import Content
from coach.store import clock
from coach.store.client_paths import clients_in
from coach.store.client_summary import summary_of
from coach.store.fingerprint import FilesFingerprint, client_fingerprint, fingerprint_of, program_fingerprint
from coach.toml.atomic_write import replace_bytes
from coach.toml.reader import read_model

NEEDS = "caseload.toml"
CACHE = ".caseload.json"
# One process reads fewer clients than this sooner than several processes start.
_LEAST_FOR_PROCESSES = 150
_CHUNK = 25
_MOST_PROCESSES = 8
_MOST_CACHE_BYTES = 64 * 1024 * 1024

OnProgress = Callable[[int, int], None]


class _CachedClient(Frozen):
    fingerprint: str
    summary: ClientSummary


class _Cache(Frozen):
    """The hidden file. `basis` is the fingerprint of the content, the program and the day of the summaries."""

    format: Literal[1] = 1
    basis: str
    client: tuple[_CachedClient, ...]


_ADAPTER = TypeAdapter(_Cache)


def load_needs(folder: Path) -> tuple[Need, ...]:
    """What a client can need, most urgent first. Raises FileFault."""
    return read_model(folder / NEEDS, Needs).need


def read_caseload(
    folder: Path, content: Content, on_progress: OnProgress | None = None, at: datetime | None = None
) -> tuple[ClientSummary, ...]:
    """One summary of each client as of `at`, by default now, in order of the folders' names.

    None is older than the files it was made from, nor than the day: whether a session may start depends on both.
    `on_progress` is called with how many clients are read and how many there are to read. Summaries are cached in a
    hidden file of the folder; where that cannot be written, the next call takes as long. Raises FileFault where there
    is no client.
    """
    now = clock.now().at if at is None else at
    basis = fingerprint_of(content, program_fingerprint(), now.date())
    names = clients_in(folder)
    cached = _read_cache(folder / CACHE, basis)
    now_ns = time.time_ns()
    fingerprints = {name: client_fingerprint(f"{folder}/{name}") for name in names}
    changed = [name for name in names if name not in cached or cached[name].fingerprint != fingerprints[name].value]
    read = {one.folder: one for one in _read([folder / name for name in changed], content, now, on_progress)}
    summaries = {**{name: one.summary for name, one in cached.items()}, **read}
    if changed or len(cached) > len(names):
        _write_cache(folder / CACHE, basis, summaries, fingerprints, now_ns)
    return tuple(summaries[name] for name in names)


def _read(
    paths: Sequence[Path], content: Content, now: datetime, on_progress: OnProgress | None
) -> Iterator[ClientSummary]:
    for number, summary in enumerate(_summaries(paths, content, now), start=1):
        if on_progress is not None:
            on_progress(number, len(paths))
        yield summary


def _summaries(paths: Sequence[Path], content: Content, now: datetime) -> Iterator[ClientSummary]:
    """The summary of each client, from several processes where that is faster."""
    processes = min(os.cpu_count() or 1, _MOST_PROCESSES)
    alone = threading.active_count() == 1 and "fork" in multiprocessing.get_all_start_methods()
    if len(paths) < _LEAST_FOR_PROCESSES or processes == 1 or not alone:
        yield from map(partial(summary_of, content=content, at=now), paths)
        return
    context = multiprocessing.get_context("fork")  # a forked process has the content and all modules already
    with ProcessPoolExecutor(processes, context, initializer=_start_process, initargs=(content, now)) as pool:
        yield from pool.map(_summary_in_process, paths, chunksize=_CHUNK)


_process_arguments: list[tuple[Content, datetime]] = []


def _start_process(content: Content, now: datetime) -> None:
    """Set up a process that reads a share of the clients and ends: collecting garbage would take a tenth of it."""
    gc.disable()
    _process_arguments[:] = [(content, now)]


def _summary_in_process(path: Path) -> ClientSummary:
    return summary_of(path, *_process_arguments[0])


def _is_text(name: str) -> bool:
    """Whether a name can be written as JSON; a name whose bytes are not UTF-8 cannot."""
    return not any("\ud800" <= character <= "\udfff" for character in name)


def _read_cache(path: Path, basis: str) -> dict[str, _CachedClient]:
    """The cached summaries by the client's folder; none where they have another basis, or cannot be read."""
    try:
        if not path.is_file() or path.stat().st_size > _MOST_CACHE_BYTES:  # a pipe would never answer
            return {}
        cache = _ADAPTER.validate_json(path.read_bytes())
    except (OSError, ValidationError, ValueError):
        return {}
    return {one.summary.folder: one for one in cache.client} if cache.basis == basis else {}


def _write_cache(
    path: Path,
    basis: str,
    summaries: dict[str, ClientSummary],
    fingerprints: dict[str, FilesFingerprint],
    now_ns: int,
) -> None:
    """Cache the summaries of clients whose files have not changed for a while; others are read again next time.

    So are those refused by this computer's clock, which may be set right at any moment.
    """
    settled = [
        name
        for name, found in fingerprints.items()
        if found.is_settled(now_ns) and _is_text(name) and summaries[name].obstacle != "clock"
    ]
    cache = _Cache(
        basis=basis,
        client=tuple(
            _CachedClient(fingerprint=fingerprints[name].value, summary=summaries[name]) for name in settled
        ),
    )
    with suppress(OSError):
        replace_bytes(path, _ADAPTER.dump_json(cache))

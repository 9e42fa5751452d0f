"""A folder of clients read into one summary each: anew where any of a client's files changed, else as kept."""

import gc
import multiprocessing
import os
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Literal

from pydantic import TypeAdapter, ValidationError

from coach.content_files.content_folder import content_folder
from coach.model.base import Frozen
from coach.model.caseload import Need, Needs, Summary
from coach.model.content import Content
from coach.store.client_paths import clients_in, clinic_in
from coach.store.client_summary import summary_of
from coach.store.file_fingerprint import Stamp, client_stamp, program_stamp
from coach.toml.atomic_write import replace_bytes
from coach.toml.reader import read_model

NEEDS = "caseload.toml"
KEPT = ".caseload.json"
# Fewer clients than this are read sooner by one process than several are started.
_WORTH_PROCESSES = 150
_AT_A_TIME = 25
_MOST_PROCESSES = 8
_MOST_KEPT_BYTES = 64 * 1024 * 1024

Said = Callable[[int, int], None]


class _KeptOne(Frozen):
    stamp: str
    summary: Summary


class _KeptAll(Frozen):
    """The hidden file: derived, for this program alone, and made anew whenever it does not fit."""

    format: Literal[1] = 1
    program: str
    client: tuple[_KeptOne, ...]


_KEPT_ALL = TypeAdapter(_KeptAll)


def load_needs(folder: Path) -> tuple[Need, ...]:
    """What a client can need, the most urgent first. FileFault where the file is wrong."""
    return read_model(folder / NEEDS, Needs).need


def read_caseload(folder: Path, content: Content, said: Said | None = None) -> tuple[Summary, ...]:
    """One summary a client, in order of the folders' names; none is older than the files it was made from.

    `said` is told how many of how many are read. What was read is kept in a hidden file beside the clients; where
    that cannot be written the next time takes as long.
    """
    clinic = clinic_in(folder)
    program = program_stamp(content_folder(), *([clinic] if clinic else []))
    names = clients_in(folder)
    kept = _kept(folder / KEPT, program)
    now_ns = time.time_ns()
    stamps = {name: client_stamp(f"{folder}/{name}") for name in names}
    changed = [name for name in names if name not in kept or kept[name].stamp != stamps[name].word]
    read = {one.folder: one for one in _read([folder / name for name in changed], content, said)}
    if changed or len(kept) > len(names):
        _keep(folder / KEPT, program, {**{name: one.summary for name, one in kept.items()}, **read}, stamps, now_ns)
    return tuple(read[name] if name in read else kept[name].summary for name in names)


def _read(paths: Sequence[Path], content: Content, said: Said | None) -> Iterator[Summary]:
    """Each client's summary, by several processes where that is sooner."""
    for number, summary in enumerate(_summaries(paths, content), start=1):
        if said is not None:
            said(number, len(paths))
        yield summary


def _summaries(paths: Sequence[Path], content: Content) -> Iterator[Summary]:
    processes = min(os.cpu_count() or 1, _MOST_PROCESSES)
    alone = threading.active_count() == 1 and "fork" in multiprocessing.get_all_start_methods()
    if len(paths) < _WORTH_PROCESSES or processes == 1 or not alone:
        yield from map(partial(summary_of, content=content), paths)
        return
    context = multiprocessing.get_context("fork")  # the content is there already; nothing is imported again
    with ProcessPoolExecutor(processes, context, initializer=_begin, initargs=(content,)) as pool:
        yield from pool.map(_summary_there, paths, chunksize=_AT_A_TIME)


_there: list[Content] = []


def _begin(content: Content) -> None:
    """In a process that reads a share of the clients and ends: looking for what could be freed takes a tenth."""
    gc.disable()
    _there[:] = [content]


def _summary_there(path: Path) -> Summary:
    return summary_of(path, _there[0])


def _is_text(name: str) -> bool:
    """Whether a name can be written down: one of bytes that are no UTF-8 cannot."""
    return not any("\ud800" <= character <= "\udfff" for character in name)


def _kept(path: Path, program: str) -> dict[str, _KeptOne]:
    """What was kept the last time, by the client's folder; nothing where it is another program's, or torn."""
    try:
        if not path.is_file() or path.stat().st_size > _MOST_KEPT_BYTES:  # a pipe would never answer
            return {}
        kept = _KEPT_ALL.validate_json(path.read_bytes())
    except (OSError, ValidationError, ValueError):
        return {}
    return {one.summary.folder: one for one in kept.client} if kept.program == program else {}


def _keep(path: Path, program: str, summaries: dict[str, Summary], stamps: dict[str, Stamp], now_ns: int) -> None:
    """Keep the summaries of all whose files have been still for a while; the others are read again next time."""
    settled = [name for name, stamp in stamps.items() if stamp.settled(now_ns) and _is_text(name)]
    kept = _KeptAll(
        program=program,
        client=tuple(_KeptOne(stamp=stamps[name].word, summary=summaries[name]) for name in settled),
    )
    with suppress(OSError):
        replace_bytes(path, _KEPT_ALL.dump_json(kept))

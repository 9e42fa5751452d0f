"""The folder that a client takes home, as files: made as a whole or not at all."""

from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from msgspec import Struct

from coach.model.messages.at_home import TakeHomeMessages
from coach.store.home.start_files import LINUX, MAC, PROGRAM, WINDOWS, StartFile
from coach.toml.new_file import new_folder


class TakeHome(Struct, frozen=True):
    """What is in the folder: the names of its files, what is installed, and the texts."""

    names: TakeHomeMessages
    installed: Mapping[str, bytes]
    handout: bytes | None
    read_first: str
    said: Mapping[str, str]


def write_take_home(folder: Path, inside: TakeHome) -> None:
    """Write the folder. Raises FileFault, and leaves none, where it exists or cannot be written."""
    with new_folder(folder) as write:
        for name, data in _files(inside):
            write(name, data)
    for name, file in _start_files(inside.names).items():
        if file.is_run:
            with suppress(OSError):  # a memory stick without such marks lets everything be run
                (folder / name).chmod(0o700)


def _files(inside: TakeHome) -> Iterator[tuple[str, bytes]]:
    yield f"{inside.names.read_first}.txt", text_file(inside.read_first)
    if inside.handout is not None:
        yield f"{inside.names.handout}.pdf", inside.handout
    yield from ((name, file.data) for name, file in _start_files(inside.names).items())
    yield from ((f"{PROGRAM}/{name}", data) for name, data in inside.installed.items())
    yield from ((f"{PROGRAM}/{name}.txt", text_file(text)) for name, text in inside.said.items())


def text_file(text: str) -> bytes:
    """A text as every system's editor shows it: UTF-8, and lines that end as Windows wants them."""
    return text.replace("\n", "\r\n").encode("utf-8")


def _start_files(names: TakeHomeMessages) -> dict[str, StartFile]:
    starts = ((names.start_windows, WINDOWS), (names.start_mac, MAC), (names.start_linux, LINUX))
    return {f"{name}{file.ending}": file for name, file in starts}

"""`coach` alone: today's session of the client here, the caseload of a clinic, or what to do."""

import shutil
from pathlib import Path
from textwrap import fill as wrapped
from typing import TYPE_CHECKING

from coach.commands.support.output import CUT_OFF, FAULTS, FINE, USAGE, print_error

if TYPE_CHECKING:
    from coach.model.messages.at_home import FrontDoorMessages

_LEAVE = "q"
_NARROWEST = 20


def what_to_open() -> list[str] | int:
    """The words of the command that `coach` alone stands for; or the exit code, where what to do was printed.

    Raises FileFault.
    """
    from coach.store.home.places import clients_at_home, named_folder

    named = named_folder()
    if named is not None:
        return ["caseload", str(named)] if named.is_dir() else _folder_is_gone(named)
    clients = clients_at_home()
    if not clients:
        return _say_what_to_do()
    path = next(iter(clients.values())) if len(clients) == 1 else _ask_who(clients)
    return ["session", str(path)] if isinstance(path, Path) else path


def _ask_who(clients: dict[str, Path]) -> Path | int:
    """The client who is chosen by a number; or the exit code."""
    from coach.model.message_format import fill
    from coach.screens.terminal import is_terminal

    people, messages = [_name_of(path) for path in clients.values()], _messages(next(iter(clients.values())))
    print(messages.who, *(f"  {number}  {name}" for number, name in enumerate(people, start=1)), sep="\n")
    if not is_terminal():
        return print_error(fill(messages.by_name, {"names": ", ".join(clients)}), USAGE)
    while True:
        try:
            typed = input(f"{messages.number} ").strip().casefold()
        except EOFError:
            return CUT_OFF
        if typed == _LEAVE:
            return FINE
        if typed.isdecimal() and 0 < int(typed) <= len(clients):
            return list(clients.values())[int(typed) - 1]
        print(fill(messages.again, {"count": len(clients)}))


def _name_of(path: Path) -> str:
    """A client's name; where the profile cannot be read, that of the folder."""
    from coach.model.profile import Profile
    from coach.store.client_paths import PROFILE
    from coach.toml.diagnostic import FileFault
    from coach.toml.reader import read_model

    try:
        return read_model(path / PROFILE, Profile).name
    except FileFault:
        return path.name


def _messages(client: Path) -> "FrontDoorMessages":
    """In the language of a client, or where that cannot be read, in English."""
    from coach.content_files.content_folder import content_folder, languages, load_content
    from coach.content_files.language_data import FALLBACK
    from coach.model.profile import Profile
    from coach.store.client_paths import PROFILE
    from coach.toml.diagnostic import FileFault
    from coach.toml.reader import read_model

    try:
        language = read_model(client / PROFILE, Profile).language
    except FileFault:
        language = FALLBACK
    known = language if language in languages(content_folder()) else FALLBACK
    return load_content(content_folder(), known).messages.client.front_door


def _say_what_to_do() -> int:
    """In every language: nobody knows yet who sits here."""
    from coach.content_files.content_folder import content_folder, languages, load_content
    from coach.content_files.language_data import FALLBACK

    folder, columns = content_folder(), max(shutil.get_terminal_size().columns - 1, _NARROWEST)
    for language in sorted(languages(folder), key=lambda one: (one != FALLBACK, one)):
        said = load_content(folder, language).messages.client.front_door
        print(said.nobody)
        for line in (said.at_home, said.in_clinic, said.all_commands):
            print(wrapped(line, columns, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False))
    return USAGE


def _folder_is_gone(folder: Path) -> int:
    from coach.store.home.places import where_path
    from coach.toml.diagnostic import FileFault, whole_file

    what = "this folder holds the clients of this computer, and it is not there"
    fix = f"connect what it is on, or name another folder: coach where FOLDER (this one is kept in {where_path()})"
    return print_error(str(FileFault([whole_file(folder, what, "a folder of clients", fix)])), FAULTS)

"""A client is taken to a computer at home: from then on the session is there, and the folder from the clinic is not.

Nothing in that folder is trusted more than a backup from a stranger: it is a backup, restored as one, as a whole or
not at all. Nothing that the clinic signed later is taken from it, for only a sealed file shows who has written it.
"""

import shutil
from contextlib import suppress
from pathlib import Path

from coach.exchange.enrolment import ENROLMENT, Enrolment, read_enrolment
from coach.exchange.home_side import enrolled
from coach.model.exercise import NoExercise
from coach.store.backups.restore import contents, packed_members, restore
from coach.store.client_paths import CLINIC, INSTRUCTIONS, PROGRAMME
from coach.store.client_store import ClientStore
from coach.store.home.places import clients_at_home, home_folder
from coach.store.home.taken import client_of, note_taken
from coach.store.lock import lock
from coach.toml.atomic_write import make_folder
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.reader import parse_model

_FROM_CLINIC = "the folder that the clinic gave you"
_ASK = "ask the clinic"


def bring_home(packed: Path) -> Path:
    """Take the client in a file to this computer, if they are not here yet; returns their folder.

    Raises FileFault, and changes nothing, where the file is not whole, holds no single client, or holds another
    client of the same name or something that this computer does not have.
    """
    name = _only_client(packed)
    there = clients_at_home().get(name)
    if there is None:
        return _first_time(packed, name)
    _require_nothing_new(packed, name, there)
    _note(packed, there)
    return there


def _only_client(packed: Path) -> str:
    clients = list(contents(packed).sessions)
    if len(clients) != 1:
        what = f"it holds {len(clients)} clients"
        raise FileFault([whole_file(packed, what, "one client", f"{_ASK} for another folder")])
    return clients[0]


def _first_time(packed: Path, name: str) -> Path:
    place = home_folder() / name
    try:
        make_folder(home_folder())
    except OSError as error:
        what = f"there is no place for clients here: {error_reason(error)}"
        raise FileFault([whole_file(home_folder(), what, "a folder of your own")]) from None
    restore(packed, place)
    try:
        client = client_of(place)
        if client is None or client.name != name:
            raise _not_whole(packed)
        _require_readable(client)
        with lock(client):
            enrolled(client)
        _note(packed, client)
    except NoExercise as error:
        shutil.rmtree(place, ignore_errors=True)
        raise FileFault([whole_file(packed, str(error), "", f"{_ASK} for another folder")]) from None
    except BaseException:
        shutil.rmtree(place, ignore_errors=True)
        raise
    return client


def _require_readable(client: Path) -> None:
    """Raise FileFault or NoExercise where a session would not know what to do."""
    for one in ClientStore.read(client).exercises:
        _ = one.folded_progress


def _require_nothing_new(packed: Path, name: str, there: Path) -> None:
    """Raise FileFault where it is another client, or brings what was signed since the client was taken home."""
    own, new = read_enrolment(there), list[str]()
    for one in packed_members(packed):
        client, _, inside = one.name.partition("/")
        if client == CLINIC:
            continue
        if inside == ENROLMENT:
            other = parse_model(one.data.decode(errors="replace"), packed, Enrolment)
            if own is None or own.client != other.client:
                what = f"another client of the name {name} is on this computer already, in {there}"
                raise FileFault([whole_file(packed, what, _FROM_CLINIC, f"{_ASK} for a folder of another name")])
        elif inside.startswith((f"{PROGRAMME}/", f"{INSTRUCTIONS}/")) and not (there / inside).exists():
            new.append(inside)
    if new:
        what = f"it holds something new from the clinic that is not on this computer: {', '.join(new)}"
        fix = f"{_ASK} for a sealed file with it, which coach send makes there, and take that with coach receive"
        raise FileFault([whole_file(packed, what, "what this computer has", fix)])


def _note(packed: Path, client: Path) -> None:
    place = client.parent if client.parent.parent == home_folder() else client
    with suppress(OSError):  # then the file is looked at again next time
        note_taken(place, packed)


def _not_whole(packed: Path) -> FileFault:
    return FileFault([whole_file(packed, "it holds no whole client", _FROM_CLINIC, f"{_ASK} for another folder")])

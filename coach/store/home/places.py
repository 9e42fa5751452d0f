"""Where the clients of this computer are: at home in the user's own data, in a clinic in the folder that was named.

At home each client stands in a folder of the same name, with the clinic's own content beside them where there is any:
`clients/tern/tern` and `clients/tern/clinic`. So clients of two clinics do not come into each other's way.
"""

from pathlib import Path
from typing import Annotated, Literal

from platformdirs import user_config_path, user_data_path

from coach.frozen import Bounds
from coach.model.base import Frozen
from coach.store.client_paths import is_client
from coach.toml.atomic_write import make_folder, replace_file
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.reader import is_there, read_model
from coach.toml.writer import dump, values_to_write

_OWN, _CLIENTS, _WHERE = "steady-arc", "clients", "where.toml"


class Where(Frozen):
    """Which folder holds the clients of this computer, as somebody named it."""

    format: Literal[1] = 1
    clients: Annotated[str, Bounds(min_length=1, max_length=4096)]


def home_folder() -> Path:
    """Where clients are at home, by the convention of the system."""
    return user_data_path(_OWN, appauthor=False) / _CLIENTS


def where_path() -> Path:
    """The file that keeps which folder was named."""
    return user_config_path(_OWN, appauthor=False) / _WHERE


def named_folder() -> Path | None:
    """The folder of clients that was named, None where there is none. Raises FileFault."""
    path = where_path()
    return Path(read_model(path, Where).clients) if is_there(path) else None


def name_folder(folder: Path) -> None:
    """Keep a folder as that of the clients of this computer. Raises FileFault."""
    path = where_path()
    values = values_to_write(Where(clients=str(folder.absolute())), path)
    try:
        make_folder(path.parent)
        replace_file(path, dump(values, "Written by `coach where`."))
    except OSError as error:
        what = f"it cannot be written: {error_reason(error)}"
        raise FileFault([whole_file(path, what, "a folder of your own")]) from None


def clients_at_home() -> dict[str, Path]:
    """The clients at home by their names, in order."""
    found: dict[str, Path] = {}
    for folder in _folders(home_folder()):
        inside = [folder] if is_client(folder) else [one for one in _folders(folder) if is_client(one)]
        for one in inside:
            found.setdefault(one.name, one)
    return dict(sorted(found.items()))


def find_client(name: str) -> Path | None:
    """The folder of a client of this computer, None where there is none of that name. Raises FileFault."""
    named = named_folder()
    if named is not None and is_client(named / name):
        return named / name
    return clients_at_home().get(name)


def known_names() -> tuple[str, ...]:
    """The names of all clients of this computer. Raises FileFault."""
    named = named_folder()
    in_clinic = [one.name for one in _folders(named) if is_client(one)] if named is not None else []
    return (*in_clinic, *clients_at_home())


def is_bare_name(text: str) -> bool:
    """Whether this may be a client's name: no path, and nothing that a system reads as one."""
    return text not in ("", ".", "..") and Path(text).name == text


def _folders(folder: Path) -> list[Path]:
    try:
        return sorted(one for one in folder.iterdir() if not one.name.startswith(".") and one.is_dir())
    except OSError:
        return []

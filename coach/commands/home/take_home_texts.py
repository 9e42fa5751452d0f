"""The texts of a take-home folder: what to read first, and what the start files say."""

from collections.abc import Mapping
from textwrap import fill as wrapped
from typing import TYPE_CHECKING

from coach.model.message_format import fill
from coach.model.messages.at_home import TakeHomeMessages
from coach.store.home.start_files import CLOSE, INSTALLING, NO_PYTHON, NOT_INSTALLED

if TYPE_CHECKING:
    from coach.store.client_store import ClientStore

_COLUMNS = 78


def read_first(store: "ClientStore", digits: str) -> str:
    """How to install it in five steps, what may come in between, and the clinic's numbers."""
    said = store.content.messages.client.take_home
    names = {"windows": said.start_windows, "mac": said.start_mac, "linux": said.start_linux}
    title = fill(said.title, {"profile": store.profile.name})
    steps = [
        wrapped(fill(step, names), _COLUMNS, initial_indent=f"{number}. ", subsequent_indent="   ")
        for number, step in enumerate(said.steps, start=1)
    ]
    mail = fill(said.mail, {"folder": said.to_clinic})
    notes = (mail, said.warned, said.never_run, said.kept, fill(said.key, {"digits": digits}))
    return "\n\n".join((title, "\n".join(steps), *(wrapped(note, _COLUMNS) for note in notes))) + "\n"


def said_by_start_files(said: TakeHomeMessages) -> Mapping[str, str]:
    """What the start files say, by the names of the text files."""
    texts = {
        INSTALLING: said.installing,
        NO_PYTHON: said.no_python,
        NOT_INSTALLED: said.not_installed,
        CLOSE: said.close,
    }
    return {name: f"{wrapped(text, _COLUMNS)}\n" for name, text in texts.items()}

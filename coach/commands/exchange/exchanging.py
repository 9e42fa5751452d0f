"""What the commands for files between home and clinic share: asking, counting, and the numbers to compare."""

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.loading import therapist_content
from coach.commands.support.output import FINE, print_wrapped, says_yes

if TYPE_CHECKING:
    from coach.exchange.own_keys import AskPassphrase
    from coach.model.content import Content
    from coach.model.messages.exchange import ExchangeMessages
    from coach.overview.caseload_lines import CaseloadLine
    from coach.store.client_store import ClientStore

_MOST_NAMED = 5


def content_at(client: Path) -> "Content":
    """The content in the language of who is there: of the client at home, of the therapist in the clinic."""
    from coach.exchange.home_side import is_home
    from coach.store.client_paths import clinic_of

    if not is_home(client):
        return therapist_content(clinic_of(client))
    from coach.store.client_store import ClientStore

    return ClientStore.read(client).content


def say(text: str) -> int:
    """Print a message, on a terminal broken between words; returns the exit code of a command that is done."""
    from coach.toml.diagnostic import printable

    print_wrapped(printable(text))
    return FINE


def require_folder(folder: Path) -> None:
    """Raise FileFault where there is no folder to write into, before anything is done."""
    from coach.toml.diagnostic import FileFault, whole_file

    if not folder.is_dir():
        what = "there is no such folder to write into"
        raise FileFault([whole_file(folder, what, "an existing folder", "make the folder first")])


def passphrase_asker(content: "Content") -> "AskPassphrase":
    """Asks for the passphrase of a file of keys at the terminal; empty without one."""
    from coach.model.message_format import fill

    def ask(path: Path) -> str:
        from getpass import getpass

        asked = fill(content.messages.therapist.keys.asked, {"file": path.name})
        return getpass(f"{asked}: ") if has_terminal() else ""

    return ask


def is_confirmed(question: str, yes_key: str) -> bool:
    """Whether a person at the terminal says yes; a key that was doubled says it too."""
    return says_yes(typed(question), yes_key)


def typed(question: str) -> str:
    """What is typed at the terminal; empty without one."""
    if not has_terminal():
        return ""
    try:
        return input(f"{question}: ").strip()
    except EOFError:
        return ""


def has_terminal() -> bool:
    """Whether there is somebody to ask."""
    return sys.stdin is not None and sys.stdin.isatty()


def counted_parts(names: "Iterable[str]", messages: "ExchangeMessages") -> str:
    """How many of each there are among these files; empty where there is none."""
    from coach.exchange.receiving import counts
    from coach.store.arrivals.arrivals import said_counts

    return said_counts(counts(names), messages)


def came_in_text(folder: Path, lines: "Sequence[CaseloadLine]", content: "Content") -> str:
    """What came from home since this folder was last looked at, clients with needs first; empty where nothing did."""
    from coach.model.message_format import fill
    from coach.overview.caseload_lines import sorted_lines
    from coach.store.arrivals.arrivals import added, said_counts
    from coach.store.arrivals.last_look import came_in

    messages = content.messages.therapist.caseload
    names = {line.folder: line.shown_name for line in sorted_lines(lines, "need")}
    each = list[str]()
    for name, arrivals in came_in(folder, names).items():
        what = said_counts(added(arrivals), content.messages.client.exchange)
        each += [f"{names[name]} ({what})"] if what else []
    more = [fill(messages.more, {"more": len(each) - _MOST_NAMED})] if len(each) > _MOST_NAMED else []
    return fill(messages.came_in, {"clients": ", ".join([*each[:_MOST_NAMED], *more])}) if each else ""


def print_numbers_of_home(store: "ClientStore") -> None:
    """Print the numbers of this computer and of the clinic, and what they are for."""
    from coach.exchange.home_book import read_home_book
    from coach.exchange.home_side import require_enrolment
    from coach.exchange.own_keys import home_key_path, read_key_file
    from coach.model.message_format import fill

    messages, enrolment = store.content.messages.client.exchange, require_enrolment(store.path)
    book, keys = read_home_book(enrolment.client), read_key_file(home_key_path(enrolment.client))
    if keys is not None:
        say(fill(messages.this_computer, {"digits": keys.public.fingerprint}))
    clinic = book.clinic if book is not None else enrolment.clinic
    say(fill(messages.clinic, {"digits": clinic.fingerprint}))
    say(messages.compare)

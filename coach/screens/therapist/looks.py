"""What the therapist's screens ask for. They are given it, so that they know no file and no report."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from coach.model.content_set import Content
from coach.model.page_words.client_page import Look
from coach.session.caseload_lines import CaseLine


class CannotShow(Exception):
    """Why something about a client cannot be shown, in the words that the command line would say."""


@dataclass(frozen=True)
class Looks:
    """`lines` reads the caseload anew; each of `reports` makes a text about the client in a folder.

    All may raise CannotShow.
    """

    folder: str
    content: Content
    lines: Callable[[], Sequence[CaseLine]]
    reports: Mapping[Look, Callable[[str], str]]

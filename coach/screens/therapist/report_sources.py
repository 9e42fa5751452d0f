"""What the therapist's screens ask for. They are given it, so that they know no file and no report."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from textual.screen import Screen

from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.messages.client_page import Look
from coach.overview.caseload_lines import CaseLine
from coach.overview.history_chart import Picture
from coach.screens.therapist.history_charts_screen import Draw
from coach.session.plan import Plan


class CannotShow(Exception):
    """Why something about a client cannot be shown, in the words that the command line would say."""


PreviewLook = Literal["compare", "decisions", "setup"]


# Makes a text about a session with these answers.
PreviewReport = Callable[[Plan, Answers, datetime], str]


@dataclass(frozen=True)
class Looks:
    """`lines` reads the caseload anew; each of `reports` makes a text about the client in a folder; `plan` is their
    next session, and `previews` what its preview shows beside it; `pictures` is their past, and `draw` draws one;
    `steering` is the page on which the therapist says what the client does next.
    `now` is the time of day.

    All may raise CannotShow.
    """

    folder: str
    content: Content
    lines: Callable[[], Sequence[CaseLine]]
    reports: Mapping[Look, Callable[[str], str]]
    plan: Callable[[str], Plan]
    previews: Mapping[PreviewLook, PreviewReport]
    pictures: Callable[[str], Sequence[Picture]]
    draw: Draw
    steering: Callable[[str], Screen[None]]
    now: Callable[[], datetime]

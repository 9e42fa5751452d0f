"""What the therapist's screens need from other rooms, passed in so that they depend on no file and no report."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Literal

from msgspec import Struct
from textual.screen import Screen

from coach.model.answers_file import Answers
from coach.model.base import Name
from coach.model.content import Content
from coach.model.messages.therapist import ReportName
from coach.overview.caseload_lines import CaseloadLine
from coach.screens.therapist.one_client.client_plots import ClientCourse
from coach.screens.therapist.one_client.history_screen import HistoryEntry
from coach.session.plan import Plan

PreviewReportName = Literal["compare", "decisions", "setup"]

PreviewReport = Callable[[Plan, Answers, datetime], str]
"""Makes a text about a planned session with given answers at a given time."""


class ChosenExercise(Struct, frozen=True):
    """A client by the name of the folder, and one exercise of the programme; None where there is only one."""

    client: str
    name: Name | None = None


class ReportSources(Struct, frozen=True):
    """Functions that read a caseload and report on its clients.

    Each function raises ReportUnavailable if its files cannot be read or give no result.

    Attributes:
        folder: The name of the caseload's folder.
        content: The content in the therapist's language.
        lines: Reads the lines of the caseload.
        reports: Makes a text report on an exercise of a client, by its name.
        sessions: Reads the sessions of an exercise as a list.
        plans: Plans the next session: each exercise that is due, or the one that is chosen where it is not.
        preview_reports: Makes a text report on a planned session, by its name.
        course: Reads the history of an exercise: its charts, and the instructions.
        visit: Makes the page of a visit of the client.
        steering: Makes the screen on which instructions for an exercise are signed.
        now: Tells the current time.
    """

    folder: str
    content: Content
    lines: Callable[[], Sequence[CaseloadLine]]
    reports: Mapping[ReportName, Callable[[ChosenExercise], str]]
    sessions: Callable[[ChosenExercise], Sequence[HistoryEntry]]
    plans: Callable[[ChosenExercise], Sequence[Plan]]
    preview_reports: Mapping[PreviewReportName, PreviewReport]
    course: Callable[[ChosenExercise], ClientCourse]
    visit: Callable[[ChosenExercise], Screen[None]]
    steering: Callable[[ChosenExercise], Screen[None]]
    now: Callable[[], datetime]

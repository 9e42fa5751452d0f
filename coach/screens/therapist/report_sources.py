"""What the therapist's screens need from other rooms, passed in so that they depend on no file and no report."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from textual.screen import Screen

from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.messages.therapist import ReportName
from coach.overview.caseload_lines import CaseloadLine
from coach.screens.therapist.one_client.client_plots import CourseOf
from coach.screens.therapist.one_client.history_screen import HistoryEntry
from coach.session.plan import Plan

PreviewReportName = Literal["compare", "decisions", "setup"]

PreviewReport = Callable[[Plan, Answers, datetime], str]
"""Makes a text about a planned session with given answers at a given time."""


@dataclass(frozen=True)
class ReportSources:
    """Functions that read a caseload and report on its clients; a string argument is the name of a folder.

    Each function raises ReportUnavailable if its files cannot be read or give no result.

    Attributes:
        folder: The name of the caseload's folder.
        content: The content in the therapist's language.
        lines: Reads the lines of the caseload.
        reports: Makes a text report on a client, by its name.
        sessions: Reads a client's sessions as a list.
        plan: Plans a client's next session.
        preview_reports: Makes a text report on a planned session, by its name.
        course: Reads a client's history: its charts, and the instructions.
        steering: Makes the screen on which instructions for a client are signed.
        now: Tells the current time.
    """

    folder: str
    content: Content
    lines: Callable[[], Sequence[CaseloadLine]]
    reports: Mapping[ReportName, Callable[[str], str]]
    sessions: Callable[[str], Sequence[HistoryEntry]]
    plan: Callable[[str], Plan]
    preview_reports: Mapping[PreviewReportName, PreviewReport]
    course: CourseOf
    steering: Callable[[str], Screen[None]]
    now: Callable[[], datetime]

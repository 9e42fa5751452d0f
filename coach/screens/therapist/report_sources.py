"""What the therapist's screens need from other rooms, passed in so that they depend on no file and no report."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from textual.screen import Screen

from coach.model.answers_file import Answers
from coach.model.base import Name
from coach.model.content import Content
from coach.model.messages.therapist import ReportName
from coach.overview.caseload_lines import CaseloadLine
from coach.overview.history_chart import Chart
from coach.screens.therapist.history_charts_screen import DrawChart
from coach.session.plan import Plan


class ReportUnavailable(Exception):
    """Something about a client cannot be shown; the message is the one that the command line would print."""


PreviewReportName = Literal["compare", "decisions", "setup"]

PreviewReport = Callable[[Plan, Answers, datetime], str]
"""Makes a text about a planned session with given answers at a given time."""


@dataclass(frozen=True)
class ChosenExercise:
    """A client by the name of the folder, and one exercise of the programme; None where there is only one."""

    client: str
    name: Name | None = None


@dataclass(frozen=True)
class ReportSources:
    """Functions that read a caseload and report on its clients.

    Each function raises ReportUnavailable if its files cannot be read or give no result.

    Attributes:
        folder: The name of the caseload's folder.
        content: The content in the therapist's language.
        lines: Reads the lines of the caseload.
        reports: Makes a text report on an exercise of a client, by its name.
        plan: Plans the next session of an exercise.
        preview_reports: Makes a text report on a planned session, by its name.
        charts: Makes the charts of the history of an exercise.
        draw_chart: Draws one chart.
        steering: Makes the screen on which instructions for an exercise are signed.
        now: Tells the current time.
    """

    folder: str
    content: Content
    lines: Callable[[], Sequence[CaseloadLine]]
    reports: Mapping[ReportName, Callable[[ChosenExercise], str]]
    plan: Callable[[ChosenExercise], Plan]
    preview_reports: Mapping[PreviewReportName, PreviewReport]
    charts: Callable[[ChosenExercise], Sequence[Chart]]
    draw_chart: DrawChart
    steering: Callable[[ChosenExercise], Screen[None]]
    now: Callable[[], datetime]

"""What the therapist's screens are given: readers of files and makers of reports, each fault in words."""

from collections.abc import Callable, Mapping
from datetime import datetime
from functools import wraps
from pathlib import Path
from typing import ParamSpec, TypeVar

from coach.commands.steer import steering_screen
from coach.commands.support.loading import client_and_content, past_of, plan_of
from coach.commands.support.output import code_of
from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.messages.client_page import Look
from coach.overview.history_chart import Picture
from coach.overview.history_charts import pictures
from coach.screens.therapist.report_sources import CannotShow, Looks, PreviewLook, PreviewReport
from coach.session.plan import Plan
from coach.store import clock

Given = ParamSpec("Given")
Made = TypeVar("Made")


def looks_at(folder: Path, content: Content) -> Looks:
    """The looks at the clients of one folder."""
    from coach.commands.caseload import lines_of

    return Looks(
        folder=folder.resolve().name,
        content=content,
        lines=_in_words(lambda: lines_of(folder)),
        plan=_in_words(_of_client(folder, plan_of)),
        previews=PREVIEWS,
        pictures=_in_words(_of_client(folder, _pictures)),
        draw=_drawer(content),
        steering=lambda client: steering_screen(folder / client, content),
        now=lambda: clock.now().at,
        reports={look: _in_words(_of_client(folder, report)) for look, report in _REPORTS.items()},
    )


def _of_client(folder: Path, report: Callable[[Path], Made]) -> Callable[[str], Made]:
    return lambda client: report(folder / client)


def _in_words(call: Callable[Given, Made]) -> Callable[Given, Made]:
    """The same call; what it cannot do for a known reason is said as CannotShow."""

    @wraps(call)
    def called(*args: Given.args, **kwargs: Given.kwargs) -> Made:
        try:
            return call(*args, **kwargs)
        except Exception as error:
            if code_of(error) is None:
                raise
            raise CannotShow(str(error)) from error

    return called


def _forecast(path: Path) -> str:
    from coach.reports.text.forecast import forecast_text

    return forecast_text(plan_of(path), 1, clock.now().at)


def _history(path: Path) -> str:
    from coach.reports.text.history import history_of

    return history_of(*client_and_content(path))


def _pictures(path: Path) -> tuple[Picture, ...]:
    return pictures(past_of(path))


def _drawer(content: Content) -> Callable[[Picture, int, int], list[str]]:
    """Draws pictures with the words of a language."""
    from coach.model.messages.history_charts import PicturesWords
    from coach.reports.text.history_plots import picture_lines

    words = content.words.of(PicturesWords)
    return lambda picture, columns, rows: picture_lines(picture, words, columns, rows)


def _check(path: Path) -> str:
    from coach.authoring.check import check_folder
    from coach.toml.diagnostic import render

    return "\n\n".join(render(fault) for fault in check_folder(path)) or f"{path}: fine"


def _decisions(plan: Plan, _: Answers, at: datetime) -> str:
    from coach.reports.text.decision_table import decision_table_text

    return decision_table_text(plan, at)


def _setup(plan: Plan, _: Answers, __: datetime) -> str:
    from coach.reports.text.setup import setup_text

    return setup_text(plan)


def _compared(plan: Plan, answers: Answers, at: datetime) -> str:
    from coach.reports.text.what_if import what_if_text

    return what_if_text(plan, answers, at)


def _next(report: PreviewReport) -> Callable[[Path], str]:
    """A report on a plan, of the client's next session as it stands."""
    return lambda path: report(plan_of(path), Answers(), clock.now().at)


PREVIEWS: Mapping[PreviewLook, PreviewReport] = {
    "compare": _in_words(_compared),
    "decisions": _in_words(_decisions),
    "setup": _in_words(_setup),
}
_REPORTS: Mapping[Look, Callable[[Path], str]] = {
    "decisions": _next(_decisions),
    "setup": _next(_setup),
    "history": _history,
    "forecast": _forecast,
    "check": _check,
}

"""What the therapist's screens are given: readers of files and makers of reports, each fault in words."""

from collections.abc import Callable, Mapping
from functools import wraps
from pathlib import Path
from typing import ParamSpec, TypeVar

from coach.commands.given import client_and_content, code_of, plan_of
from coach.model.content_set import Content
from coach.model.page_words.client_page import Look
from coach.screens.therapist.looks import CannotShow, Looks

Given = ParamSpec("Given")
Made = TypeVar("Made")


def looks_at(folder: Path, content: Content) -> Looks:
    """The looks at the clients of one folder."""
    from coach.commands.caseload import lines_of

    return Looks(
        folder=folder.resolve().name,
        content=content,
        lines=_in_words(lambda: lines_of(folder)),
        reports={look: _in_words(_of_client(folder, report)) for look, report in _REPORTS.items()},
    )


def _of_client(folder: Path, report: Callable[[Path], str]) -> Callable[[str], str]:
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


def _decisions(path: Path) -> str:
    from coach.files.clock import now
    from coach.reports.decision_table import decision_table_text

    return decision_table_text(plan_of(path), now().at)


def _setup(path: Path) -> str:
    from coach.reports.setup_text import setup_text

    return setup_text(plan_of(path))


def _forecast(path: Path) -> str:
    from coach.files.clock import now
    from coach.reports.forecast import forecast_text

    return forecast_text(plan_of(path), 1, now().at)


def _history(path: Path) -> str:
    from coach.files.standing import agreement, judged
    from coach.reports.history import history_text

    folder, content = client_and_content(path)
    progress, sessions = judged(folder, content)
    agreed = agreement(folder, content)
    name = folder.profile.name
    return history_text(name, sessions, agreed, folder.saved_faults, content, folder.saved, progress)


def _check(path: Path) -> str:
    from coach.files.check import check_folder
    from coach.files.diagnostic import render

    return "\n\n".join(render(fault) for fault in check_folder(path)) or f"{path}: fine"


_REPORTS: Mapping[Look, Callable[[Path], str]] = {
    "decisions": _decisions,
    "setup": _setup,
    "history": _history,
    "forecast": _forecast,
    "check": _check,
}

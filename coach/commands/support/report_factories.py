"""The readers and reports that the therapist's screens call; known errors become ReportUnavailable."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import wraps
from pathlib import Path
from typing import ParamSpec, TypeVar

from msgspec.structs import replace
from textual.screen import Screen

from coach.commands.clinic.visiting import visit_screen
from coach.commands.support.caseload_loading import caseload_lines
from coach.commands.support.exercises import has_several
from coach.commands.support.loading import client_store, history_of_exercise, plan_of_exercise
from coach.commands.support.output import exit_code_of
from coach.commands.support.steering import steering_screen
from coach.commands.support.todays_session import todays_session
from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.therapist import ReportName
from coach.overview.history_charts import history_charts
from coach.screens.therapist.one_client.client_plots import ClientCourse
from coach.screens.therapist.one_client.history_screen import HistoryEntry
from coach.screens.therapist.report_sources import ChosenExercise, PreviewReport, PreviewReportName, ReportSources
from coach.screens.therapist.report_unavailable import ReportUnavailable
from coach.session.plan import Plan
from coach.store import clock
from coach.store.client_store import ClientStore
from coach.store.measured_sets.of_client import course_of
from coach.toml.diagnostic import FileFault, whole_file

P = ParamSpec("P")
T = TypeVar("T")


def report_sources(folder: Path, content: Content) -> ReportSources:
    """The report sources of the clients in one folder."""
    return ReportSources(
        folder=folder.resolve().name,
        content=content,
        lines=_with_known_errors(lambda: caseload_lines(folder)),
        sessions=_with_known_errors(_of_client(folder, _sessions)),
        plans=_with_known_errors(_of_client(folder, _plans)),
        preview_reports=PREVIEW_REPORTS,
        course=_with_known_errors(_of_client(folder, _course)),
        visit=_with_known_errors(lambda chosen: visit_screen(folder / chosen.client, content)),
        steering=_with_known_errors(lambda chosen: _steering(folder, chosen, content)),
        now=lambda: clock.now().at,
        reports={
            **{look: _with_known_errors(_of_client(folder, report)) for look, report in _REPORTS.items()},
            "check": _with_known_errors(lambda chosen: _check(folder / chosen.client, content)),
        },
    )


def _of_client(folder: Path, report: Callable[[ClientStore], T]) -> Callable[[ChosenExercise], T]:
    return lambda chosen: report(_store(folder, chosen))


def _plans(store: ClientStore) -> Sequence[Plan]:
    """The session of today that an exercise is part of; the exercise alone where it is not due."""
    today = todays_session(store, clock.now().at) if has_several(store) else None
    plans = today.plans if today is not None else ()
    if today is not None and today.no_session:  # of exercises none of which may start the plans do not say so
        plans = tuple(replace(plan, no_session=today.no_session) for plan in plans)
    return plans if store.folder.name in [plan.name for plan in plans] else (plan_of_exercise(store),)


def _store(folder: Path, chosen: ChosenExercise) -> ClientStore:
    """The client looked at for the chosen exercise. Raises FileFault where the programme has it no more."""
    store = client_store(folder / chosen.client)
    if chosen.name is None:
        return store
    if chosen.name not in store.folder.prescribed.names:
        path, fix = store.folder.prescribed.path, "go back to the caseload and open the client again"
        raise FileFault([whole_file(path, f"the programme has no exercise {chosen.name} any more", fix=fix)])
    return store.for_exercise(chosen.name)


def _steering(folder: Path, chosen: ChosenExercise, content: Content) -> Screen[None]:
    if chosen.name is not None:
        _store(folder, chosen)  # or why there is no such exercise
    return steering_screen(folder / chosen.client, content, chosen.name)


def _with_known_errors(call: Callable[P, T]) -> Callable[P, T]:
    """The same call, raising ReportUnavailable for an error whose message is meant for the user."""

    @wraps(call)
    def called(*args: P.args, **kwargs: P.kwargs) -> T:
        try:
            return call(*args, **kwargs)
        except Exception as error:
            if exit_code_of(error) is None:
                raise
            raise ReportUnavailable(str(error)) from error

    return called


def _forecast(store: ClientStore) -> str:
    from coach.reports.text.forecast import forecast_text

    return _next(lambda plan, _, at: forecast_text(plan, 1, at, measured=course_of(store)))(store)


def _bands(store: ClientStore) -> str:
    from coach.reports.text.bands import bands_of_client

    return bands_of_client(store)


def _sessions(store: ClientStore) -> list[HistoryEntry]:
    from coach.reports.text.history import session_entries

    return [HistoryEntry(one.line, one.sentences, one.basis) for one in session_entries(store)]


def _course(store: ClientStore) -> ClientCourse:
    """The charts of an exercise, and the instructions and visits, the newest first."""
    from coach.reports.text.history import between_sessions_of

    told = tuple("\n".join((one.line, *one.sentences)) for one in reversed(between_sessions_of(store)))
    return ClientCourse(history_charts(history_of_exercise(store)), told)


def _check(path: Path, content: Content) -> str:
    """The check of a client's files, which need not be readable."""
    from coach.authoring.check import check_folder
    from coach.toml.diagnostic import render

    fine = fill(content.messages.therapist.client_screen.files_fine, {"client": path.name})
    return "\n\n".join(render(fault) for fault in check_folder(path)) or fine


def _decisions(plan: Plan, _: Answers, at: datetime) -> str:
    from coach.reports.text.decision_table import decision_table_text

    return decision_table_text(plan, at)


def _setup(plan: Plan, _: Answers, __: datetime) -> str:
    from coach.reports.text.setup import setup_text

    return setup_text(plan)


def _compare(plan: Plan, answers: Answers, at: datetime) -> str:
    from coach.reports.text.next_session import what_if_text

    return what_if_text(plan, answers, at)


def _next(report: PreviewReport) -> Callable[[ClientStore], str]:
    """The report on the next session of an exercise, below why none may start now."""

    def made(store: ClientStore) -> str:
        from coach.reports.text.preview import no_session_lines

        plan = plan_of_exercise(store)
        return "\n".join([*no_session_lines(plan.no_session), report(plan, Answers(), clock.now().at)])

    return made


PREVIEW_REPORTS: Mapping[PreviewReportName, PreviewReport] = {
    "compare": _with_known_errors(_compare),
    "decisions": _with_known_errors(_decisions),
    "setup": _with_known_errors(_setup),
}
_REPORTS: Mapping[ReportName, Callable[[ClientStore], str]] = {
    "decisions": _next(_decisions),
    "setup": _next(_setup),
    "forecast": _forecast,
    "bands": _bands,
}

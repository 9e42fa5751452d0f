"""Today's session of a programme, as a preview shows it: the exercises that are due, and why the others are not."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from coach.commands.support.exercises import name_of, named_title_of, title_of
from coach.commands.support.loading import plan_of_exercise

if TYPE_CHECKING:
    from coach.reports.text.programme.session_preview import TodaysSession
    from coach.session.plan import Plan
    from coach.store.client_store import ClientStore


def todays_session(store: "ClientStore", at: datetime) -> "TodaysSession":
    """The exercises of a session started now; where none may be, all that are due, with the reason.

    Raises NoSession where no load can be planned for any of them.
    """
    from coach.reports.text.programme.session_preview import TodaysSession
    from coach.store.programme.opening import due_exercises, todays_exercises

    due, today = due_exercises(store, at), todays_exercises(store, at)
    refused = dict(today.left_out)
    plans = {plan.name: plan for plan in today.plans} or _planned(due)
    titles = tuple(named_title_of(one) for one in due if one.folder.name in plans)
    others = (*_refused(due, refused), *_not_due(store, due)) if today.plans else tuple(_not_due(store, due))
    no_session = "" if today.plans else next(iter(refused.values()), "")
    return TodaysSession(tuple(plans.values()), titles, others, no_session)


def _planned(due: "Sequence[ClientStore]") -> "dict[str | None, Plan]":
    """The plans of exercises of which none may be done now. Raises NoSession where there is none at all."""
    from coach.model.no_session import NoSession
    from coach.session.plan import plan_session
    from coach.store.programme.opening import as_at_home

    plans: dict[str | None, Plan] = {}
    missing: list[NoSession] = []
    for one in due:
        try:
            plan = plan_session(one.profile, one.prescription, one.content, one.progress)
            plans[one.folder.name] = as_at_home(one, plan)
        except NoSession as none:
            missing.append(none)
    if not plans:
        raise missing[0]
    return plans


def session_of(store: "ClientStore") -> "TodaysSession":
    """A session of one exercise of a programme alone. Raises NoSession where no load can be planned."""
    from coach.reports.text.programme.session_preview import TodaysSession

    plan = plan_of_exercise(store)
    return TodaysSession((plan,), (named_title_of(store),), (), plan.no_session)


def _refused(due: "Sequence[ClientStore]", why: dict[str, str]) -> Iterator[str]:
    """What is said of an exercise that is due and may not be done."""
    from coach.model.message_format import fill

    for one in due:
        if name_of(one) in why:
            line = one.content.messages.client.programme.not_today
            yield fill(line, {"what": _what(one), "why": why[name_of(one)]})


def _not_due(store: "ClientStore", due: "Sequence[ClientStore]") -> Iterator[str]:
    """What is said of an exercise that is due on other days."""
    from coach.model.message_format import fill

    names = {one.folder.name for one in due}
    for one in store.exercises:
        if one.folder.name not in names and days_of(one):
            line = store.content.messages.therapist.programme.not_due
            yield fill(line, {"exercise": _what(one), "days": ", ".join(days_of(one))})


def _what(store: "ClientStore") -> str:
    from coach.session.phrases import exercise_line

    return exercise_line(store.prescription.exercise, store.profile.side, store.content)


def days_of(store: "ClientStore") -> tuple[str, ...]:
    """The days on which an exercise is due, in the client's language; empty for every session."""
    from coach.model.profile import WEEKDAYS

    programme, names = store.folder.prescribed.programme, store.content.messages.client.end.weekday
    if programme is None or store.folder.name is None:
        return ()
    return tuple(names[WEEKDAYS.index(day)] for day in programme.exercise(store.folder.name).days)


def minutes_of(stores: "Sequence[ClientStore]", at: datetime) -> int:
    """How long a session of these exercises takes."""
    from coach.reports.text.programme.session_preview import TodaysSession, planned_session
    from coach.session.plan import open_record, script_of

    plans = tuple(map(plan_of_exercise, stores))
    if len(plans) == 1:
        return round(script_of(plans[0], open_record(plans[0], at)).seconds / 60)
    planned = planned_session(TodaysSession(plans, tuple(map(title_of, stores))), at)
    return round(sum(one.exercise.script.seconds for one in planned) / 60)

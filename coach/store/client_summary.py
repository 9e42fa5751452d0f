"""The summary of one client for a line of the caseload."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zlib import crc32

from msgspec import Struct
from msgspec.structs import replace

from coach.mechanics.band_uncertainty import age_uncertainty
from coach.model.caseload import ClientSummary, ClientWeek
from coach.model.content import Content
from coach.model.content_entries import Clinic
from coach.model.programme.due_days import due_days
from coach.model.progress import Progress
from coach.model.record import Decision, Record
from coach.progression.programme.after_visit import (
    answered_needs,
    discharged_at,
    last_visit,
    sessions_since_discharge,
    unknown_to,
    worst_pain,
)
from coach.progression.session_conditions import no_set_done
from coach.session.admission.admit import unchanged_until
from coach.session.admission.trained_closed import ClosedRecord, trained_while_closed
from coach.session.plan import Plan
from coach.store import clock
from coach.store.client_store import ClientStore
from coach.store.measured_sets.of_client import course_of
from coach.store.programme.opening import due_days_of
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import Diagnostic, FileFault, error_reason, printable

_WEEKS = 12
_MOST_DAYS = 84  # the most days in twelve weeks, the longest span that adherence is counted over
# For so many days a summary is used again at the most. Clients who were read on one day come to their ends on
# different days, so that none has a whole caseload to be read again.
_LEAST_AHEAD, _SPREAD_AHEAD = 14, 14


class DatedSummary(Struct, frozen=True):
    """The summary of a client as of one moment, and when it is still the same if no file changes.

    That is from `since` to the day before `until`. Before `since`, the newest entry would be dated in the future.
    """

    summary: ClientSummary
    since: datetime
    until: date


def summary_of(path: Path, content: Content, at: datetime | None = None) -> ClientSummary:
    """The summary of a client as of `at`, by default now.

    Where the files cannot be read or judged, it says what is wrong with them.
    """
    return dated_summary(path, content, clock.now().at if at is None else at).summary


def dated_summary(path: Path, content: Content, now: datetime) -> DatedSummary:
    """As `summary_of`. What is wrong within the files holds for this day; what could not be read is tried again."""
    until = now.date()
    try:
        return summary_of_store(ClientStore.read(path, content), now)
    except FileFault as fault:
        broken = _first(fault.faults)
        until += timedelta(days=all(one.line for one in fault.faults))
    except OSError as error:
        broken = error_reason(error)
    except Exception as error:  # files that do not fit each other: one client must not hide the others
        broken = _why(path, content, error)
    return DatedSummary(ClientSummary(folder=path.name, fault=broken), _start_of_day(now), until)


def deciding_part(content: Content) -> Content:
    """The content without what no summary is made from: the messages of the exercises, cues and all."""
    shelf = Clinic(bands=content.clinic.bands)
    return replace(content, messages=replace(content.messages, exercises={}), overrides=(), clinic=shelf)


def summary_of_store(store: ClientStore, now: datetime) -> DatedSummary:
    """The summary of a client who was read already. Raises FileFault for a record that cannot be read."""
    each = [_of_exercise(one, now) for one in store.exercises]
    if len(each) == 1:
        return each[0]
    summary = _together([one.summary for one in each])
    return DatedSummary(summary, max(one.since for one in each), min(one.until for one in each))


def _together(each: Sequence[ClientSummary]) -> ClientSummary:
    """A client of several exercises: what holds for all of them together, else as for the first."""
    refused = all(one.no_session for one in each)
    began = [one.first_session for one in each if one.first_session is not None]
    days = {day for one in each for day in one.trained_on}
    due = due_days((one.days_a_week, one.weekdays) for one in each)
    return each[0].model_copy(
        update={
            "name": None,
            "side": None,
            "exercises": tuple(each),
            "days_a_week": due.a_week,
            "weekdays": due.weekdays,
            "first_session": min(began, default=None),
            "last_seen": _newest(one.last_seen for one in each),
            "looked_at": _newest(one.looked_at for one in each),
            "newest_date": _newest(one.newest_date for one in each),
            "obstacle": each[0].obstacle if refused else None,
            "no_session": each[0].no_session if refused else "",
            "band_age": max(one.band_age for one in each),
            "trained_on": tuple(sorted(days)[-_MOST_DAYS:]),
            "tell": {rule: told for one in each for rule, told in one.tell.items()},
            "pain": max((one.pain for one in each if one.pain is not None), default=None),
            "trained_closed": max(
                (one.trained_closed for one in each if one.trained_closed is not None),
                key=lambda one: one.trained,
                default=None,
            ),
            "sign": next((one.sign for one in each if one.sign is not None), None),
        }
    )


def _newest(dates: Iterable[date | None]) -> date | None:
    return max((one for one in dates if one is not None), default=None)


def _of_exercise(store: ClientStore, now: datetime) -> DatedSummary:
    admission = store.admission(now, store.folded_progress)
    progress, sessions, prescription = store.folded_progress, store.sessions, store.prescription
    due, last = due_days_of([store]), _last_told(store)
    dates = [one.record.last_at for one in sessions] + [one.at for one in store.folder.signed]
    days = sorted({one.record.started.date() for one in sessions if one.record.sets_done})
    newest, until = max(dates, default=now), now.date()
    closed = closed_sessions(store)
    if admission.obstacle != "clock":  # which may be set right at any moment
        ahead = _LEAST_AHEAD + crc32(store.path.name.encode(errors="surrogateescape")) % _SPREAD_AHEAD
        who = (store.profile, prescription, store.content, progress)
        until = unchanged_until(*who, admission.plan, now, ahead)
    summary = ClientSummary(
        folder=store.path.name,
        **_names(store),
        status=progress.status,
        exercise=prescription.exercise,
        position=progress.position,
        **_load(admission.plan),
        repetitions=prescription.dose_at(progress.position).within_range(progress.repetitions),
        sessions=progress.sessions,
        days_a_week=due.a_week,
        weekdays=due.weekdays,
        prescribed_on=prescription.on,
        first_session=progress.first_session.date() if progress.first_session else None,
        last_seen=sessions[-1].record.started.date() if sessions else None,
        looked_at=progress.looked_at.date() if progress.looked_at else None,
        obstacle=admission.obstacle,
        no_session=admission.sentence,
        condition=store.profile.condition,
        irritability=store.profile.irritability,
        band_age=_band_age(store, progress),
        trained_on=tuple(days[-_MOST_DAYS:]),
        weeks=_weeks([one.record for one in sessions]),
        **_at_visits(store, [one.record for one in sessions], closed),
        trained_closed=closed[-1].session if closed else None,
        sign=_sign(last),
        under_sessions=progress.under_sessions,
        pending=len(progress.pending),
        measured=course_of(store),
        rule=last.rule if last else None,
        reason=last.reason if last else "",
        tell=progress.tell,
        limits=prescription.limits,
        newest_date=max(dates).date() if dates else None,
        two_versions=tuple(copy.path.name for copy in store.folder.conflicting_copies),
        damaged=tuple(path.name for path in (*(raw.path for raw in store.folder.damaged), *store.folder.torn)),
    )
    since = max(newest, _start_of_day(now)).astimezone(now.tzinfo)  # in a zone that can go to another process
    return DatedSummary(summary, since, until)


def closed_sessions(store: ClientStore) -> tuple[ClosedRecord, ...]:
    """The records of an exercise that were done after an operation and before that was allowed."""
    records = [one.record for one in store.sessions]
    return trained_while_closed(store.profile, store.prescription, store.content, store.folded_progress, records)


def _last_told(store: ClientStore) -> Decision | None:
    """The last decision on something that was done or told: to open a session and leave it again answers no need."""
    says_nothing = {rule.name for rule in store.content.rules if rule.when == no_set_done.__name__}
    last = store.folded_progress.decision
    if last is None or last.rule not in says_nothing:
        return last
    earlier = (one.decision for one in reversed(store.sessions))
    return next((decision for decision in earlier if decision.rule not in says_nothing), last)


def _sign(decision: Decision | None) -> str | None:
    """The warning sign that a decision was made for."""
    sign = decision.numbers.get("sign") if decision is not None else None
    return sign if isinstance(sign, str) else None


def _at_visits(store: ClientStore, records: Sequence[Record], closed: Sequence[ClosedRecord]) -> dict[str, Any]:
    """What the visits say: when the client was seen, the worst pain since, needs answered, and whether they left."""
    visits = store.folder.visits
    seen, left = last_visit(visits), discharged_at(visits)
    pains = [pain for one in unknown_to(seen, records) if (pain := worst_pain(one)) is not None]
    return {
        "pain": max(pains, default=None),
        "seen_on": seen.day if seen is not None else None,
        "answered": answered_needs(visits, records, [one.record for one in closed]),
        "discharged": left.on if left is not None else None,
        "discharge_reason": left.reason if left is not None else None,
        "since_discharge": sessions_since_discharge(visits, store.records) if left is not None else 0,
    }


def _load(plan: Plan | None) -> dict[str, Any]:
    """The load of the next session; nothing where none can be planned.

    That of the progress is as of the last session, before what was signed or measured since.
    """
    if plan is None:
        return {}
    return {"mean_nm": plan.step.mean_nm, "low_nm": plan.step.low_nm, "high_nm": plan.step.high_nm}


def _names(store: ClientStore) -> dict[str, Any]:
    """What tells one exercise of several from the others; of one exercise nothing."""
    several = len(store.folder.prescribed.names) > 1
    return {"name": store.folder.name, "side": store.profile.side} if several else {}


def _start_of_day(now: datetime) -> datetime:
    return now.replace(hour=0, minute=0, second=0, microsecond=0)


def _weeks(records: Sequence[Record]) -> tuple[ClientWeek, ...]:
    """The weeks up to the last session, the oldest first: no day that passes changes them."""
    last = records[-1].started.date() if records else date.min
    loads: dict[int, float] = {}
    pains: dict[int, int] = {}
    for record in records:
        ago = (last - record.started.date()).days // 7
        if not 0 <= ago < _WEEKS:
            continue
        if record.sets_done:
            loads[ago] = record.rungs.step.mean_nm
        pain = worst_pain(record)
        if pain is not None:
            pains[ago] = max(pain, pains.get(ago, 0))
    return tuple(ClientWeek(load=loads.get(ago), pain=pains.get(ago)) for ago in reversed(range(_WEEKS)))


def _band_age(store: ClientStore, progress: Progress) -> float:
    """The largest uncertainty from use of a band that the programme takes."""
    limits = store.content.limit_values(store.prescription.limits)
    bands = store.profile.with_bands(store.prescription.bands).bands
    return max((age_uncertainty(progress.band_use.get(band.name, 0.0), limits) for band in bands), default=0.0)


def _why(path: Path, content: Content, error: Exception) -> str:
    """Why readable files cannot be judged: what a check finds, else the message of the error, else its type."""
    try:
        found = _first(check_profile(path, content))
    except Exception:
        found = ""
    return found or (printable(str(error)) if isinstance(error, ValueError) else type(error).__name__)


def _first(faults: tuple[Diagnostic, ...]) -> str:
    """The first fault on one line, and how many more there are."""
    if not faults:
        return ""
    first, more = faults[0], len(faults) - 1
    place = f", line {first.line}" if first.line else ""
    others = f" (and {more} more)" if more else ""
    return f"{printable(first.path.name)}{place}: {first.what}{others}"

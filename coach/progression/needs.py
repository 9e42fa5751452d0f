"""What a client needs the therapist for on a given day, the most urgent first."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta

from msgspec import Struct

from coach.model.caseload import ClientSummary, Need

_DAYS_PER_WEEK = 7
_OF_ALL = frozenset({"complete"})  # tests that one exercise among others does not meet


class _NeedCheck(Struct, frozen=True):
    """The arguments of one need condition: client, need, the value of its limit (0 where it has none), and today."""

    client: ClientSummary
    need: Need
    limit: float
    today: date


def needs_of(
    client: ClientSummary, needs: tuple[Need, ...], limits: Mapping[str, float], today: date
) -> tuple[Need, ...]:
    """The needs that apply to a client, in the order of `needs`.

    `limits` are the limits by name with the therapist's own values for this client in place. A client whose files
    cannot be read has only the needs for that.
    """
    if client.fault:
        return tuple(need for need in needs if need.when == "unreadable")
    checks = (_NeedCheck(client, need, limits[need.limit] if need.limit else 0.0, today) for need in needs)
    return tuple(one.need for one in checks if NEED_TESTS[one.need.when](one) and not _is_answered(one))


def not_reached(client: ClientSummary, need: Need) -> tuple[date, ...]:
    """The days on which somebody tried to reach the client about a need, since it was last answered."""
    days = list[date]()
    for one in client.answered:
        if one.need == need.name and one.exercise in (None, client.name):
            days = [*days, one.on] if one.how == "not_reached" else []
    return tuple(days)


def needs_together(each: Sequence[tuple[Need, ...]], needs: tuple[Need, ...]) -> tuple[Need, ...]:
    """The needs of a client of several exercises: those of any of them, but `complete` only where all of them are."""
    together = {True: all, False: any}
    return tuple(one for one in needs if together[one.when in _OF_ALL](one in found for found in each))


def needs_on_list(client: ClientSummary, found: tuple[Need, ...]) -> tuple[Need, ...]:
    """Those of the needs of a client for which the list asks for the therapist.

    A client who was discharged is asked about no more, unless a session came that the discharge did not know of: then
    what may hold that client has been seen by nobody.
    """
    if client.discharged is None:
        return found
    return tuple(need for need in found if need.after_discharge and client.since_discharge)


def adherence(client: ClientSummary, weeks: float, today: date) -> float | None:
    """The share of prescribed days trained, at most 1, over the last `weeks` weeks or since the first session.

    None before the first session.
    """
    if client.first_session is None or not client.days_a_week:
        return None
    since = max(today - timedelta(weeks=weeks) + timedelta(days=1), client.first_session)
    if since > today:
        return None
    due = max(client.due.in_span(since, today), 1.0)
    done = len({day for day in client.trained_on if since <= day <= today})
    return min(done / due, 1.0)


def _is_answered(check: _NeedCheck) -> bool:
    """Whether a need that stands was answered at a visit, and is not to be asked about again yet."""
    need, own = check.need, (None, check.client.name)
    answers = (one for one in reversed(check.client.answered) if one.need == need.name and one.exercise in own)
    newest = next((one for one in answers if one.how != "not_reached"), None)
    if newest is None or (newest.until is not None and check.today >= newest.until):
        return False
    if need.asked_again == "after_another":
        return not newest.closed_missed
    if NEED_TESTS[need.when] is _decided_by and newest.told_since is not None:
        told_again = not set(need.rules).isdisjoint(newest.told_since)
        return not told_again and (newest.until is not None or not need.holds_client)
    if need.asked_again == "after_a_session":
        return newest.known and (newest.until is not None or not need.holds_client)
    days = check.limit * (_DAYS_PER_WEEK if need.when == "weeks_on" else 1)
    return newest.until is not None or need.limit is None or (check.today - newest.on).days <= days


def _in_review_by(check: _NeedCheck) -> bool:
    return check.client.status == "review" and check.client.rule in check.need.rules


def _in_review_otherwise(check: _NeedCheck) -> bool:
    return check.client.status == "review" and check.client.rule not in check.need.rules


def _decided_by(check: _NeedCheck) -> bool:
    """Whether the last decision was made by these rules, or they told the therapist and nothing was signed since."""
    return check.client.rule in check.need.rules or not check.client.tell.keys().isdisjoint(check.need.rules)


def _under_performing(check: _NeedCheck) -> bool:
    return check.client.under_sessions >= check.limit or check.client.rule in check.need.rules


def _not_seen(check: _NeedCheck) -> bool:
    client = check.client
    return client.last_seen is not None and client.status != "complete" and _gone(check, client.last_seen)


def _not_begun(check: _NeedCheck) -> bool:
    client = check.client
    return client.last_seen is None and client.prescribed_on is not None and _gone(check, client.prescribed_on)


def _gone(check: _NeedCheck, since: date) -> bool:
    return (check.today - since).days > check.limit


def _weeks_on(check: _NeedCheck) -> bool:
    """Whether `limit` weeks have passed since the first session, or since the therapist last ended a review."""
    client = check.client
    if client.first_session is None or client.status == "complete":
        return False
    since = max(client.first_session, client.looked_at) if client.looked_at else client.first_session
    return (check.today - since).days >= check.limit * 7


def _irritability_old(check: _NeedCheck) -> bool:
    judged = check.client.irritability
    return judged is not None and check.client.status != "complete" and _gone(check, judged.on)


def _may_not_start(check: _NeedCheck) -> bool:
    """Whether no session may start for another reason than a review."""
    return bool(check.client.no_session) and check.client.status != "review"


def _band_worn(check: _NeedCheck) -> bool:
    return check.client.band_age > check.limit and check.client.status != "complete"


NEED_TESTS: Mapping[str, Callable[[_NeedCheck], bool]] = {
    "unreadable": lambda check: bool(check.client.fault),
    "two_versions": lambda check: bool(check.client.two_versions),
    "dated_ahead": lambda check: check.client.newest_date is not None and check.client.newest_date > check.today,
    "pending": lambda check: check.client.pending > 0,
    "damaged": lambda check: bool(check.client.damaged),
    "in_review_by": _in_review_by,
    "in_review_otherwise": _in_review_otherwise,
    "decided_by": _decided_by,
    "under_performing": _under_performing,
    "not_seen": _not_seen,
    "not_begun": _not_begun,
    "weeks_on": _weeks_on,
    "irritability_old": _irritability_old,
    "may_not_start": _may_not_start,
    "trained_closed": lambda check: check.client.trained_closed is not None,
    "band_worn": _band_worn,
    "answers_differ": lambda check: bool(check.client.measured.unlike),
    "complete": lambda check: check.client.status == "complete",
}

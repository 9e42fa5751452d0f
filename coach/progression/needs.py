"""What a client needs the therapist for today, the most urgent first. Pure: today is passed in."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from coach.model.caseload import Need, Summary


@dataclass(frozen=True)
class _Asked:
    """One test on one client: the client, the need, the value of its limit where it has one, and today."""

    client: Summary
    need: Need
    limit: float
    today: date


def needs_of(client: Summary, needs: tuple[Need, ...], limits: Mapping[str, float], today: date) -> tuple[Need, ...]:
    """The needs of a client in the order of `needs`; `limits` with the therapist's own values for this client."""
    if client.fault:
        return tuple(need for need in needs if need.when == "unreadable")
    asked = (_Asked(client, need, limits[need.limit] if need.limit else 0.0, today) for need in needs)
    return tuple(one.need for one in asked if TESTS[one.need.when](one))


def adherence(client: Summary, weeks: float, today: date) -> float | None:
    """Days trained for each day prescribed, over so many weeks to today or since the first session; more than the
    prescribed days count as no more than all. None before the first session."""
    if client.first_session is None or not client.days_a_week:
        return None
    since = max(today - timedelta(weeks=weeks) + timedelta(days=1), client.first_session)
    days = (today - since).days + 1
    if days < 1:
        return None
    due = max(days * client.days_a_week / 7, 1.0)
    done = len({day for day in client.trained_on if since <= day <= today})
    return min(done / due, 1.0)


def _in_review_by(asked: _Asked) -> bool:
    return asked.client.status == "review" and asked.client.rule in asked.need.rules


def _in_review_otherwise(asked: _Asked) -> bool:
    return asked.client.status == "review" and asked.client.rule not in asked.need.rules


def _decided_by(asked: _Asked) -> bool:
    """By the last decision, or told since and not yet signed."""
    return asked.client.rule in asked.need.rules or not asked.client.tell.keys().isdisjoint(asked.need.rules)


def _under_performing(asked: _Asked) -> bool:
    return asked.client.under_sessions >= asked.limit or asked.client.rule in asked.need.rules


def _not_seen(asked: _Asked) -> bool:
    client = asked.client
    return client.last_seen is not None and client.status != "complete" and _gone(asked, client.last_seen)


def _not_begun(asked: _Asked) -> bool:
    client = asked.client
    return client.last_seen is None and client.prescribed_on is not None and _gone(asked, client.prescribed_on)


def _gone(asked: _Asked, since: date) -> bool:
    return (asked.today - since).days > asked.limit


def _weeks_on(asked: _Asked) -> bool:
    """So many weeks since the first session, or since the therapist last let it go on."""
    client = asked.client
    if client.first_session is None or client.status == "complete":
        return False
    since = max(client.first_session, client.looked_at) if client.looked_at else client.first_session
    return (asked.today - since).days >= asked.limit * 7


TESTS: Mapping[str, Callable[[_Asked], bool]] = {
    "unreadable": lambda asked: bool(asked.client.fault),
    "in_review_by": _in_review_by,
    "in_review_otherwise": _in_review_otherwise,
    "decided_by": _decided_by,
    "under_performing": _under_performing,
    "not_seen": _not_seen,
    "not_begun": _not_begun,
    "weeks_on": _weeks_on,
    "complete": lambda asked: asked.client.status == "complete",
}

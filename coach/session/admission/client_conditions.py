"""What a client's conditions close, cap and say today."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta

from msgspec import Struct

from coach.model.condition import ClientCondition, Closing, Condition, Irritability
from coach.model.content import Content
from coach.model.exercise import Position
from coach.model.message_format import fill
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.progression.rule_book import HIGH_IRRITABILITY


def conditions_of(profile: Profile, content: Content) -> Iterator[tuple[ClientCondition, Condition]]:
    """Each condition of the client with its kind; one of a kind that the content lacks is left to `coach check`."""
    return ((one, content.conditions[one.kind]) for one in profile.condition if one.kind in content.conditions)


def range_cap_deg(profile: Profile, content: Content) -> float | None:
    """The smallest range in degrees that the conditions allow in every position; None where they cap none."""
    caps = (kind.range_max_deg for _, kind in conditions_of(profile, content) if kind.range_max_deg is not None)
    return min(caps, default=None)


def usable_bands(profile: Profile, content: Content) -> Profile:
    """The client with only the bands that the conditions allow."""
    if not any(kind.latex_free_only for _, kind in conditions_of(profile, content)):
        return profile
    return profile.model_copy(update={"bands": tuple(band for band in profile.bands if band.latex_free)})


def no_fault_is_tried(profile: Profile, content: Content) -> bool:
    """Whether a condition of the client forbids to try a fault, even a harmless one."""
    return any(kind.no_fault_is_tried for _, kind in conditions_of(profile, content))


def held_by(profile: Profile, content: Content, today: date) -> str | None:
    """The name of what lets nothing rise today: high irritability, or a condition in its first days; None else."""
    if profile.irritability is not None and profile.irritability.level == "high":
        return HIGH_IRRITABILITY
    for one, kind in conditions_of(profile, content):
        if kind.no_rise_days is not None and today - one.on < timedelta(days=kind.no_rise_days):
            return one.kind
    return None


class Closed(Struct, frozen=True):
    """What lets no session start: a condition of the client, and what of it is in the way."""

    by: ClientCondition
    why: Closing

    def message(self, content: Content, today: date) -> str:
        """Why there is no session, for the client."""
        messages, days = content.messages.conditions, (today - self.by.on).days
        why: Closing = "to_come" if self.why == "permission" and days < 0 else self.why
        return fill(messages.closed[why], {"weeks": max(days, 0) // 7, "name": messages.condition[self.by.kind].name})


def closed_by(profile: Profile, content: Content, progress: Progress, position: Position | None) -> Closed | None:
    """What closes the client's next session: of the newest condition that does; None where none does.

    `position` is the client's, None where the exercise has no such position.
    """
    waiting = tuple(awaiting_permission(profile, content, progress))
    newest_first = sorted(conditions_of(profile, content), key=lambda one: one[0].on, reverse=True)
    for one, kind in newest_first:
        motion = position is not None and position.direction in kind.motions_closed
        high = position is not None and kind.closes(position) and not _is_tested(one, progress)
        bands = kind.latex_free_only and not usable_bands(profile, content).bands
        closing: tuple[tuple[Closing, bool], ...] = (
            ("permission", one in waiting),
            ("motion", motion),
            ("position", high),
            ("bands", bands),
        )
        why = next((why for why, closes in closing if closes), None)
        if why is not None:
            return Closed(one, why)
    return None


def awaiting_permission(profile: Profile, content: Content, progress: Progress) -> Iterator[ClientCondition]:
    """The conditions that need a permission to strengthen and have none."""
    needing = (one for one, kind in conditions_of(profile, content) if kind.needs_permission)
    return (one for one in needing if not _is_allowed(one, progress))


def _is_allowed(one: ClientCondition, progress: Progress) -> bool:
    """Whether strengthening was allowed after the day of a condition, by somebody who knew of it.

    A permission signed before it said what was known is for what was noted up to its day.
    """
    allowed_on, known = progress.strengthening_allowed_on, progress.strengthening_allowed_with
    if allowed_on is None or allowed_on < one.on:
        return False
    return one.known in known if known is not None else one.noted_on is None or one.noted_on <= allowed_on


def _is_tested(one: ClientCondition, progress: Progress) -> bool:
    """Whether the position was cleared with a finding on apprehension by somebody who knew of a condition."""
    tested = (cleared for cleared in progress.cleared if cleared.tested and cleared.position == progress.position)
    return any(cleared.conditions is None or one.known in cleared.conditions for cleared in tested)


def cautions_of(profile: Profile, content: Content) -> tuple[str, ...]:
    """What the client takes care of because of their conditions."""
    messages = (content.messages.conditions.condition[one.kind].client for one, _ in conditions_of(profile, content))
    return tuple(message for message in messages if message is not None)


def therapist_lines(
    conditions: Iterable[ClientCondition],
    irritability: Irritability | None,
    content: Content,
    limits: Mapping[str, float],
    today: date,
) -> tuple[str, ...]:
    """The client's conditions and irritability, for the therapist who decides something: one line each.

    A judgement of irritability older than `irritability_days` is said to be old.
    """
    messages, lines = content.messages.conditions, list[str]()
    for one in conditions:
        kind, own = content.conditions.get(one.kind), messages.condition.get(one.kind)
        if kind is None or own is None:
            continue  # of a kind that the content lacks: `coach check` names it
        numbers = {
            "floor": kind.floor_weeks,
            "range": kind.range_max_deg,
            "days": kind.no_rise_days,
            "above": kind.closed_above_deg,
        }
        what = fill(own.therapist, {name: f"{value or 0:g}" for name, value in numbers.items()})
        lines.append(fill(messages.dated, {"what": what, "on": one.on.isoformat(), "by": one.by}))
    if irritability is not None:
        values = {"level": messages.irritability[irritability.level], "on": irritability.on.isoformat()}
        lines.append(fill(messages.judged, {**values, "by": irritability.by}))
        if irritability.level == "high":
            lines[-1] = f"{lines[-1]} {messages.held}"
        days = (today - irritability.on).days
        if days > limits["irritability_days"]:
            lines[-1] = f"{lines[-1]} {fill(messages.judged_long_ago, {'days': days})}"
    return tuple(lines)


def night_pain_is_known(profile: Profile, content: Content, progress: Progress, days: float, today: date) -> bool:
    """Whether ordinary pain at night is signed as known on this day, and no condition forbids that."""
    on = progress.night_pain_known_on
    if on is None or (today - on).days >= days:
        return False
    return not any(kind.night_pain_stays_a_sign for _, kind in conditions_of(profile, content))

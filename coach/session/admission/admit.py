"""Whether a client may start a session now, with what, and if not, why and what to do.

The session itself, rehearsal, preview, intake, caseload, setup, handout, forecast and export all ask here, so that
none of them promises what another refuses.
"""

from datetime import date, datetime, timedelta
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.progression.state_machine import immediate_action
from coach.session.admission.bad_day import bad_day_lines
from coach.session.admission.client_conditions import closed_by
from coach.session.admission.stop_advice import call_text, reason_told
from coach.session.plan import Plan, open_record, plan_session

Obstacle = Literal["review", "condition", "rule", "load", "copies", "clock"]
"""What is in the way: a review, a condition, a rule, no load, two versions of a file, or a clock set wrong."""


class Admission(Struct, frozen=True):
    """The plan of the session that may start now, or why there is none.

    `obstacle` is None exactly where a session may start, and then there is a plan. Reports show the plan also while
    the client may not start; it is None where no load can be planned. `reason` is for the client, and `advice` says
    what to do until then, one line each.
    """

    plan: Plan | None
    obstacle: Obstacle | None = None
    reason: str = ""
    advice: tuple[str, ...] = ()

    @property
    def may_start(self) -> bool:
        """Whether a session may start now."""
        return self.obstacle is None

    @property
    def sentence(self) -> str:
        """Reason and advice in one paragraph; empty where a session may start."""
        return " ".join((self.reason, *self.advice)).strip()

    def refused_by(self, obstacle: Obstacle, reason: str, advice: tuple[str, ...] = ()) -> "Admission":
        """The same plan, with which no session may start for this reason."""
        refused = Admission(self.plan, obstacle, reason, advice)
        if self.plan is None:
            return refused
        return replace(refused, plan=replace(self.plan, no_session=refused.sentence))


def admit(
    profile: Profile, prescription: Prescription, content: Content, progress: Progress, now: datetime
) -> Admission:
    """Whether the client may start a session at this time.

    Nothing that the client will answer is known yet: a check-in can still stop a session that is admitted here.
    Raises NoExercise where the content lacks the exercise.
    """
    plan, missing = _planned(profile, prescription, content, progress)
    reason, obstacle = _closed(profile, prescription, content, progress, now)
    advice = bad_day_lines(prescription, progress.decision, content)
    if obstacle is None and plan is None:
        return Admission(None, "load", missing)
    if obstacle is None and plan is not None:
        reason, obstacle = _stopped(plan, now)
    return Admission(plan) if obstacle is None else Admission(plan).refused_by(obstacle, reason, advice)


def unchanged_until(
    profile: Profile,
    prescription: Prescription,
    content: Content,
    progress: Progress,
    plan: Plan | None,
    now: datetime,
    days: int,
) -> date:
    """The first day on which `admit` may answer otherwise than now, at most `days` ahead; it may be today.

    `plan` is the one admitted now. Each midnight is looked at; on the day before one with another answer, the answer
    may change at any hour.
    """

    def said(at: datetime) -> tuple[str, Obstacle | None]:
        reason, obstacle = _closed(profile, prescription, content, progress, at)
        return (reason, obstacle) if obstacle is not None or plan is None else _stopped(plan, at)

    midnight, today = now.replace(hour=0, minute=0, second=0, microsecond=0), said(now)
    for day in range(1, days + 1):
        if said(midnight + timedelta(days=day)) != today:
            return (midnight + timedelta(days=day - 1)).date()
    return (midnight + timedelta(days=days)).date()


def _planned(
    profile: Profile, prescription: Prescription, content: Content, progress: Progress
) -> tuple[Plan | None, str]:
    """The plan; without one, what is in the way and what would mend it."""
    try:
        return plan_session(profile, prescription, content, progress), ""
    except NoSession as none:
        return None, str(none)


def _closed(
    profile: Profile, prescription: Prescription, content: Content, progress: Progress, now: datetime
) -> tuple[str, Obstacle | None]:
    """Why the client may not start whatever the load is: a review, or a condition."""
    if progress.status == "review":
        return _review(progress, content), "review"
    positions = content.exercise(prescription.exercise).positions
    here = (one for one in positions if one.name == progress.position)
    closed = closed_by(profile, content, progress, next(here, None))
    return ("", None) if closed is None else (closed.message(content, now.date()), "condition")


def _stopped(plan: Plan, now: datetime) -> tuple[str, Obstacle | None]:
    """What the rule says that would stop the session at its check-in, whatever the client answers."""
    action = immediate_action(plan.before, open_record(plan, now), plan.book, "check_in")
    return (action.sentence, "rule") if action is not None and action.stops else ("", None)


def _review(progress: Progress, content: Content) -> str:
    decision, messages = progress.decision, content.messages.client.offer
    urgent = call_text(decision, content) if decision is not None else ""
    reason = {"reason": reason_told(decision, content) if decision is not None else messages.by_therapist}
    return f"{urgent} {fill(messages.review, reason)}".strip()

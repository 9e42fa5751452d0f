"""Whether a client may start a session now, with what, and if not, why and what to do.

The session itself, rehearsal, preview, intake, caseload, setup, handout and export all ask here, so that none of them
promises what another refuses.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.progression.state_machine import ImmediateAction, immediate_action
from coach.session.admission.bad_day import bad_day_lines
from coach.session.admission.client_conditions import closed_by, closed_message
from coach.session.phrases import urgency_text
from coach.session.plan import Plan, open_record, plan_session

Obstacle = Literal["review", "condition", "rule"]


@dataclass(frozen=True)
class Admission:
    """The plan of the session that may start now, or why there is none.

    `plan` is None only where the client may not start and no load can be planned either; reports show the plan also
    while the client is in review. `obstacle` is None exactly where a session may start. `reason` is for the client,
    and `advice` says what to do until then, one line each.
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
        """Reason and advice in one paragraph."""
        return " ".join((self.reason, *self.advice)).strip()


def admit(
    profile: Profile, prescription: Prescription, content: Content, progress: Progress, now: datetime
) -> Admission:
    """Whether the client may start a session at this time.

    Nothing that the client will answer is known yet: a check-in can still stop a session that is admitted here.
    Raises NoExercise where the content lacks the exercise, and NoSession, with what to change in the files, where the
    client might start and no load can be planned.
    """
    reason, obstacle = _closed(profile, prescription, content, progress, now)
    advice = bad_day_lines(prescription, progress.decision, content)
    if obstacle is not None:
        try:
            plan: Plan | None = plan_session(profile, prescription, content, progress)
        except NoSession:
            plan = None
        return Admission(plan, obstacle, reason, advice)
    plan = plan_session(profile, prescription, content, progress)
    stopped = _stopped(plan, now)
    return Admission(plan) if stopped is None else Admission(plan, "rule", stopped.sentence, advice)


def _closed(
    profile: Profile, prescription: Prescription, content: Content, progress: Progress, now: datetime
) -> tuple[str, Obstacle | None]:
    """Why the client may not start whatever the load is: a review, or a condition."""
    if progress.status == "review":
        return _review(progress, content), "review"
    direction = content.exercise(prescription.exercise).position(progress.position_deg).direction
    closed = closed_by(profile, content, progress, direction)
    return ("", None) if closed is None else (closed_message(closed[0], content, now.date()), "condition")


def _stopped(plan: Plan, now: datetime) -> ImmediateAction | None:
    """The rule that would stop the session at its check-in, whatever the client answers."""
    action = immediate_action(plan.before, open_record(plan, now), plan.book, "check_in")
    return action if action is not None and action.stops else None


def _review(progress: Progress, content: Content) -> str:
    decision = progress.decision
    urgent = urgency_text(decision, content) if decision is not None else ""
    reason = {"reason": decision.reason if decision is not None else ""}
    return f"{urgent} {fill(content.messages.client.offer.review, reason)}".strip()

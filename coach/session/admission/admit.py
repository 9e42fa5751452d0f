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

Obstacle = Literal["review", "condition", "rule", "no_load"]


@dataclass(frozen=True)
class Admission:
    """The plan of the session that may start now, or why there is none.

    `plan` is None only where no load can be planned at all: reports that only show a plan can show it also while the
    client is in review. `obstacle` is None exactly where a session may start. `reason` is for the client, `advice`
    says what to do until then, one line each, `technical` is what a therapist has to change in the files.
    """

    plan: Plan | None
    obstacle: Obstacle | None = None
    reason: str = ""
    advice: tuple[str, ...] = ()
    technical: str = ""

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
    """Whether the client may start a session at this time. Raises NoExercise where the content lacks the exercise.

    Nothing that the client will answer is known yet: a check-in can still stop a session that is admitted here.
    """
    plan, none = _plan(profile, prescription, content, progress)
    if progress.status == "review":
        return Admission(plan, "review", _review(progress, content), _advice(prescription, progress, content))
    direction = content.exercise(prescription.exercise).positions[0].direction
    closed = closed_by(profile, content, progress, direction)
    if closed is not None:
        return Admission(plan, "condition", closed_message(closed[0], content, now.date()))
    if plan is None:
        what, fix = none if none is not None else ("", "")
        return Admission(None, "no_load", fill(content.messages.client.offer.no_load, {}), technical=f"{what}: {fix}")
    stopped = _stopped(plan, now)
    if stopped is not None:
        return Admission(plan, "rule", stopped.sentence, _advice(prescription, progress, content))
    return Admission(plan)


def _plan(
    profile: Profile, prescription: Prescription, content: Content, progress: Progress
) -> tuple[Plan | None, tuple[str, str] | None]:
    try:
        return plan_session(profile, prescription, content, progress), None
    except NoSession as none:
        return None, (none.what, none.fix)


def _stopped(plan: Plan, now: datetime) -> ImmediateAction | None:
    """The rule that would stop the session at its check-in, whatever the client answers."""
    action = immediate_action(plan.before, open_record(plan, now), plan.book, "check_in")
    return action if action is not None and action.stops else None


def _review(progress: Progress, content: Content) -> str:
    decision = progress.decision
    urgent = urgency_text(decision, content) if decision is not None else ""
    reason = {"reason": decision.reason if decision is not None else ""}
    return f"{urgent} {fill(content.messages.client.offer.review, reason)}".strip()


def _advice(prescription: Prescription, progress: Progress, content: Content) -> tuple[str, ...]:
    return bad_day_lines(prescription, progress.decision, content)

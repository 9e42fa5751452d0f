"""What a session needs before it begins, from the profile, the prescription, the content and the progress. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from coach.mechanics.ladder import Ladder, build, find, first_step, rungs
from coach.model.content_set import Content
from coach.model.exercise import Position
from coach.model.load import LoadStep, Rungs
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.rule_book import RuleBook, rule_book
from coach.session.script import Script, write_script


@dataclass(frozen=True)
class Plan:
    """One client's session of today: where they stand, the ladder, the rules, and the load step to begin with."""

    profile: Profile
    prescription: Prescription
    content: Content
    book: RuleBook
    before: Progress
    position: Position
    limits: Mapping[str, float]
    ladder: Ladder
    step: LoadStep

    @property
    def repetitions(self) -> int:
        """The goal for every set of today, inside the range of the dose."""
        dose = self.prescription.dose
        return min(max(self.before.repetitions, dose.repetitions_min), dose.repetitions_max)

    def rungs(self, step: LoadStep) -> Rungs:
        """A load step with its neighbours on today's ladder."""
        return rungs(self.ladder, step, self.limits)


def plan_session(profile: Profile, prescription: Prescription, content: Content, before: Progress) -> Plan:
    """Everything for the next session. NoLoadStep where no band at hand gives a load in this position."""
    position = content.exercises[prescription.exercise].position(before.position_deg)
    limits = content.limit_values(prescription.limits)
    ladder = build(profile, prescription, position, limits)
    return Plan(
        profile=profile,
        prescription=prescription,
        content=content,
        book=rule_book(content),
        before=before,
        position=position,
        limits=limits,
        ladder=ladder,
        step=_step_to_begin_with(profile, prescription, position, ladder, before, limits),
    )


def _step_to_begin_with(
    profile: Profile,
    prescription: Prescription,
    position: Position,
    ladder: Ladder,
    before: Progress,
    limits: Mapping[str, float],
) -> LoadStep:
    """Where the client stands; at the very start the first step, in a position just unlocked the lowest (C12)."""
    if before.load is not None:
        return find(ladder, before.load)
    if position.abduction_deg == prescription.positions[0]:
        return first_step(ladder, profile, prescription, position, limits)
    return ladder.steps[0]


def open_record(plan: Plan, at: datetime) -> Record:
    """A new record: what is asked of the client today, and nothing done yet."""
    return Record(
        format=1,
        started=at,
        exercise=plan.before.exercise,
        position_deg=plan.before.position_deg,
        dose=plan.prescription.dose,
        limits=plan.prescription.limits,
        repetitions=plan.repetitions,
        rungs=plan.rungs(plan.step),
    )


def script_of(plan: Plan, record: Record) -> Script:
    """The script of a record on this plan."""
    questions = plan.content.questions
    return write_script(record, plan.position, questions, plan.limits, plan.before.last_session is not None)

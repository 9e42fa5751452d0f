"""The plan of a session: everything that it needs before it starts."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from coach.mechanics.ladder import (
    Ladder,
    NoLoadStep,
    build_ladder,
    find_step,
    first_step,
    nearest_steps,
    rungs,
    same_step,
)
from coach.mechanics.torque import available_deg
from coach.model.content import Content
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep, Rungs
from coach.model.prescription import Prescription
from coach.model.profile import AvailableRange, Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.rule_book import RuleBook
from coach.session.script import Script, write_script


class NotOnLadder(NoLoadStep):
    """An instruction asks for a load that is not on the ladder; `nearest` names the most similar load steps."""

    def __init__(self, asked: ChosenStep, ladder: Ladder) -> None:
        self.asked = asked
        what = (
            f"an instruction overrules to {_described(asked)}, which is no load step at {ladder.position_deg} "
            "degrees, because it is slack at the start, over the ceiling, or not at home"
        )
        self.nearest = "; ".join(
            f"{_described(step)}, {step.mean_nm:.2f} Nm" for step in nearest_steps(ladder, asked)
        )
        super().__init__(f"{what}: sign one of the load ladder, such as {self.nearest}")


def _described(step: LoadStep | ChosenStep) -> str:
    return f"the {step.grade} band, strands {step.strands}, at {step.distance_cm} cm"


@dataclass(frozen=True)
class Plan:
    """One client's next session: where the client stands, the ladder, the rules, and the load step to start with."""

    profile: Profile
    prescription: Prescription
    content: Content
    book: RuleBook
    before: Progress
    position: Position
    limits: Mapping[str, float]
    ladder: Ladder
    step: LoadStep
    rehearsal: bool = False

    @property
    def repetitions(self) -> int:
        """The goal for every set of today, within the repetition range of the dose."""
        dose = self.prescription.dose
        return min(max(self.before.repetitions, dose.repetitions_min), dose.repetitions_max)

    def rungs(self, step: LoadStep) -> Rungs:
        """A load step with its neighbours on today's ladder."""
        return rungs(self.ladder, step, self.limits)

    def substitute_steps(self, step: LoadStep) -> dict[str, LoadStep]:
        """For each other band on the shelf, its heaviest load step that can replace `step`, by grade.

        Neither the mean nor the peak torque is above that of `step`. A band without such a load step is left out.
        """
        ladder = self.ladder.steps
        fits = [other for other in ladder if other.mean_nm <= step.mean_nm and other.peak_nm <= step.peak_nm]
        found = {other.grade: other for other in fits if other.grade != step.grade}
        return {band.name: found[band.name] for band in self.profile.bands if band.name in found}


def plan_session(profile: Profile, prescription: Prescription, content: Content, before: Progress) -> Plan:
    """Plan the next session.

    Raises:
        NoExercise, NoPosition: the content does not have the exercise or the position.
        NoLoadStep: no band at hand gives a load in this position.
        ImpossibleAnchor: a floor mark would put the anchor inside the body.
    """
    position = content.exercise(prescription.exercise).position(before.position_deg)
    limits = content.limit_values(prescription.limits)
    profile = _capped(profile.with_bands(prescription.bands), position, before)
    ladder = build_ladder(profile, prescription, position, limits)
    return Plan(
        profile=profile,
        prescription=prescription,
        content=content,
        book=RuleBook(content),
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
    """The load step that the therapist asked for, else the one reached, else the one to start with.

    In the first position that is the first step, in a newly cleared position the lowest.
    """
    if before.asked is not None:
        return _asked(before.asked, ladder)
    if before.load is not None:
        return find_step(ladder, before.load)
    if position.abduction_deg == prescription.positions[0]:
        return first_step(ladder, profile, prescription, position, limits)
    return ladder.steps[0]


def _asked(asked: ChosenStep, ladder: Ladder) -> LoadStep:
    """The load step that an instruction asked for.

    Raises NotOnLadder if it is not on the ladder: an instruction cannot exceed the ceiling or slacken the start.
    """
    step = same_step(ladder, asked)
    if step is None:
        raise NotOnLadder(asked, ladder)
    return step


def _capped(profile: Profile, position: Position, before: Progress) -> Profile:
    """The profile with the range in this position limited by the therapist's cap."""
    here = position.abduction_deg
    for cap in before.range_caps:
        if cap.position_deg == here and cap.available_deg < available_deg(profile, position):
            capped = AvailableRange(
                position_deg=here, direction=position.direction, available_deg=cap.available_deg, on=date.max
            )
            return profile.model_copy(update={"ranges": (*profile.ranges, capped)})
    return profile


def open_record(plan: Plan, at: datetime) -> Record:
    """A new record: what is asked of the client today, without entries."""
    return Record(
        format=1,
        started=at,
        exercise=plan.before.exercise,
        position_deg=plan.before.position_deg,
        dose=plan.prescription.dose,
        limits=plan.prescription.limits,
        repetitions=plan.repetitions,
        rungs=plan.rungs(plan.step),
        positions=plan.prescription.positions,
        activities=activities_due(plan, at),
        target_nm=plan.prescription.target_nm(plan.before.position_deg),
    )


def activities_due(plan: Plan, at: datetime) -> tuple[str, ...]:
    """The client's own activities if they are due for a rating; else empty."""
    ratings = plan.before.ratings
    due = not ratings or (at.date() - ratings[-1].on).days >= plan.limits["activity_days"]
    return plan.prescription.activities if due else ()


def script_of(plan: Plan, record: Record) -> Script:
    """The script of a record of this plan."""
    content, morning = plan.content, asks_morning_after(plan, record.started)
    return write_script(record, plan.position, content.questions, plan.limits, content.checks, morning)


def asks_morning_after(plan: Plan, at: datetime) -> bool:
    """Whether there was a session before and a night since, so that there is a morning to ask about."""
    last = plan.before.last_session
    return last is not None and at.date() > last.date()

"""The plan of a session: everything that it needs before it starts."""

from collections.abc import Mapping
from datetime import date, datetime
from functools import cached_property

from msgspec import Struct

from coach.mechanics.anchor_placement import place_anchor
from coach.mechanics.first_step import (
    allowed_peak_nm,
    first_step,
    lowest_step,
    propose_target_nm,
    refuse_above_strength,
)
from coach.mechanics.ladder import (
    Ladder,
    NoLoadStep,
    find_step,
    helping_reason,
    known_ladder,
    nearest_steps,
    place_on_arc,
    rungs,
    same_step,
)
from coach.mechanics.load_steps import find_refusal
from coach.mechanics.torque import arc_at
from coach.model import step_names
from coach.model.base import position_in_words
from coach.model.content import Content
from coach.model.content_entries import FormQuestion
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep, Rungs
from coach.model.option_names import TellBy
from coach.model.prescription import Prescription
from coach.model.profile import Profile, TrainingPlan
from coach.model.programme.due_days import DueDays
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.rule_book import RuleBook
from coach.session.admission.client_conditions import (
    held_by,
    night_pain_is_known,
    no_fault_is_tried,
    usable_bands,
)
from coach.session.admission.range_limit import range_limit, within
from coach.session.lessons.pacing import trial_is_due
from coach.session.lessons.teaching import Teaching
from coach.session.script import Script, Teach, Trial, practice_script, write_script
from coach.session.tempo import SetTiming


class NotOnLadder(NoLoadStep):
    """A file asks for a load that is not on the ladder; `nearest` names the most similar load steps."""

    def __init__(self, asked: ChosenStep, ladder: Ladder, *, first: bool) -> None:
        self.asked, self.first = asked, first
        asks = "the first step is" if first else "an instruction overrules to"
        what = (
            f"{asks} {_described(asked)}, which is no load step at {position_in_words(ladder.position)}, "
            "because it goes slack, is over the ceiling, pulls the arm along, or is not at home"
        )
        self.nearest = "; ".join(
            f"{_described(step)}, {step.mean_nm:.2f} {step.load_unit}{_likely(step)}"
            for step in nearest_steps(ladder, asked)
        )
        super().__init__(f"{what}: {'name' if first else 'sign'} one of the load ladder, such as {self.nearest}")


class StandingRefused(NoLoadStep):
    """The load at which the client stands may not be used any more."""


def _described(step: LoadStep | ChosenStep) -> str:
    where = "with {} cm underfoot" if isinstance(step, LoadStep) and step.underfoot else "at {} cm"
    return f"the {step.grade} band, strands {step.strands}, {where.format(step.distance_cm)}"


def _likely(step: LoadStep) -> str:
    known = step.low_nm is not None and step.high_nm is not None
    return f", likely {step.low_nm:.1f} to {step.high_nm:.1f}" if known else ""


class Plan(Struct, frozen=True, dict=True):
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
    practice: bool = False
    training: TrainingPlan | None = None
    trained_on: tuple[date, ...] = ()
    due: DueDays | None = None
    """The days with a set of any exercise before this session."""
    name: str | None = None
    """The exercise of the programme; None where the client has only a prescription."""
    alternates_with: str | None = None
    """The exercise of the programme with which it is done in turn, set by set."""
    measures: bool = False
    """Whether the client is told how to measure a set with a sensor."""
    tell_by: TellBy | None = None
    both_sides: bool = False
    """Whether the client has exercises on both sides, so that a question says which shoulder it is about."""
    range_limit: float | None = None
    """Where the range of today is capped, in degrees or centimetres; None where it is the client's own."""
    no_session: str = ""
    """Why no session may start with this plan now, and what to do; empty where one may, or nobody asked."""

    @property
    def repetitions(self) -> int:
        """The goal for every set of today, within the repetition range of the dose."""
        return self.prescription.dose.within_range(self.before.repetitions)

    @property
    def pain_limit(self) -> str:
        """The client's limit of pain as it is told, in points of 10."""
        return f"{self.limits['pain_max']:g}"

    @cached_property
    def _teaching(self) -> Teaching:
        sets = self.prescription.dose.sets
        return Teaching(self.before, self.position, self.content.questions, self.limits, sets, self.trial_due)

    @property
    def lessons(self) -> tuple[FormQuestion, ...]:
        """The form questions whose faults are shown before the first set of today."""
        return self._teaching.lessons

    @property
    def form_of_sets(self) -> tuple[tuple[str, ...], ...]:
        """The names of the form questions after each set of today."""
        return self._teaching.form_of_sets

    @cached_property
    def trial_due(self) -> bool:
        """Whether the client's own tempo is timed today."""
        return trial_is_due(self.before, self.position, self.content.questions, self.limits)

    @property
    def faults_may_be_tried(self) -> bool:
        """Whether harmless faults may be tried: never with the arm high, or with a condition that forbids it."""
        forbidden = self.before.repaired_on is not None or no_fault_is_tried(self.profile, self.content)
        return not forbidden and self.position.abduction_deg < self.limits["try_fault_below_deg"]

    @cached_property
    def allowed_peak_nm(self) -> float | None:
        """The highest peak torque that measured strength allows; None where none was measured."""
        return allowed_peak_nm(self.profile, self.prescription, self.position, self.limits)

    @cached_property
    def target_nm(self) -> float | None:
        """The mean torque at which the position is done with: set by the therapist, else proposed from strength.

        None is proposed for the last position: what is enough there, only the therapist sets.
        """
        here = self.position.name
        target_nm = self.prescription.target_nm(here)
        if target_nm is not None or here == self.prescription.positions[-1]:
            return target_nm
        return propose_target_nm(self.ladder, self.profile, self.prescription, self.position, self.limits)

    def rungs(self, step: LoadStep) -> Rungs:
        """A load step with its neighbours on today's ladder."""
        return rungs(self.ladder, step, self.allowed_peak_nm)

    @cached_property
    def rungs_of_today(self) -> Rungs:
        """The load step of today with its neighbours."""
        return self.rungs(self.step)

    def at_most(self, step: LoadStep, mean_nm: float) -> LoadStep:
        """The heaviest load step of at most this mean torque, never above `step`; without one, the lightest."""
        lighter = [one for one in self.ladder.found if one.mean_nm <= step.mean_nm]
        below = [one for one in lighter if one.mean_nm <= mean_nm]
        return self.ladder.with_interval(below[-1] if below else (lighter or [step])[0])

    def substitute_steps(self, step: LoadStep) -> dict[str, LoadStep]:
        """For each other band on the shelf, its heaviest load step that can replace `step`, by grade.

        Neither the mean nor the peak torque is above that of `step`, and it is truly lighter by the chance
        easier_surely. A band without such a load step is left out.
        """
        comparison, surely = self.ladder.comparison, self.limits["easier_surely"]
        found = dict[str, LoadStep]()
        for other in reversed(self.ladder.found):
            below = other.mean_nm <= step.mean_nm and other.peak_nm <= step.peak_nm
            wanted = other.grade != step.grade and other.grade not in found
            if wanted and below and comparison.chance_heavier(step, other) >= surely:
                found[other.grade] = self.ladder.with_interval(other)
        return {band.name: found[band.name] for band in self.profile.bands if band.name in found}


def plan_session(profile: Profile, prescription: Prescription, content: Content, before: Progress) -> Plan:
    """Plan the next session.

    Raises:
        NoExercise, NoPosition: the content does not have the exercise or the position.
        NoLoadStep: no band at hand gives a load in this position.
        ImpossibleAnchor: a floor mark would put the anchor inside the body.
    """
    position = content.exercise(prescription.exercise).position(before.position)
    prescription = prescription.model_copy(update={"dose": prescription.dose_at(position.name)})
    limits = content.limit_values(prescription.limits)
    profile = usable_bands(profile.with_bands(prescription.bands), content)
    if not profile.bands:
        raise NoLoadStep("none of the bands is known to be free of latex: measure one with latex_free = true")
    limit = range_limit(profile, position, before, content)
    profile = within(profile, position, limit)
    ladder = known_ladder(profile, prescription, position, limits, before.band_use)
    step = _Choice(profile, prescription, position, ladder, limits).step_to_begin_with(before)
    if same_step(ladder, step) is None:
        ladder = ladder.with_step(step)
    step = same_step(ladder, step) or find_step(ladder, step) or ladder.with_interval(ladder.found[0])
    return Plan(
        profile=profile,
        prescription=prescription,
        content=content,
        book=RuleBook(content),
        before=before,
        name=before.name,
        position=position,
        limits=limits,
        ladder=ladder,
        step=step,
        range_limit=limit,
    )


class _Choice(Struct, frozen=True):
    """What the load of today is chosen from."""

    profile: Profile
    prescription: Prescription
    position: Position
    ladder: Ladder
    limits: Mapping[str, float]

    def step_to_begin_with(self, before: Progress) -> LoadStep:
        """The load step that the therapist asked for, else the one reached, else the one to start with.

        In the first position that is the first step, in a newly cleared position the lowest.
        """
        if before.asked is not None:
            return self._asked(before.asked, first=False)
        if before.load is not None:
            return self._standing(before.load)
        if self.position.name != self.prescription.positions[0]:
            return lowest_step(self.ladder, self.profile, self.prescription, self.position, self.limits)
        if self.prescription.first_step is not None:
            return self._asked(self.prescription.first_step, first=True)
        return first_step(self.ladder, self.profile, self.prescription, self.position, self.limits)

    def _asked(self, asked: ChosenStep, *, first: bool) -> LoadStep:
        """The load step that the therapist named; no instruction goes past the ceiling or the taut start.

        Only an overruling load may be above the allowed share of measured strength, by the share that it names.
        """
        step = same_step(self.ladder, asked)
        if step is None:
            raise NotOnLadder(asked, self.ladder, first=first)
        share = None if first else asked.share
        refuse_above_strength(step, share, self.profile, self.prescription, self.position, self.limits)
        return step

    def _standing(self, load: LoadStep) -> LoadStep:
        """The setup that the client has reached, also where the ladder has changed.

        Where its band or its mark was taken away, it is the heaviest step that is not above it.
        """
        step = same_step(self.ladder, load)
        if step is not None:
            return step
        fixed_cm = self.prescription.fixed(self.position.name).distance_cm
        at_home = load.grade in {band.name for band in self.profile.bands}
        if at_home and fixed_cm in (None, load.distance_cm):
            return self._off_the_ladder(load)
        below = find_step(self.ladder, load)
        if below is None:
            raise StandingRefused(
                f"the load is {_described(load)}, which is no longer at home, and every load step is above it: "
                "overrule to a step of the load ladder, or give a lighter band"
            )
        return below

    def _off_the_ladder(self, load: LoadStep) -> LoadStep:
        """The step at the client's own setup, as computed now. Raises StandingRefused where it may not be used."""
        anchor = place_anchor(self.profile, self.prescription, self.position, self.limits).anchor
        arc = arc_at(self.profile, self.position, load, load.distance_cm, anchor)
        refusal = find_refusal(arc, self.limits)
        if refusal is None:
            step = load.model_copy(update={"mean_nm": round(arc.mean_nm, 4), "peak_nm": round(arc.peak_nm, 4)})
            return self.ladder.comparison.with_interval(step)
        at = f"the load is {_described(load)}, and at {place_on_arc(self.position, refusal.at)} the band"
        then = "overrule to a step of the load ladder"
        if refusal.reason == "helps":
            what, _, fix = helping_reason(self.position, refusal.at).rpartition(": ")
            raise StandingRefused(f"the load is {_described(load)}, and {what}: {then}, {fix}")
        if refusal.reason == "slack":
            raise StandingRefused(f"{at} is not taut: {then}")
        ceiling = f"{self.limits['elongation_max'] * 100:.0f} %"
        raise StandingRefused(f"{at} is stretched more than {ceiling} beyond its resting length: {then}")


def open_record(plan: Plan, at: datetime) -> Record:
    """A new record: what is asked of the client today, without entries."""
    return Record(
        format=1,
        started=at,
        exercise=plan.before.exercise,
        position=plan.before.position,
        dose=plan.prescription.dose,
        limits=plan.prescription.limits,
        repetitions=goal_on(plan, at),
        rungs=plan.rungs_of_today,
        positions=plan.prescription.positions,
        form=plan.form_of_sets,
        activities=activities_due(plan, at),
        target_nm=plan.target_nm,
        held_by=held_by(plan.profile, plan.content, at.date()),
        night_pain_known=night_pain_is_known(
            plan.profile, plan.content, plan.before, plan.limits["night_pain_days"], at.date()
        )
        or None,
    )


def activities_due(plan: Plan, at: datetime) -> tuple[str, ...]:
    """The client's own activities if they are due for a rating; else empty."""
    ratings = plan.before.ratings
    due = not ratings or (at.date() - ratings[-1].on).days >= plan.limits["activity_days"]
    return plan.prescription.activities if due else ()


def script_of(plan: Plan, record: Record) -> Script:
    """The script of a record of this plan."""
    if plan.practice:
        return practice_script(plan.limits)
    content, about, seconds = plan.content, about_last(plan, record.started), plan.limits["reading_s"]
    tried = plan.faults_may_be_tried
    lessons = [
        Teach(step_names.lesson(one.name), one.name, one.fault, tried and one.harmless, seconds)
        for one in plan.lessons
    ]
    trial = _trial(plan, record) if plan.trial_due else None
    warm_up = bool(content.messages.exercises[plan.before.exercise].at(plan.position.name).warm_up)
    return write_script(record, plan.position, plan.limits, content.checks, about, lessons, trial, warm_up)


def _trial(plan: Plan, record: Record) -> Trial:
    """The repetitions that are timed, at the tempo of the dose."""
    repetitions = round(plan.limits["trial_repetitions"])
    right = SetTiming(0.0, repetitions, record.dose.tempo)
    return Trial(step_names.REACH, repetitions, right.total_s)


def about_last(plan: Plan, at: datetime) -> str | None:
    """What is asked about the time since the last session: how pain settled, or after a long gap its reason.

    Nothing on the same day: there was no morning after it yet.
    """
    before = plan.before
    last = before.trained_at or before.last_session
    days = None if last is None else (at.date() - last.date()).days
    if not days or days <= plan.limits["long_gap_days"]:
        return step_names.SETTLED if days else None
    seen = before.looked_at is not None and before.last_session is not None and before.looked_at > before.last_session
    return None if seen else step_names.GAP


def days_since_last(plan: Plan, at: datetime) -> int | None:
    """Calendar days since the last session; None before the first."""
    last = plan.before.last_session
    return None if last is None else (at.date() - last.date()).days


def goal_on(plan: Plan, at: datetime) -> int:
    """The goal of every set; the bottom of the range after a gap so long that more than one step is taken off."""
    days = days_since_last(plan, at)
    away = days is not None and days > plan.limits["longer_gap_days"]
    return plan.prescription.dose.repetitions_min if away else plan.repetitions

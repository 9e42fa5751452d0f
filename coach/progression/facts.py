"""Facts extracted from a session record: the only input of the rule conditions."""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from functools import cached_property

from msgspec import Struct

from coach.model import step_names
from coach.model.base import Name
from coach.model.content_entries import Fault, Level
from coach.model.exercise import Exercise
from coach.model.load_step import LoadStep
from coach.model.measured.tempo_kept import MeasuredFault
from coach.model.progress import Progress
from coach.model.record import OwnTempo, Record
from coach.progression.pain_reports import PAIN_TROUBLES, answer_taken_back, pain_in_sets, worst_with_check_in
from coach.progression.rule_book import RuleBook
from coach.progression.set_facts import SetFacts, facts_of_set, form_asked
from coach.progression.timing import timing_is_off

EQUIPMENT = "equipment"
_WEEK = timedelta(days=7)

Answers = Mapping[str, int | str]


class SessionFacts(Struct, frozen=True, dict=True):
    """The progress before the session, the record, and the facts of one level of it."""

    before: Progress
    record: Record
    exercise: Exercise
    limits: Mapping[str, float]
    answers: Answers
    sets: tuple[SetFacts, ...]
    sign: str | None
    equipment: str | None
    unmet: str | None
    pain: int | None
    worst: int | None
    pain_unknown: bool
    pain_left_open: bool
    sharp: bool
    form_asked: Mapping[str, int | None]
    measured: tuple[MeasuredFault, ...] = ()

    @property
    def goal(self) -> int:
        """Repetitions asked of every set."""
        return self.record.repetitions

    @property
    def step(self) -> LoadStep:
        """The load step that the session began with."""
        return self.record.rungs.step

    @property
    def pain_now(self) -> int | None:
        """Pain at the check-in, None where it was not said."""
        pain = self.answers.get(step_names.PAIN_NOW)
        return pain if isinstance(pain, int) else None

    @property
    def settled(self) -> str | None:
        """How the pain settled after the last session; None where it was not asked."""
        return self._named(step_names.SETTLED)

    @property
    def gap_reason(self) -> str | None:
        """Why the last session was so long ago; None where it was not asked."""
        return self._named(step_names.GAP)

    @property
    def relief(self) -> str | None:
        """The painkiller or the injection that may mask pain in this session; None where there was none."""
        named, on = self._named(step_names.RELIEF), self.before.injection_on
        if named is not None and named != "none":
            return named
        masked = on is not None and (self.record.started.date() - on).days < self.limits["injection_days"]
        return "injection" if masked else None

    @property
    def usual_pain(self) -> int | None:
        """The client's usual level of pain; before there is one, that of today's check-in."""
        return self.pain_now if self.before.usual_pain is None else self.before.usual_pain

    @property
    def pain_is_high(self) -> bool:
        """Pain at the check-in so far above the usual level that the load is lowered.

        It is so at `pain_above_usual` above it; or at any level above it after a session in which pain already rose
        that far: then it has not come back to its level before the session (C6).
        """
        usual, now, worst, rise = (
            self.usual_pain,
            self.pain_now,
            self.before.worst_pain,
            self.limits["pain_above_usual"],
        )
        if usual is None or now is None:
            return False
        return now >= usual + rise or (now > usual and worst is not None and worst >= usual + rise)

    @cached_property
    def pain_allows_more(self) -> bool:
        """Whether pain and the client's conditions allow a rise; unknown or masked pain never does."""
        settled = self.settled in (None, "hours") and self.record.held_by is None
        return settled and self.relief is None and not self.pain_unknown and not self.sharp and not self.pain_too_near

    @property
    def pain_too_near(self) -> bool:
        """Whether the worst pain was at the limit, or more than `pain_rise_allowed` above the usual level."""
        usual, worst, limit = self.usual_pain, self.worst, self.limits["pain_max"]
        if worst is None or usual is None:
            return False
        return worst > usual + self.limits["pain_rise_allowed"] or (worst >= limit and worst > 0)

    @property
    def days_away(self) -> int:
        """Days since the last session; 0 before the first."""
        last = self.before.last_session
        return 0 if last is None else self.days_since(last)

    @property
    def seen_since(self) -> bool:
        """Whether the therapist has ended a review since the last session."""
        looked, last = self.before.looked_at, self.before.last_session
        return looked is not None and last is not None and looked > last

    @property
    def gap_share(self) -> float:
        """The share of the load that may be left after the days away; 1 where they are no long gap."""
        return gap_share(self.days_away, self.limits)

    def _named(self, step: str) -> str | None:
        answer = self.answers.get(step)
        return answer if isinstance(answer, str) else None

    @cached_property
    def weekly_pain(self) -> tuple[float, float] | None:
        """Mean pain of the seven days to today and of the seven before; None where either has too few check-ins."""
        today, now = self.record.started.date(), self.pain_now
        if now is None:
            return None
        earlier = [(one.on, one.pain) for one in self.before.pains]
        this_week = [now, *[pain for on, pain in earlier if today - _WEEK < on <= today]]
        last_week = [pain for on, pain in earlier if today - 2 * _WEEK < on <= today - _WEEK]
        if min(len(this_week), len(last_week)) < self.limits["pain_check_ins"]:
            return None
        return sum(this_week) / len(this_week), sum(last_week) / len(last_week)

    @property
    def trained(self) -> bool:
        """Whether any set was done, to its end or not."""
        return bool(self.record.sets_done)

    @property
    def second_today(self) -> bool:
        """Whether a set was done earlier on this day, by the local date of each record."""
        last = self.before.last_session
        return last is not None and last.date() == self.record.started.date()

    @property
    def sets_missing(self) -> int:
        """Sets that are due and were not done to their end."""
        return self.record.sets_due - len({done.number for done in self.sets if done.whole})

    @property
    def not_sure(self) -> int:
        """Form questions answered "not sure", over all sets."""
        return sum([done.not_sure for done in self.sets])

    @property
    def unanswered(self) -> int:
        """Questions that stayed open: of the check-in, and of the sets done."""
        check_in = (step_names.PAIN_NOW not in self.answers) + (step_names.SIGN not in self.answers)
        return check_in + sum([done.unanswered for done in self.sets])

    @property
    def known(self) -> bool:
        """Whether no more is unknown than `not_sure_allowed`, and the load was the one computed."""
        return not self.unanswered and self.unmet is None and self.not_sure <= self.limits["not_sure_allowed"]

    @property
    def unasked(self) -> str | None:
        """The first form question that was not asked in the last `form_asked_sessions` sessions; None if all were."""
        most = self.limits["form_asked_sessions"]
        return next((name for name, ago in self.form_asked.items() if ago is None or ago >= most), None)

    @cached_property
    def all_clean(self) -> bool:
        """Whether every set that is due was done at the goal and clean, with nothing unknown."""
        return self.sets_missing <= 0 and self.known and all(done.clean(self.goal) for done in self.sets)

    @property
    def clean_sets(self) -> int:
        """Sets of clean form in a row up to the one done last, over sessions; none after a measured fault."""
        if self.measured:
            return 0
        count = self.before.clean_sets
        for done in self.sets:
            count = count + 1 if done.clean_form else 0
        return count

    @property
    def trial(self) -> OwnTempo | None:
        """The client's own tempo as it was timed last, today or before."""
        return self.record.own_tempo or self.before.trial

    @property
    def timing_off(self) -> bool:
        """Whether the client's own tempo was off when it was timed last."""
        return timing_is_off(self.trial, self.limits)

    @property
    def pace_sets(self) -> int:
        """Clean sets in a row at this load and setup.

        None after pain, a new setup, timing that was off, or a measured fault.
        """
        changed = self.record.current_rungs != self.record.rungs
        if changed or self.measured or self.timing_off or self.sharp or self.pain_unknown or self.pain_too_near:
            return 0
        count = self.before.pace_sets
        for done in self.sets:
            count = count + 1 if done.clean_form else 0
        return count

    @property
    def newest_fault(self) -> Fault | None:
        """The first fault of the last set that had any, in this session or before it; None where there was none."""
        named = [done.faults[0] for done in self.sets if done.faults]
        return named[-1] if named else self.before.newest_fault

    @property
    def two_more(self) -> bool:
        """Whether the client had two more clean repetitions in reserve after the last set; "not sure" is a no."""
        return self.answers.get(step_names.in_set(self.record.sets_today, step_names.TWO_MORE)) == "yes"

    @property
    def light(self) -> bool:
        """Whether the work was light: an effort up to `light_effort`, and two more clean repetitions in reserve."""
        effort = self.answers.get(step_names.in_set(self.record.sets_today, step_names.EFFORT))
        return self.two_more and isinstance(effort, int) and effort <= self.limits["light_effort"]

    @cached_property
    def ready(self) -> bool:
        """Whether every set was clean at the top of the range, with two in reserve, at the planned load."""
        if self.goal < self.record.dose.repetitions_max or not self.two_more:  # this alone rules out most sessions
            return False
        clean = self.all_clean and self.unasked is None and not self.timing_off and not self.record.other_band
        return clean and not self.measured and self.pain_allows_more

    @property
    def ready_sessions(self) -> int:
        """Ready sessions in a row including this one; a second session on one day does not count."""
        return self.before.ready_sessions + (self.ready and not self.second_today)

    @property
    def sessions_wanted(self) -> int:
        """Ready sessions in a row required for the next step: doubled each time that load was too much."""
        base, following = round(self.limits["sessions_in_a_row"]), self.record.rungs.next_step
        fell = self.before.fell_from_nm
        again = not self.at_target and following is not None and fell is not None and following.mean_nm >= fell
        return base * 2**self.before.falls if again else base

    @cached_property
    def at_target(self) -> bool:
        """Whether the load has reached the target of the position, or without one the heaviest step at home."""
        target, rungs = self.record.target_nm, self.record.rungs
        if target is not None:
            return self.step.mean_nm >= target
        return rungs.next_step is None and rungs.no_next in (None, "top")

    @property
    def may_go_on(self) -> bool:
        """Whether a heavier load or the next position is earned: ready for `sessions_wanted` sessions in a row."""
        return self.ready and not self.second_today and self.ready_sessions >= self.sessions_wanted

    @property
    def next_position(self) -> Name | None:
        """The position after this one in the goal, capped or not; None where the record names none."""
        positions, here = self.record.positions, self.record.position
        after = positions[positions.index(here) + 1 :] if here in positions else ()
        return after[0] if after else None

    @property
    def capped(self) -> bool:
        """Whether the next position is above what the therapist allows."""
        cap, following = self.before.position_cap, self.next_position
        return cap is not None and following is not None and self.exercise.is_above(following, cap)

    @property
    def last_position(self) -> bool:
        """Whether this is the goal's last position."""
        return self.record.positions[-1:] == (self.record.position,)

    @property
    def leads_on(self) -> bool:
        """Whether there is anything to progress to: a heavier step, a position below the cap, or completion."""
        if not self.at_target:
            return self.record.rungs.next_step is not None
        return self.last_position or (self.next_position is not None and not self.capped)

    @property
    def frozen(self) -> bool:
        """Whether the therapist has frozen the load on the day of this session."""
        return self.before.is_frozen_on(self.record.started.date())

    @property
    def under_performed(self) -> bool:
        """A set below the bottom of the repetition range, by the client's own strength and not by a stop."""
        bottom = self.record.dose.repetitions_min
        return any(done.repetitions < bottom and not done.halted for done in self.sets)

    def days_since(self, earlier: datetime) -> int:
        """Calendar days since an earlier time, by local dates, so that daylight saving has no effect."""
        return (self.record.started.date() - earlier.date()).days


def gap_share(days_away: int, limits: Mapping[str, float]) -> float:
    """The share of the load that may be left after days away; 1 where they are no long gap.

    Of two shares that a clinic or a programme has put the wrong way round, the lower one holds.
    """
    if days_away > limits["longer_gap_days"]:
        return min(limits["longer_gap_load"], limits["long_gap_load"])
    return limits["long_gap_load"] if days_away > limits["long_gap_days"] else 1.0


def extract_facts(
    before: Progress,
    record: Record,
    book: RuleBook,
    level: Level,
    number: int = 0,
    measured: tuple[MeasuredFault, ...] = (),
) -> SessionFacts:
    """Extract the facts of one level of a session.

    `level` is the check-in alone, the set with this `number` alone, or the whole session; `before` is the progress
    at the start of the session; `measured` the measured faults that hold the load. Raises NoExercise where the
    content lacks the exercise of the record.
    """
    numbers = {"check_in": (), "set": (number,), "session": range(1, record.dose.sets + 1)}[level]
    answers, pains = record.answers, pain_in_sets(record)
    done = [facts_of_set(one, record, book) for one in record.sets_done]
    troubles = _troubles(answers, numbers, book)
    signs = [name for name in troubles if name not in (EQUIPMENT, *PAIN_TROUBLES)]
    signs = [name for name in signs if name != step_names.NIGHT_PAIN or not _is_known(record, level)]
    return SessionFacts(
        before=before,
        record=record,
        exercise=book.content.exercise(record.exercise),
        limits=book.limits(record.limits),
        answers=answers,
        sets=tuple([one for one in done if one.number in numbers]),
        sign=signs[0] if signs else None,
        equipment=EQUIPMENT if EQUIPMENT in troubles else book.failed_check(answers),
        unmet=book.unmet_check(answers),
        pain=_worst_pain(answers, numbers, with_check_in=level != "set"),
        worst=worst_with_check_in(record, pains),
        pain_unknown=pains.unfinished or answer_taken_back(record),
        pain_left_open=pains.left_open and not signs,
        sharp=pains.sharp,
        form_asked=form_asked(before, record, done, book),
        measured=measured,
    )


def _troubles(answers: Answers, numbers: Iterable[int], book: RuleBook) -> list[str]:
    """The troubles reported at the check-in or in these sets.

    Pain in a region that counts as a warning sign is reported as that sign.
    """
    named = [answers.get(step_names.SIGN)]
    for number in numbers:
        region = book.content.regions.get(str(answers.get(step_names.in_set(number, step_names.TROUBLE_WHERE))))
        named += [answers.get(step_names.in_set(number, step_names.TROUBLE)), region.sign if region else None]
    return [str(answer) for answer in named if answer is not None and answer != "none"]


def _worst_pain(answers: Answers, numbers: Iterable[int], with_check_in: bool) -> int | None:
    """The highest pain reported in these sets, and at the check-in if that counts; None where none was."""
    steps = [step_names.PAIN_NOW] if with_check_in else []
    for number in numbers:
        steps += [step_names.in_set(number, step_names.PAIN), step_names.in_set(number, step_names.TROUBLE_PAIN)]
    reported = [answer for answer in map(answers.get, steps) if isinstance(answer, int)]
    return max(reported, default=None)


def _is_known(record: Record, level: Level) -> bool:
    """Whether pain at night is the ordinary one, when lying on that side, that the therapist signed as known.

    At the check-in it is not judged before the client was asked what kind it is.
    """
    kind = record.answer(step_names.NIGHT)
    return bool(record.night_pain_known) and (kind == "on_that_side" or (kind is None and level == "check_in"))

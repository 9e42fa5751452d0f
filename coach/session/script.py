"""The script: the ordered steps of one session with their planned times."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Literal, get_args

from msgspec import Struct
from msgspec.structs import replace

from coach.model import step_names
from coach.model.content_entries import Check
from coach.model.exercise import Position
from coach.model.record import GapReason, LoadChanged, NightPain, Record, Relief, SetDone, Settled
from coach.session.tempo import SetTiming

# Where the checks are made, with the page of the setup that sends the client there.
_PLACES = {"anchor": step_names.PLACE, "mark": step_names.ARM}
SETTLED: tuple[Settled, ...] = get_args(Settled)
GAP_REASONS: tuple[GapReason, ...] = get_args(GapReason)
NIGHT_PAINS: tuple[NightPain, ...] = get_args(NightPain)
RELIEF: tuple[Relief, ...] = get_args(Relief)

Scale = Literal["zero_to_ten", "yes_no", "yes_no_not_sure", "how_often", "sign", "trouble", "listed"]
_OF_FORM: tuple[Scale, ...] = ("how_often", "yes_no_not_sure")


class Show(Struct, frozen=True):
    """A page to read; the client goes on when ready. `seconds` is the time that the preview plans for it."""

    name: str
    seconds: float


class Teach(Struct, frozen=True):
    """The right form beside one fault, moving; the client goes on when ready. `tried`: the fault may be tried."""

    name: str
    question: str
    fault: str
    tried: bool
    seconds: float


class Trial(Struct, frozen=True):
    """The movement without the band at the client's own tempo, timed between two keys; `right_s` is the tempo's."""

    name: str
    repetitions: int
    right_s: float

    @property
    def seconds(self) -> float:
        """The time that the preview plans for it."""
        return self.right_s


class SetupAgain(Struct, frozen=True):
    """The setup for a lower load; not due if the load did not change before this set.

    Before set 1 it follows the check-in and says what changed since the first page, and why. In a `turn` it is the
    setup of the exercise that comes now, of two that are done in turn, and always due.
    """

    name: str
    before_set: int
    seconds: float
    turn: bool = False


class Ask(Struct, frozen=True):
    """A question answered with one key.

    `after`: a step and its answer after which alone the question is due. `options`: the answers, for a question
    whose answers depend on the plan. `before_set`: a check that is due only if this set has another band.
    """

    name: str
    question: str
    scale: Scale
    seconds: float
    set_number: int = 0
    after: tuple[str, str] | None = None
    options: tuple[str | int, ...] = ()
    before_set: int = 0

    @property
    def group(self) -> str:
        """The group of the question: its questions are judged together, and the client can go back among them."""
        return step_names.group_of(self.name)

    @property
    def of_form(self) -> bool:
        """Whether it is a form question: these are judged with their whole group only."""
        return self.scale in _OF_FORM


class Work(Struct, frozen=True):
    """One set of repetitions."""

    name: str
    number: int
    time: SetTiming

    @property
    def seconds(self) -> float:
        """Seconds from the count-in to the end of the last return."""
        return self.time.total_s


class Rest(Struct, frozen=True):
    """The rest before set `before_set`."""

    name: str
    before_set: int
    seconds: float


Step = Show | Teach | Trial | SetupAgain | Ask | Work | Rest


class Script(Struct, frozen=True):
    """The steps of a session in order."""

    steps: tuple[Step, ...]

    def due_from(self, at_step: int, record: Record) -> int:
        """The index of the first step from `at_step` on that is due; the last step always is.

        A rest is not due where every set before it in this script was skipped: there is nothing to recover from.
        """
        done = {one.number for one in record.sets_done}
        for index in range(at_step, len(self.steps) - 1):
            step = self.steps[index]
            earlier = {one.number for one in self.steps[:index] if isinstance(one, Work)}
            rested = isinstance(step, Rest) and bool(earlier) and not earlier & done
            if is_due(step, record) and not rested:
                return index
        return len(self.steps) - 1

    def scheduled_steps(self) -> Iterator[tuple[float, Step]]:
        """Each step of a session without faults, with its planned start in seconds."""
        start_s = 0.0
        for step in self.steps:
            if (isinstance(step, SetupAgain) and not step.turn) or _only_sometimes(step):
                continue
            yield start_s, step
            start_s += step.seconds

    @property
    def seconds(self) -> float:
        """The planned length of a session without faults."""
        return sum(step.seconds for _, step in self.scheduled_steps())


def _only_sometimes(step: Step) -> bool:
    """Whether it is a question that is due only after one answer, or before a set with another band."""
    return isinstance(step, Ask) and (step.after is not None or step.before_set > 0)


def write_script(
    record: Record,
    position: Position,
    limits: Mapping[str, float],
    checks: Mapping[str, Check],
    about_last: str | None,
    lessons: Iterable[Teach],
    trial: Trial | None,
    warm_up: bool = False,
) -> Script:
    """The script of a session: check-in, setup with its checks, sets with questions and rests, the end.

    `about_last` is the step that asks about the time since the last session, `step_names.SETTLED` or
    `step_names.GAP`; None where nothing is asked about it. Each part of the setup is followed by the checks of
    its place, so that one walk does for all of them. A `warm_up` is done before anything is set up. `lessons`
    come before the movement without the band, which is timed where there is a `trial`.
    """
    reading_s, question_s = limits["reading_s"], limits["question_s"]
    steps: list[Step] = [Show(step_names.TODAY, reading_s), Show(step_names.CAUTIONS, reading_s)]
    steps += _about_pain(about_last, limits["question_s"])
    steps.append(Ask(step_names.SIGN, "sign", "sign", reading_s))
    if record.night_pain_known:
        after = (step_names.SIGN, step_names.NIGHT_PAIN)
        steps.append(Ask(step_names.NIGHT, "night", "listed", question_s, after=after, options=NIGHT_PAINS))
    asked = [step_names.activity(number) for number in range(1, len(record.activities) + 1)]
    steps += [Ask(name, step_names.ACTIVITY, "zero_to_ten", question_s) for name in asked]
    steps.append(SetupAgain(step_names.in_set(1, "setup_again"), 1, reading_s))
    steps += [Show(step_names.WARM_UP, 2 * reading_s)] if warm_up else []
    asked_at = _checks_by_place(position, checks)
    for where, show in _PLACES.items():
        steps.append(Show(show, 2 * reading_s if show == step_names.PLACE else reading_s))
        steps += [Ask(step_names.check(name), name, "yes_no", limits["check_s"]) for name in asked_at[where]]
    steps += [*lessons, trial or Show(step_names.REACH, reading_s)]
    of_band = checks_of_another_band(position, checks)
    for number in range(1, record.sets_today + 1):
        steps += _set_steps(record, number, position, limits, of_band)
    steps.append(Show(step_names.CLOSING, reading_s))
    return Script(tuple(_with_a_way_to_the_mark(steps, round(limits["first_count_in_s"]))))


def _checks_by_place(position: Position, checks: Mapping[str, Check]) -> dict[str, list[str]]:
    """The checks of a position in the order in which they are made, by the place at which they are."""
    return {where: [name for name in position.checks if checks[name].where == where] for where in _PLACES}


def checks_of_another_band(position: Position, checks: Mapping[str, Check]) -> tuple[str, ...]:
    """The checks that are made again where another band or other strands are taken up between two sets."""
    names = (name for at_place in _checks_by_place(position, checks).values() for name in at_place)
    return tuple(name for name in names if not checks[name].once)


def _with_a_way_to_the_mark(steps: Iterable[Step], count_in_s: float) -> Iterator[Step]:
    """The steps, with a count-in of at least `count_in_s` before each set that begins with a key.

    The client is at the keys then. After a rest a set begins by itself, with the client on the mark.
    """
    before: Step | None = None
    for step in steps:
        by_key = isinstance(step, Work) and not isinstance(before, Rest)
        if isinstance(step, Work) and by_key and step.time.count_in_s < count_in_s:
            step = replace(step, time=replace(step.time, count_in_s=count_in_s))
        yield step
        before = step


def practice_script(limits: Mapping[str, float]) -> Script:
    """The movement alone: the page from which it is led, and the end."""
    return Script((Show(step_names.REACH, limits["reading_s"]), Show(step_names.CLOSING, limits["reading_s"])))


def _about_pain(about_last: str | None, seconds: float) -> Iterator[Step]:
    """Pain now; how it settled after the last session, or why it is so long ago; painkillers and injections."""
    yield Ask(step_names.PAIN_NOW, "pain_now", "zero_to_ten", seconds)
    if about_last is not None:
        options = GAP_REASONS if about_last == step_names.GAP else SETTLED
        yield Ask(about_last, step_names.within_group(about_last), "listed", seconds, options=options)
    yield Ask(step_names.RELIEF, "relief", "listed", seconds, options=RELIEF)


def _set_steps(
    record: Record,
    number: int,
    position: Position,
    limits: Mapping[str, float],
    of_band: Iterable[str],
) -> Iterator[Step]:
    """The rest before a set, the set, and the questions after it: pain first, because it may end the session.

    Where another band is taken up before the rest, the checks `of_band` come first.
    """
    dose, seconds = record.dose, limits["question_s"]
    if number > 1:
        yield SetupAgain(step_names.in_set(number, "setup_again"), number, limits["reading_s"])
        for name in of_band:
            again = step_names.check_again(name, number)
            yield Ask(again, name, "yes_no", limits["check_s"], before_set=number)
        yield Rest(step_names.in_set(number, "rest"), number, float(dose.rest_s))
    yield Work(step_names.in_set(number, "work"), number, SetTiming(dose.count_in_s, record.repetitions, dose.tempo))
    yield Ask(step_names.in_set(number, step_names.PAIN), step_names.PAIN, "zero_to_ten", seconds, number)
    for name in _form_questions(record, number, position):
        yield Ask(step_names.in_set(number, name), name, "how_often", seconds, number)
    if number == record.sets_today:
        effort, two_more = step_names.EFFORT, step_names.TWO_MORE
        yield Ask(step_names.in_set(number, effort), effort, "zero_to_ten", seconds, number)
        yield Ask(step_names.in_set(number, two_more), two_more, "yes_no_not_sure", seconds, number)


def _form_questions(record: Record, number: int, position: Position) -> tuple[str, ...]:
    """The form questions after a set: those that the record names, else all of the position."""
    return record.form[number - 1] if number <= len(record.form) else position.questions


def remaining_script(script: Script, record: Record, again: tuple[str, ...] = ()) -> Script:
    """The rest of the script of an interrupted session; the questions named in `again` are asked once more.

    Open questions about a set already done come first, while it is remembered; then the setup and its checks again,
    because the band may have been taken down; then the remaining sets.
    """
    done = {one.number for one in record.sets_done}
    answered = record.answers.keys() - set(again)
    left: list[Step] = []
    late: list[Step] = []
    for step in script.steps[2:]:
        if set_of(step) in record.skipped:
            continue
        if isinstance(step, Ask) and (step.set_number in done or step.group == "check_in"):
            left += [step] if step.name not in answered else []
        elif isinstance(step, Work):
            late += [step] if step.number not in done else []
        elif (isinstance(step, SetupAgain) and step.before_set == 1) or step.name == step_names.WARM_UP:
            late += [step] if not done else []
        elif isinstance(step, Teach):
            late += [step] if not done and step.fault not in record.taught else []
        elif isinstance(step, Trial):
            late.append(step if record.own_tempo is None else Show(step.name, 0.0))
        elif isinstance(step, Rest | SetupAgain) or (isinstance(step, Ask) and step.before_set):
            late += [step] if any(isinstance(earlier, Work) for earlier in late) else []
        else:
            late.append(step)
    return replace(script, steps=tuple(_with_a_way_to_the_mark((*left, *late), _longest_count_in_s(script))))


def turn_script(script: Script, record: Record, rest_s: float, seconds: float) -> Script:
    """The rest of a script whose turn it is again: its setup, what is left of the rest, its next set, and so on.

    The checks were made before the first set, and the band stays where it is fixed.
    """
    number = min(sets_left(record))
    at = next(index for index, step in enumerate(script.steps) if isinstance(step, Work) and step.number == number)
    setup = SetupAgain(step_names.in_set(number, "turn"), number, seconds, turn=True)
    rest = [Rest(step_names.in_set(number, "rest"), number, rest_s)] if rest_s > 0 else []
    steps = _with_a_way_to_the_mark((setup, *rest, *script.steps[at:]), _longest_count_in_s(script))
    return replace(script, steps=tuple(steps))


def _longest_count_in_s(script: Script) -> float:
    """The longest count-in of a script: that of a set before which the client walks to the mark."""
    return max((step.time.count_in_s for step in script.steps if isinstance(step, Work)), default=0.0)


def sets_left(record: Record) -> tuple[int, ...]:
    """The numbers of the sets of today that were neither done nor skipped."""
    passed = {*record.skipped, *(done.number for done in record.sets_done)}
    return tuple(number for number in range(1, record.sets_today + 1) if number not in passed)


def set_of(step: Step) -> int:
    """The number of the set that a step belongs to, from 1; 0 for a step outside the sets."""
    match step:
        case Work():
            return step.number
        case Rest() | SetupAgain():
            return step.before_set
        case Ask():
            return step.set_number or step.before_set
        case Show() | Teach() | Trial():
            return 0


def is_due(step: Step, record: Record) -> bool:
    """Whether a step has to be done, given the answers and load changes so far."""
    number = set_of(step)
    if number and record.skipped_because(number) is not None:
        return False
    if isinstance(step, Ask) and step.question != step_names.PAIN and _stopped_before_one(number, record):
        return False
    if isinstance(step, Ask) and step.after is not None:
        return record.answer(step.after[0]) == step.after[1]
    if isinstance(step, Ask) and step.before_set:
        return another_band_since_last_set(record)
    if isinstance(step, SetupAgain):
        return step.turn or changed_since_last_set(record)
    return True


def _stopped_before_one(number: int, record: Record) -> bool:
    """Whether a set was ended before one whole repetition: there is no form to ask about, only pain."""
    return any(one.number == number and not one.repetitions for one in record.sets_done)


def changed_since_last_set(record: Record) -> bool:
    """Whether the next set has another load than the set before it, or than the first page said."""
    for entry in reversed(record.entry):
        if isinstance(entry, LoadChanged | SetDone):
            return isinstance(entry, LoadChanged)
    return False


def another_band_since_last_set(record: Record) -> bool:
    """Whether the next set has another band than the set before it, or other strands of it.

    Before the first set the checks of the setup are made with the band of that set.
    """
    if not record.rungs_of_sets or not changed_since_last_set(record):
        return False
    was, now = record.rungs_of_sets[-1].step, record.current_rungs.step
    return (was.grade, was.strands) != (now.grade, now.strands)

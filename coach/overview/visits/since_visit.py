"""What was done since the client was last seen, for the top of the page of a visit."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta

from msgspec import Struct, field
from msgspec.structs import replace

from coach.model.base import Name, Side
from coach.model.content import Content
from coach.model.measured.measured_set import MeasuredSet
from coach.model.measured.tempo_kept import timed
from coach.model.message_format import fill
from coach.model.messages.visits import SinceMessages
from coach.model.programme.due_days import DueDays, due_days
from coach.model.programme.visit_file import VisitFile
from coach.model.record import Record
from coach.overview.measured_sets.course_lines import course_lines
from coach.overview.measured_sets.measured_lines import SetBeside
from coach.progression.decision_messages import decided_for_therapist
from coach.progression.facts import extract_facts
from coach.progression.measured.course import measured_course
from coach.progression.pain_reports import left_open
from coach.progression.programme.after_visit import is_unknown_to, last_visit, sign_of, worst_pain
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import JudgedRecord
from coach.session.admission.trained_closed import ClosedRecord, closed_line
from coach.session.phrases import exercise_line


class ExerciseCourse(Struct, frozen=True):
    """One exercise of the programme with every session of it, in order, and the measured sets by their numbers.

    `closed` are the sessions that were done after an operation and before that was allowed.
    """

    exercise: Name
    side: Side
    due: DueDays
    judged: tuple[JudgedRecord, ...]
    measured: Mapping[tuple[datetime, Name | None, int], MeasuredSet] = field(default_factory=dict)
    closed: tuple[ClosedRecord, ...] = ()

    @property
    def measured_sets(self) -> tuple[tuple[JudgedRecord, MeasuredSet], ...]:
        """Each set that was done and measured, with its session."""
        keyed = (
            (one, (one.record.started, one.record.name, done.number))
            for one in self.judged
            for done in one.record.sets_done
        )
        return tuple((one, self.measured[key]) for one, key in keyed if key in self.measured)


def due_days_of_courses(courses: Sequence[ExerciseCourse]) -> DueDays:
    """The days on which a session of these exercises is due."""
    return due_days((one.due.a_week, one.due.weekdays) for one in courses)


def measured_days(courses: Sequence[ExerciseCourse]) -> int:
    """The days on which a sensor measured a set."""
    return len({one.record.started.date() for course in courses for one, _ in course.measured_sets})


class SinceVisit(Struct, frozen=True):
    """The exercises with what was done of each since a visit; without a visit since the beginning."""

    visit: VisitFile | None
    since: date
    today: date
    exercises: tuple[ExerciseCourse, ...]

    @property
    def records(self) -> tuple[Record, ...]:
        """Every record since, in order of time."""
        each = (one.record for course in self.exercises for one in course.judged)
        return tuple(sorted(each, key=lambda one: one.started))


def since_visit(
    courses: Sequence[ExerciseCourse], visits: Sequence[VisitFile], prescribed_on: date, today: date
) -> SinceVisit:
    """What was done since the newest visit; sessions that it did not know of count, whatever their date."""
    visit = last_visit(visits)
    first = min((one.record.started.date() for course in courses for one in course.judged), default=prescribed_on)
    exercises = tuple(
        replace(
            course,
            judged=tuple(one for one in course.judged if is_unknown_to(visit, one.record)),
            closed=tuple(one for one in course.closed if is_unknown_to(visit, one.record)),
        )
        for course in courses
    )
    return SinceVisit(visit, min(first, today) if visit is None else visit.day, today, exercises)


def since_lines(since: SinceVisit, content: Content) -> tuple[str, ...]:
    """The title, then a line for each thing that is to be known before the client is seen."""
    messages, days = content.messages.therapist.visit.since, (since.today - since.since).days
    title = messages.from_start if since.visit is None else messages.title
    lines = [fill(title, {"day": since.since.isoformat(), "days": days} if since.visit is not None else {})]
    if not since.records:
        return (*lines, messages.nothing, *_agreed(since, messages))
    lines += [*_kept(since, messages), *_signs(since, content), *_stops(since, content), *_closed(since, content)]
    lines += _pain(since, messages)
    for course in since.exercises:
        lines += _exercise(course, content)
    lines += [*_activities(since, content), *_told(since, messages), *_agreed(since, messages)]
    return tuple(lines)


def _kept(since: SinceVisit, messages: SinceMessages) -> Iterator[str]:
    """Sessions and days, of those that were due."""
    trained = {one.started.date() for one in since.records if one.sets_done}
    sessions = len({one.started for one in since.records})
    asked = due_days_of_courses(since.exercises)
    # The day of a visit is not asked for, and where no weekdays are named, the first session is no day after another.
    begins = since.visit is None and asked.are_named
    due = max(round(asked.in_span(since.since + timedelta(days=0 if begins else 1), since.today)), 1)
    values = {"sessions": sessions, "done": len(trained), "due": due, "percent": round(100 * len(trained) / due)}
    yield fill(messages.kept, values)
    measured = measured_days(since.exercises)
    if measured:
        yield fill(messages.measured, {"measured": measured, "done": len(trained)})


def _signs(since: SinceVisit, content: Content) -> Iterator[str]:
    """Each warning sign with its day."""
    names = content.messages.safety.sign
    told = dict[tuple[date, str], None]()
    for one in since.records:
        sign = sign_of(one)
        if sign is not None:
            told[one.started.date(), sign] = None
    for day, sign in told:
        values = {"day": day.isoformat(), "sign": names.get(sign, sign)}
        yield fill(content.messages.therapist.visit.since.sign, values)


def _stops(since: SinceVisit, content: Content) -> Iterator[str]:
    """Each other stop with its day, also one before the first set; one of several exercises once."""
    book, message = RuleBook(content), content.messages.therapist.visit.since.stop
    judged = sorted((one for course in since.exercises for one in course.judged), key=lambda one: one.record.started)
    stops = (one for one in judged if one.decision.move == "stop" and sign_of(one.record) is None)
    told = {(one.record.started.date(), decided_for_therapist(one.decision, book)): None for one in stops}
    yield from (fill(message, {"day": day.isoformat(), "sentence": sentence}) for day, sentence in told)


def _closed(since: SinceVisit, content: Content) -> Iterator[str]:
    """Each session that was done before it was allowed, of several exercises once."""
    told = {closed_line(one.session, content): None for course in since.exercises for one in course.closed}
    yield from told


def _pain(since: SinceVisit, messages: SinceMessages) -> Iterator[str]:
    """The worst pain with its day, and the last."""
    pains = [(pain, one.started.date()) for one in since.records if (pain := worst_pain(one)) is not None]
    if not pains:
        if not any(left_open(one.entry) for one in since.records):
            yield messages.no_pain
        return
    worst, day = max(pains, key=lambda one: one[0])
    yield fill(messages.pain, {"worst": worst, "day": day.isoformat(), "last": pains[-1][0]})


def _exercise(course: ExerciseCourse, content: Content) -> Iterator[str]:
    """One exercise: what was done, its load, its tempo and its faults, in one line."""
    done = [one for one in course.judged if one.record.sets_done]
    if not done:
        return
    messages = content.messages.therapist.visit.since
    sets = [(one, each) for one in done for each in one.record.sets_done]
    values = {
        "exercise": exercise_line(course.exercise, course.side, content),
        "sets": len(sets),
        "repetitions": sum(each.repetitions for _, each in sets),
        "asked": sum(one.record.repetitions for one, _ in sets),
    }
    parts = [fill(messages.exercise, values), _load(done, messages)]
    beside = [SetBeside(of_set, one, content) for one, of_set in course.measured_sets]
    if beside:
        counts = {"at_tempo": sum(one.at_tempo for one in beside), "count": sum(timed(one.one) for one in beside)}
        parts.append(fill(messages.at_tempo, counts))
    yield "; ".join((*parts, _faults(done, content))) + "."
    limits = content.limit_values(done[-1].record.limits)
    measured = measured_course(done, course.measured, RuleBook(content), limits)
    yield from tuple(course_lines(measured, content))[1:]  # how the answers agree; the rest was said above


def _load(done: Sequence[JudgedRecord], messages: SinceMessages) -> str:
    first, last = done[0].record.rungs.step, done[-1].decision.load
    values = {"before": f"{first.mean_nm:.2f}", "after": f"{last.mean_nm:.2f}", "unit": last.load_unit}
    return fill(messages.load_alike if values["before"] == values["after"] else messages.load, values)


def _faults(done: Sequence[JudgedRecord], content: Content) -> str:
    """Each fault with the number of sets in which it was answered, the most frequent first."""
    messages, book, found = content.messages.therapist.visit.since, RuleBook(content), Counter[str]()
    for one in done:
        for facts in extract_facts(one.before, one.record, book, "session").sets:
            found.update(set(facts.faults))
    if not found:
        return messages.no_faults
    names = content.messages.form.fault
    each = (fill(messages.fault, {"fault": names[name], "sets": sets}) for name, sets in found.most_common())
    return fill(messages.faults, {"faults": ", ".join(each)})


def _activities(since: SinceVisit, content: Content) -> Iterator[str]:
    """The client's own activities, from the last rating before to the newest one."""
    judged = [one for course in since.exercises for one in course.judged]
    if not judged:
        return
    newest = max(judged, key=lambda one: one.record.started).after.ratings
    before = min(judged, key=lambda one: one.record.started).before.ratings
    if not newest or newest == before:
        return
    limit = content.limit_values(judged[-1].record.limits)["activity_change"]
    first = (before or newest)[-1 if before else 0].mean
    values = {"before": f"{first:.1f}", "after": f"{newest[-1].mean:.1f}", "limit": f"{limit:g}"}
    yield fill(content.messages.therapist.visit.since.activities, values)


def _told(since: SinceVisit, messages: SinceMessages) -> Iterator[str]:
    """What the program asks the therapist to know, each once."""
    judged = (one for course in since.exercises for one in course.judged)
    told = {sentence: None for one in judged for sentence in one.decision.tell.values()}
    yield from (fill(messages.tell, {"sentence": sentence}) for sentence in told)


def _agreed(since: SinceVisit, messages: SinceMessages) -> Iterator[str]:
    """What was agreed at the last visit, and the day that was set for this one."""
    if since.visit is not None and since.visit.agreed:
        yield fill(messages.agreed, {"text": since.visit.agreed})
    if since.visit is not None and since.visit.next_visit is not None:
        yield fill(messages.next_visit, {"day": since.visit.next_visit.isoformat()})

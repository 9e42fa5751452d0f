"""How much of a course a sensor measured, the dose received, and how far answers can be relied on, in sentences."""

from collections.abc import Iterator

from coach.model.content import Content
from coach.model.measured.measured_course import MeasuredCourse
from coach.model.message_format import fill


def course_lines(course: MeasuredCourse, content: Content) -> Iterator[str]:
    """What was measured and received, then the answers beside it; nothing where no set was measured."""
    messages = content.messages.therapist.measured
    if not course.sets:
        return
    yield fill(messages.course, _counts(course))
    each = [
        fill(messages.agreement_of, {"what": messages.compared[what], "same": one.same, "of": one.of})
        for what, one in course.agreement.items()
    ]
    if each:
        yield fill(messages.agreement, {"each": ", ".join(each)})
    if course.unlike:
        named = [str(messages.compared[what]) for what in course.unlike]
        yield fill(messages.unlike, {"what": ", ".join(named)})


def forecast_line(course: MeasuredCourse, content: Content) -> Iterator[str]:
    """The dose received beside what a forecast assumes."""
    if course.repetitions:
        yield fill(content.messages.therapist.measured.forecast, _counts(course))


def _counts(course: MeasuredCourse) -> dict[str, object]:
    return {
        "sets": course.sets,
        "sessions": course.sessions,
        "of": course.of_sessions,
        "at_tempo": course.at_tempo,
        "repetitions": course.repetitions,
    }

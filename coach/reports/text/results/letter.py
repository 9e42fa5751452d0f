"""The text of a letter to the referrer or of a page of results for the client, from measured facts. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Literal

from babel.lists import format_list
from msgspec import Struct

from coach.model.condition import ClientCondition
from coach.model.content import Content
from coach.model.message_format import fill, localized, placeholders
from coach.model.messages.letter import LetterPage, ResultUnit
from coach.model.prescription import Prescription
from coach.overview.measurement import change_shown
from coach.overview.results.client_course import CourseToDate
from coach.overview.results.first_and_last import Result
from coach.overview.visits.since_visit import ExerciseCourse
from coach.reports.text.layout import heading, paragraph
from coach.session.phrases import exercise_line

Reader = Literal["referrer", "client"]
_DECIMALS: Mapping[ResultUnit, int] = {"degrees": 1, "cm": 1, "Nm": 2, "N": 1, "of 10": 1}


class LetterText(Struct, frozen=True):
    """A page in parts, from the top; `rows` are those of the table, below its heads, and `empty` a cell of none."""

    language: str
    head: tuple[str, ...]
    day: str
    title: str
    opening: tuple[str, ...]
    measured_title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    empty: str
    nothing: str
    trained_title: str
    trained: tuple[str, ...]
    closing: tuple[str, ...]
    signature: tuple[str, ...]


def letter_text(
    course: CourseToDate,
    courses: tuple[ExerciseCourse, ...],
    prescription: Prescription,
    content: Content,
    reader: Reader,
    today: date,
    known: Sequence[ClientCondition] = (),
    no_session: str = "",
) -> LetterText:
    """The page for a reader, in the language of the content and in the words of the clinic.

    Of the conditions that are `known`, the operations are said; `no_session` is why no session may start now.
    """
    page: LetterPage = getattr(content.messages.letter, reader)
    clinic, sides = content.clinic, content.messages.client.setup.side
    values: dict[str, object] = {
        "profile": course.client,
        "goal": prescription.goal,
        "side": format_list(
            list(dict.fromkeys(str(sides[one.side]) for one in courses)), locale=content.messages.language
        ),
        "prescribed": prescription.on.isoformat(),
        "first": course.first.isoformat() if course.first else "",
        "last": course.last.isoformat() if course.last else "",
        "weeks": max(round(course.weeks), 1),
        "sessions": course.sessions,
        "day": today.isoformat(),
        "operations": _operations(known, content),
        "no_session": no_session,
        "initials": prescription.initials,
        "clinic": clinic.name or "",
        "phone": clinic.phone or "",
    }
    head = (clinic.name, *clinic.address, clinic.phone)
    return LetterText(
        language=content.messages.language,
        head=tuple(line for line in head if line),
        day=localized(today.isoformat(), content.messages.letter.on),
        title=fill(page.title, values),
        opening=_filled(page.opening, values),
        measured_title=page.measured_title,
        heads=tuple(map(str, page.columns)),
        rows=tuple(_row(one, page, content) for one in course.results),
        empty=str(content.messages.letter.nothing),
        nothing=page.nothing,
        trained_title=page.trained_title,
        trained=tuple(_trained(course, courses, page, content)),
        closing=_filled(page.closing, values),
        signature=_filled(page.signature, values),
    )


def _operations(known: Sequence[ClientCondition], content: Content) -> str:
    """The operations with their days; other conditions are not for every reader."""
    names = content.messages.conditions.condition
    each = [
        fill(content.messages.letter.on, {"value": names[one.kind].name, "day": one.on.isoformat()})
        for one in known
        if one.kind in content.conditions and content.conditions[one.kind].needs_permission
    ]
    return format_list(each, locale=content.messages.language) if each else ""


def letter_as_text(text: LetterText) -> str:
    """The page as plain text, to be edited; at most 80 columns wide."""
    lines = [*text.head, text.day, *heading(text.title), ""]
    lines += [part for line in text.opening for part in paragraph(line)]
    lines += heading(text.measured_title)
    if text.rows:
        for row in text.rows:
            cells = [
                f"{head}: {cell}" for head, cell in zip(text.heads[1:], row[1:], strict=True) if cell != text.empty
            ]
            lines += ["", *paragraph(row[0]), *paragraph("; ".join(cells), "  ")]
    else:
        lines += paragraph(text.nothing)
    if text.trained:
        lines += [*heading(text.trained_title), *(part for line in text.trained for part in paragraph(line))]
    lines.append("")
    lines += [part for line in text.closing for part in paragraph(line)]
    return "\n".join([*lines, "", *text.signature]).strip("\n") + "\n"


def _filled(lines: tuple[str, ...], values: Mapping[str, object]) -> tuple[str, ...]:
    """The lines filled in; one with a place that has no value is left out."""
    return tuple(fill(line, values) for line in lines if all(values.get(name) != "" for name in placeholders(line)))


def _row(result: Result, page: LetterPage, content: Content) -> tuple[str, ...]:
    """What, first, latest, change, and how the change compares with the error."""
    messages = content.messages.letter
    last = result.last
    error = "" if result.error is None else _value(result.error, result.unit, content)
    verdict = {"beyond": page.beyond, "within": page.within, "unknown": page.no_error}[result.beyond]
    return (
        _what(result, content),
        _dated(result.first.value, result.first.on, result.unit, content),
        messages.nothing if last is None else _dated(last.value, last.on, result.unit, content),
        messages.nothing if last is None else _change(result.first.value, last.value, result.unit, content),
        page.once if last is None else fill(verdict, {"error": error}),
    )


def _dated(value: float, on: date, unit: ResultUnit, content: Content) -> str:
    return fill(content.messages.letter.on, {"value": _value(value, unit, content), "day": on.isoformat()})


def _change(first: float, last: float, unit: ResultUnit, content: Content) -> str:
    """The change between two values as they stand beside it."""
    return _value(change_shown(_number(first, unit), _number(last, unit)), unit, content, "+")


def _number(value: float, unit: ResultUnit, sign: str = "") -> str:
    return f"{value:{sign}.{_DECIMALS[unit]}f}"


def _value(value: float, unit: ResultUnit, content: Content, sign: str = "") -> str:
    """A value with its unit; zero has no sign."""
    text = _number(value, unit, sign)
    return fill(content.messages.letter.unit[unit], {"value": text if float(text) else text.lstrip("+-")})


def _what(result: Result, content: Content) -> str:
    messages, place = content.messages.letter, result.place
    if place is None:
        return str(messages.what[result.kind])
    sides = content.messages.client.setup.side
    label = content.position_label(place.position)
    values: dict[str, object] = {"side": sides[place.side], "position": label}
    if place.direction is not None:
        values["motion"] = messages.motion[place.direction]
    if place.exercise is not None:
        of_exercise = content.messages.exercises[place.exercise].position
        title = of_exercise[place.position].title if place.position in of_exercise else place.position
        values |= {"exercise": exercise_line(place.exercise, place.side, content), "position": title}
    return fill(messages.what[result.kind], values)


def _trained(
    course: CourseToDate, courses: tuple[ExerciseCourse, ...], page: LetterPage, content: Content
) -> Iterator[str]:
    """Days, then sets and repetitions of each exercise, then the tempo where it was measured."""
    if course.days:
        weeks = max(round(course.weeks), 1)
        yield fill(page.kept, {"days": course.days, "weeks": weeks, "due": course.due, "sessions": course.sessions})
    if course.tempo.days:
        yield fill(page.witnessed, {"measured": course.tempo.days, "days": course.days})
    for one in courses:
        done = [judged.record for judged in one.judged if judged.record.sets_done]
        sets = [each for record in done for each in record.sets_done]
        values = {
            "exercise": exercise_line(one.exercise, one.side, content),
            "sets": len(sets),
            "repetitions": sum(each.repetitions for each in sets),
            "sessions": len(done),
        }
        if sets:
            yield fill(page.trained, values)
    if course.tempo.measured:
        yield fill(page.tempo, {"measured": course.tempo.measured, "kept": course.tempo.kept})

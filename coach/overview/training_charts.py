"""Charts of training: load, repetitions, faults and training days."""

from datetime import timedelta
from itertools import pairwise

from coach.model.message_format import fill
from coach.overview.history_chart import MARKS, Chart, ChartPoint, ClientHistory, Series, record_date
from coach.progression.decision_messages import load_placeholders
from coach.progression.facts import extract_facts
from coach.progression.rule_book import RuleBook

_WEEK = timedelta(days=7)
_LEAST_SPAN = 5  # repetitions, so that the labels of the axis are whole ones


def load_chart(history: ClientHistory) -> Chart:
    """The mean load of each session's load step with its spread: a series for each exercise and position.

    A mark is where the load changed. The exercise is named only where there was more than one.
    """
    places = sorted({record.exercise_position for record in history.trained})
    several = len({exercise for exercise, _ in places}) > 1
    series = []
    for (mark, _), (exercise, position) in zip(MARKS, places, strict=False):
        title = history.content.messages.exercises[exercise].title if several else ""
        there = [record for record in history.trained if record.exercise_position == (exercise, position)]
        line = tuple((record_date(record), record.rungs.step.mean_nm) for record in there)
        changes = (line[0], *(point for before, point in pairwise(line) if point[1] != before[1]))
        steps = [(record_date(record), record.rungs.step) for record in there]
        spread = tuple(
            (on, step.low_nm, step.high_nm)
            for on, step in steps
            if step.low_nm is not None and step.high_nm is not None
        )
        label = history.motion_label(title, position)
        series.append(Series(label, mark, changes, line=line, spread=spread))
    notes: tuple[str, ...] = ()
    if history.trained:
        newest = history.trained[-1].rungs.step
        notes = (fill(history.messages.computed, load_placeholders(newest, history.content)),)
    return Chart("load", history.title("load"), tuple(series), notes, days=history.days)


def repetitions_chart(history: ClientHistory) -> Chart:
    """The fewest and the most repetitions of a session's sets, and the goal."""
    labels, days = history.messages.series, [record_date(record) for record in history.trained]
    counts = [[done.repetitions for done in record.sets_done] for record in history.trained]
    goals = tuple(zip(days, (float(record.repetitions) for record in history.trained), strict=True))
    most, least = (tuple(zip(days, map(choose, counts), strict=True)) for choose in (max, min))
    series = (
        Series(labels["goal"], "─", goals),
        Series(labels["most"], "▲", most),
        Series(labels["least"], "▼", least),
    )
    title, notes = history.title("repetitions"), (history.messages.shared,)
    if not days:
        return Chart("repetitions", title, (), notes, days=history.days)
    values = [value for one in series for _, value in one.points]
    low, high = min(values), max(values)
    span = (low, max(high, low + _LEAST_SPAN))
    return Chart("repetitions", title, series, notes, days=history.days, span=span)


def faults_chart(history: ClientHistory) -> Chart:
    """A row for each kind of fault that was reported: the mark is the number of sets of a session with it."""
    book, messages = RuleBook(history.content), history.messages
    kinds = [question.fault for question in history.content.questions.values()]
    counted: dict[int, list[ChartPoint]] = {}
    unsure: list[ChartPoint] = []
    for record in history.trained:
        facts = extract_facts(history.now, record, book, "session").sets
        for row, kind in enumerate(kinds, start=1):
            times = sum(kind in one.faults for one in facts)
            if times:
                counted.setdefault(times, []).append((record_date(record), row))
        if any(one.not_sure for one in facts):
            unsure.append((record_date(record), len(kinds) + 1))
    names = (*(history.content.messages.form.fault[kind] for kind in kinds), messages.series["not_sure"])
    used = sorted({round(row) for points in (*counted.values(), unsure) for _, row in points})
    places = {row: number for number, row in enumerate(used, start=1)}

    def series(label: str, mark: str, points: list[ChartPoint]) -> Series:
        return Series(label, mark, tuple((on, places[round(row)]) for on, row in points))

    told = [
        series(fill(messages.series["sets"], {"sets": times}), str(times), points)
        for times, points in sorted(counted.items())
    ]
    if unsure:
        told.append(series(messages.series["not_sure"], "?", unsure))
    rows = tuple(names[row - 1] for row in used)
    return Chart("faults", history.title("faults"), tuple(told), (messages.answered,), rows, history.days)


def adherence_chart(history: ClientHistory) -> Chart:
    """Days trained and days prescribed in each week from the first session on; an unfinished week is left out."""
    messages, due = history.messages, history.due.a_week
    days = {record_date(record) for record in history.trained}
    title = history.title("adherence")
    if not days or history.today < min(days) + _WEEK - timedelta(days=1):
        return Chart("adherence", title, ())
    first = min(days)
    weeks = [first + number * _WEEK for number in range(((history.today - first).days + 1) // 7)]
    done = [sum(week <= day < week + _WEEK for day in days) for week in weeks]
    kept, wanted = sum(min(count, due) for count in done), due * len(weeks)
    values = {"due": wanted, "done": kept, "percent": round(100 * kept / wanted)}
    series = (
        Series(
            messages.series["prescribed"],
            "",
            (),
            line=tuple((week, float(due)) for week in weeks),
            line_role="curve_dashed",
        ),
        Series(messages.series["trained"], "●", tuple(zip(weeks, done, strict=True))),
    )
    return Chart("adherence", title, series, (fill(messages.weeks, values),), span=(0.0, 7.0))

"""What the client did, as series: load, repetitions, faults, training days."""

from datetime import timedelta

from coach.model.message_format import fill
from coach.overview.history_chart import Past, Picture, Point, Series, day_of
from coach.progression.facts import extract_facts
from coach.progression.rule_book import RuleBook

_WEEK = timedelta(days=7)


def load_picture(past: Past) -> Picture:
    """The load step of each session, a mark for each position: its first digit."""
    words = past.words
    series = []
    for position_deg in sorted({record.position_deg for record in past.trained}):
        there = [record for record in past.trained if record.position_deg == position_deg]
        points = tuple((day_of(record), record.rungs.step.mean_nm) for record in there)
        series.append(Series(fill(words.at_position, {"position_deg": position_deg}), str(position_deg)[0], points))
    return Picture("load", past.title("load"), tuple(series), (words.computed,), days=past.days)


def repetitions_picture(past: Past) -> Picture:
    """The fewest and the most of a session's sets, beside the goal."""
    said, days = past.words.series, [day_of(record) for record in past.trained]
    counts = [[done.repetitions for done in record.sets_done] for record in past.trained]
    goals = [record.repetitions for record in past.trained]
    series = (
        Series(said["goal"], "-", tuple(zip(days, goals, strict=True))),
        Series(said["most"], "^", tuple(zip(days, map(max, counts), strict=True))),
        Series(said["least"], "o", tuple(zip(days, map(min, counts), strict=True))),
    )
    shown = tuple(one for one in series if one.points)
    return Picture("repetitions", past.title("repetitions"), shown, (past.words.shared,), days=past.days)


def faults_picture(past: Past) -> Picture:
    """A row for each kind of fault: the mark says in how many sets of a session it was named."""
    book, words = RuleBook(past.content), past.words
    kinds = [question.fault for question in past.content.questions.values()]
    counted: dict[int, list[Point]] = {}
    unsure: list[Point] = []
    for record in past.trained:
        facts = extract_facts(past.now, record, book, "session").sets
        for row, kind in enumerate(kinds, start=1):
            times = sum(kind in one.faults for one in facts)
            if times:
                counted.setdefault(times, []).append((day_of(record), row))
        if any(one.not_sure for one in facts):
            unsure.append((day_of(record), len(kinds) + 1))
    series = [
        Series(fill(words.series["sets"], {"sets": times}), str(times), tuple(points))
        for times, points in sorted(counted.items())
    ]
    if unsure:
        series.append(Series(words.series["not_sure"], "?", tuple(unsure)))
    rows = (*(past.content.words.form.fault[kind] for kind in kinds), words.series["not_sure"])
    return Picture("faults", past.title("faults"), tuple(series), (words.answered,), rows, past.days)


def adherence_picture(past: Past) -> Picture:
    """Weeks from the first session on: days trained beside the days prescribed. A week begun is not counted."""
    words, due = past.words, past.prescription.dose.days_a_week
    days = {day_of(record) for record in past.trained}
    title = past.title("adherence")
    if not days or past.today < min(days) + _WEEK - timedelta(days=1):
        return Picture("adherence", title, ())
    first = min(days)
    weeks = [first + number * _WEEK for number in range(((past.today - first).days + 1) // 7)]
    done = [sum(week <= day < week + _WEEK for day in days) for week in weeks]
    kept, wanted = sum(min(count, due) for count in done), due * len(weeks)
    values = {"due": wanted, "done": kept, "percent": round(100 * kept / wanted)}
    series = (
        Series(words.series["prescribed"], "-", tuple((week, due) for week in weeks)),
        Series(words.series["trained"], "o", tuple(zip(weeks, done, strict=True))),
    )
    return Picture("adherence", title, series, (fill(words.weeks, values), words.shared), span=(0.0, 7.0))

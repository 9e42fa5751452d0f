"""Pictures drawn in characters: told apart by their marks alone, so that they can be read without colour."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from textwrap import wrap

from coach.model.message_format import as_said, fill
from coach.model.messages.history_charts import PicturesWords
from coach.overview.history_chart import Picture, Point, Series
from coach.reports.text.layout import WIDTH, heading
from coach.reports.text.plot import sample, ticks

_HEIGHT, _LEAST_HEIGHT = 16, 7
_DAYS_NAMED = 14  # columns that a date and the room beside it take
_MARK = 4
_FRAME = 3  # rows: the lines above and below, and the days


def pictures_text(made: Sequence[Picture], words: PicturesWords) -> str:
    """Every picture below the other, at most 80 columns wide."""
    lines: list[str] = []
    for picture in made:
        lines += [*heading(picture.title), *picture_lines(picture, words, WIDTH)]
    return "\n".join(lines).strip("\n") + "\n"


def picture_lines(picture: Picture, words: PicturesWords, width: int, height: int | None = None) -> list[str]:
    """The picture with its marks explained and its notes, so many columns wide; and in so many rows, where they are
    given and enough."""
    if not picture.series:
        none = fill(words.none, {"picture": words.picture[picture.name]})
        return wrap(none, width)
    below = [line for one in picture.series for line in _row(_sample(one), one.said, width)]
    below += [line for note in picture.notes for line in wrap(note, width)]
    rows = _fitting_rows(picture, _HEIGHT if height is None else height - len(below))
    return [*_drawn(picture, words, width, rows), *below]


def _fitting_rows(picture: Picture, room: int) -> int:
    """How high the picture is drawn; where its rows have names, each has its own and all are as far apart."""
    if not picture.rows:
        return max(room, _LEAST_HEIGHT)
    apart = max((room - _FRAME - 1) // max(len(picture.rows) - 1, 1), 1)
    return _FRAME + 1 + apart * (len(picture.rows) - 1)


def _drawn(picture: Picture, words: PicturesWords, width: int, height: int) -> list[str]:
    import plotext  # 90 ms: only a picture pays for it

    first, last = _days(picture)
    figure = plotext.figure
    plotext.terminal.limit(False, False)  # the page has its own width, whatever the window has
    figure.clear()  # the library has one figure, and keeps in it what was drawn before
    figure.plot_size(width, height)
    named = _days_named(first, last, width)
    figure.ruler("x").ticks([day.toordinal() for day in named], [fill(words.day, {"date": day}) for day in named])
    values, labels = _upward(picture, height, words.day)
    figure.ruler("y").ticks(values, labels)
    for mark, points in _marked(picture):
        x, y = [on.toordinal() for on, _ in points], [value for _, value in points]
        figure.draw(figure.signal(x, y, marker=mark))
    drawn = str(plotext.uncolorize(figure.build())).split("\n")
    return [line.rstrip() for line in drawn if line.strip()]


def _upward(picture: Picture, height: int, like: str) -> tuple[list[float], list[str]]:
    """The values on the vertical axis with their labels, written as the language of the line `like` does."""
    if picture.rows:
        named = [(float(number), name) for number, name in enumerate(picture.rows, start=1) if name]
        return [number for number, _ in named], [name for _, name in named]
    found = [value for _, points in _marked(picture) for _, value in points]
    low, high = picture.span or (min(found), max(found))
    values = ticks(low, high, most=max(height // 3, 3))
    return list(values), [as_said(f"{value:g}", like) for value in values]


def _days_named(first: date, last: date, width: int) -> list[date]:
    """The first day, the last, and as many between as there is room for, evenly apart."""
    days = (last - first).days
    parts = min(max(width // (2 * _DAYS_NAMED), 1), days)
    return [first + timedelta(days=round(days * part / parts)) for part in range(parts + 1)]


def _marked(picture: Picture) -> Iterator[tuple[str, tuple[Point, ...]]]:
    """Each mark with its points; of what was measured the small letters first, so that capitals cover them."""
    for one in picture.series:
        if one.alike:
            yield one.mark.lower(), one.alike
        if one.points:
            yield one.mark, one.points


def _sample(one: Series) -> str:
    """How the marks of a series look in the line that explains them."""
    return f"{one.mark}{one.mark.lower()}" if one.mark.isupper() else sample(one.mark)


def _days(picture: Picture) -> tuple[date, date]:
    """The first and the last day to be shown, at least one day apart."""
    days = [on for _, points in _marked(picture) for on, _ in points]
    first, last = picture.days or (min(days), max(days))
    first, last = min(first, *days), max(last, *days)
    return first, max(last, first + timedelta(days=1))


def _row(mark: str, said: str, width: int) -> list[str]:
    return wrap(said, width, initial_indent=mark.ljust(_MARK), subsequent_indent=" " * _MARK)

"""Text on a screen: without markup, and the line that names the keys."""

from collections.abc import Sequence
from itertools import pairwise
from textwrap import wrap

from textual.content import Content
from textual.style import Style
from textual.widgets import Static

from coach.drawing.block_lines import ROWS_A_LINE
from coach.model.messages.layout_limits import EDGE_COLUMNS

ClickableText = Content
_APART, _CLOSER = "   ", "  "


def clickable(text: str, keys: Sequence[tuple[str, str]]) -> ClickableText:
    """A text in which each (part, key) can be clicked, in order of the parts; a click presses that key."""
    content, at = ClickableText(text), 0
    for part, key in keys:
        start = text.find(part, at)
        if start >= 0 and part:
            at = start + len(part)
            content = content.stylize(Style.from_meta({"@click": f"app.press_key({key!r})"}), start, at)
    return content


def in_bold(text: str, *parts: str, style: str = "bold") -> ClickableText:
    """A text with these parts of it in bold, or another style, in their order."""
    content, at = ClickableText(text), 0
    for part in parts:
        start = text.find(part, at)
        if part and start >= 0:
            at = start + len(part)
            content = content.stylize(style, start, at)
    return content


def hanging(first: str, text: str, columns: int) -> str:
    """Wrap a text with a hanging indent as wide as `first`."""
    return "\n".join(wrap(text, columns, initial_indent=first, subsequent_indent=" " * len(first)))


def clickable_places(rows: Sequence[str], places: Sequence[tuple[int, int, int, str]]) -> ClickableText:
    """Rows of large letters in which (row, column, columns, key) can be clicked, as high as a letter."""
    content = ClickableText("\n".join(rows))
    starts = [0]
    for row in rows:
        starts.append(starts[-1] + len(row) + 1)
    for top, column, columns, key in places:
        for number in range(top, min(top + ROWS_A_LINE, len(rows))):
            start = starts[number] + min(column, len(rows[number]))
            end = starts[number] + min(column + columns, len(rows[number]))
            content = content.stylize(Style.from_meta({"@click": f"app.press_key({key!r})"}), start, end)
    return content


def with_key_caps(content: ClickableText, parts: Sequence[str], caps: Sequence[str]) -> ClickableText:
    """The text with the key in each part drawn as a key: reversed, so that it needs no colour."""
    at = 0
    for part, cap in zip(parts, caps, strict=True):
        start = content.plain.index(part, at)
        key = start + part.index(cap)
        content = content.stylize(Style(reverse=True), key, key + len(cap))
        at = start + len(part)
    return content


def with_key_between(before: str, key: str, after: str) -> ClickableText:
    """A sentence with a key in it, drawn as a key and to be clicked."""
    if not key:
        return ClickableText(before)
    cap = clickable(f" {key} ", [(f" {key} ", key)])
    return ClickableText.assemble(ClickableText(before), cap.stylize(Style(reverse=True)), ClickableText(after))


def static_text(text: str | ClickableText, classes: str = "", id: str | None = None) -> Static:
    """A widget with a text, in which nothing is read as markup."""
    return Static(text, markup=False, classes=classes, id=id)


def with_rules(text: str) -> Content:
    """A text whose headings, each above a line of dashes, stand out: bold, with a line drawn below."""
    lines = text.split("\n")
    drawn = [Content(line) for line in lines]
    for number, (line, below) in enumerate(pairwise(lines)):
        if line.strip() and below.strip() == "-" * len(line.strip()):
            rule = below.replace("-", "─")
            drawn[number : number + 2] = Content.styled(line, "bold $secondary"), Content.styled(rule, "$secondary")
    return Content("\n").join(drawn)


def key_lines(keys: Sequence[str], columns: int) -> str:
    """Arrange the keys in as few lines as possible without cutting any, closer together if they are then one line."""
    apart, closer = (_lines(keys, columns, gap) for gap in (_APART, _CLOSER))
    return "\n".join(closer if len(closer) == 1 < len(apart) else apart)


def fewest_key_lines(keys: Sequence[str], columns: int) -> str:
    """Arrange the keys in as few lines as possible without cutting any, closer together if that saves a line."""
    apart, closer = (_lines(keys, columns, gap) for gap in (_APART, _CLOSER))
    return "\n".join(closer if len(closer) < len(apart) else apart)


def _lines(keys: Sequence[str], columns: int, gap: str) -> list[str]:
    lines: list[str] = []
    for key in keys:
        longer = f"{lines[-1]}{gap}{key}" if lines else key
        if lines and len(longer) <= columns - EDGE_COLUMNS:
            lines[-1] = longer
        else:
            lines.append(key)
    return lines

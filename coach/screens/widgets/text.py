"""Words on a screen: a text as it is, and the line that names the keys."""

from collections.abc import Sequence

from textual.widgets import Static

from coach.model.layout_limits import EDGE_COLUMNS


def plain(text: str, classes: str = "", id: str | None = None) -> Static:
    """Text from a file, shown as text: nothing in it is read as markup."""
    return Static(text, markup=False, classes=classes, id=id)


def key_lines(keys: Sequence[str], columns: int) -> str:
    """The keys in as few lines as they need, none of them cut; closer together where that saves a line."""
    gap = next((gap for gap in ("   ", "  ") if len(gap.join(keys)) <= columns - EDGE_COLUMNS), "   ")
    lines: list[str] = []
    for key in keys:
        longer = f"{lines[-1]}{gap}{key}" if lines else key
        if lines and len(longer) <= columns - EDGE_COLUMNS:
            lines[-1] = longer
        else:
            lines.append(key)
    return "\n".join(lines)

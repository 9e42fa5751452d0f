"""Parts of pages: a drawing below its words, a list below its title, what is to be done now."""

from collections.abc import Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING, cast

from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from coach.screens.client.page_types import Drawing, Now
from coach.screens.widgets.text import hanging, in_bold, static_text, with_key_between

if TYPE_CHECKING:
    from coach.drawing.shapes import LabelName


def drawing_with_title(drawing: Drawing, id: str | None = None) -> Vertical:
    """A drawing below its words."""
    from coach.screens.widgets.scene_view import SceneView

    labels = cast("dict[LabelName, str]", dict(drawing.labels))
    return Vertical(
        static_text(drawing.title, "list-title"), SceneView(drawing.scene, labels, id=id), classes="drawn"
    )


def now_text(now: Now) -> Static:
    """What is to be done now, with its key."""
    return static_text(with_key_between(now.before, now.key, now.after), id="now")


def in_columns(parts: Sequence[Sequence[str]], columns: int) -> str:
    """Rows of text with each part in columns of its own."""
    rows = zip_longest(*parts, fillvalue="")
    return "\n".join("".join(part.ljust(columns) for part in row).rstrip() for row in rows)


def titled_list(title: str, listed: str, columns: int, *heads: str) -> Widget:
    """A list below its title, with its heads in bold; one widget, as each takes part of a start."""
    text = in_bold(listed, *heads, style="bold $secondary")
    if not title:
        return static_text(text, "listed")
    above = Content.styled(f"{hanging('', title, columns)}\n", "$secondary")
    return static_text(Content.assemble(above, text), "listed titled")

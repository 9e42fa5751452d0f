"""The keys that scroll a page that is longer than the window."""

from collections.abc import Callable, Mapping

from textual.containers import Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

SCROLL_KEYS = ("up", "down", "pageup", "pagedown")
# Where the arrows choose from a list, these scroll what is told of the chosen one.
DETAIL_KEYS: Mapping[str, str] = {"space": "pagedown", "backspace": "pageup"}
_HALF = {"up": -0.5, "down": 0.5}


def scroll_by_key(column: VerticalScroll, key: str) -> bool:
    """Scroll a line or a window up or down; return whether the key is one of SCROLL_KEYS."""
    if key not in SCROLL_KEYS:
        return False
    scrolls = (column.scroll_up, column.scroll_down, column.scroll_page_up, column.scroll_page_down)
    scrolls[SCROLL_KEYS.index(key)](animate=False)
    return True


def when_longer(screen: Screen[None], column: VerticalScroll, name_keys: Callable[[], None]) -> None:
    """Name the keys of a page again whenever a column becomes longer than its window, or no longer is.

    That is seen while the page is laid out, where it would be overlooked that the keys need other rows by then.
    """

    def seen() -> None:
        screen.call_after_refresh(name_keys)

    screen.watch(column, "show_vertical_scrollbar", seen)


class ScrolledPage(Vertical):
    """A page with a `#column` that scrolls, and a line `#more` that says where the rest of it is."""

    more_lines: tuple[str, str, str] = ("", "", "")  # that it goes on below, above, or both, and how to see it

    def on_mount(self) -> None:
        """Show or hide the line that there is more, whenever the layout changes or somebody scrolls."""
        for column in self.query("#column").results(VerticalScroll):
            for changed in ("show_vertical_scrollbar", "scroll_y", "virtual_size"):
                self.watch(column, changed, self._show_more)

    def scroll_by_key(self, key: str) -> bool:
        """Scroll by half a window with an arrow, or by a window; return whether the key did.

        A page that has just been put on the screen has no column yet: the key was pressed for the page before it.
        """
        for column in self.query("#column").results(VerticalScroll):
            if key in _HALF:
                column.scroll_relative(y=round(_HALF[key] * column.size.height) or _HALF[key] * 2, animate=False)
                return True
            return scroll_by_key(column, key)
        return False

    def _show_more(self) -> None:
        for column in self.query("#column").results(VerticalScroll):
            above, below = column.scroll_y > 0, column.scroll_y < column.max_scroll_y
            at = 2 if above and below else int(above)
            self.query_one("#more", Static).update(self.more_lines[at])
            self.set_class(column.show_vertical_scrollbar, "longer")

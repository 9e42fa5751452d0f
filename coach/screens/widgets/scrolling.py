"""The keys that scroll a page that is longer than the window."""

from textual.containers import Vertical, VerticalScroll

SCROLL_KEYS = ("up", "down", "pageup", "pagedown")
PAGING_KEYS = {"space": "pagedown", "backspace": "pageup"}
"""The keys that scroll what stands beside a list, whose own keys are those that scroll elsewhere."""
TOLD_PAGING = " ".join(PAGING_KEYS)


def scroll_by_key(column: VerticalScroll, key: str) -> bool:
    """Scroll a line or a window up or down; return whether the key is one of SCROLL_KEYS."""
    if key not in SCROLL_KEYS:
        return False
    scrolls = (column.scroll_up, column.scroll_down, column.scroll_page_up, column.scroll_page_down)
    scrolls[SCROLL_KEYS.index(key)](animate=False)
    return True


class ScrolledPage(Vertical):
    """A page with a `#column` that scrolls, and a line `#more` that is shown while it continues below the window."""

    def on_mount(self) -> None:
        """Show or hide the line that there is more, whenever the layout changes."""
        for column in self.query("#column").results(VerticalScroll):
            self.watch(column, "show_vertical_scrollbar", self._show_more)

    def scroll_by_key(self, key: str) -> bool:
        """Scroll by a line or a window; return whether the key did.

        A page that has just been put on the screen has no column yet: the key was pressed for the page before it.
        """
        return any(scroll_by_key(column, key) for column in self.query("#column").results(VerticalScroll))

    def _show_more(self, continues: bool) -> None:
        self.set_class(continues, "longer")

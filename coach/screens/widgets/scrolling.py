"""A page that is longer than the window: the keys that scroll it."""

from textual.containers import VerticalScroll

SCROLL_KEYS = ("up", "down", "pageup", "pagedown")


def scrolled(column: VerticalScroll, key: str) -> bool:
    """Scroll a line or a window up or down; whether the key is one of those that scroll."""
    if key not in SCROLL_KEYS:
        return False
    scrolls = (column.scroll_up, column.scroll_down, column.scroll_page_up, column.scroll_page_down)
    scrolls[SCROLL_KEYS.index(key)](animate=False)
    return True

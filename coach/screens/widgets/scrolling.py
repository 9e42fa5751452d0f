"""The keys that scroll a page that is longer than the window."""

from textual.containers import VerticalScroll

SCROLL_KEYS = ("up", "down", "pageup", "pagedown")


def scroll_by_key(column: VerticalScroll, key: str) -> bool:
    """Scroll a line or a window up or down; return whether the key is one of SCROLL_KEYS."""
    if key not in SCROLL_KEYS:
        return False
    scrolls = (column.scroll_up, column.scroll_down, column.scroll_page_up, column.scroll_page_down)
    scrolls[SCROLL_KEYS.index(key)](animate=False)
    return True

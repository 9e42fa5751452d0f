"""The choice of the widget for a page, and the next frame of one that moves.

What draws lessons, sets and rests is loaded when one of them comes: no session begins with it.
"""

from typing import TYPE_CHECKING

from textual.widget import Widget

from coach.screens.client.page_types import LessonPage, MoreLines, RestPage, ScreenPage, SetPage, TextPage
from coach.screens.client.views.page_view import PageView

if TYPE_CHECKING:
    from coach.screens.client.views.moving_views import LessonView, RestView, SetView


def make_body(
    page: ScreenPage, note: str, more: MoreLines, columns: int, rows: int
) -> "PageView | LessonView | SetView | RestView":
    """Make the widget that draws a page in a window of so many columns and rows."""
    if isinstance(page, TextPage):
        return PageView(page, note, more, columns, rows)
    from coach.screens.client.views.moving_views import LessonView, RestView, SetView

    if isinstance(page, SetPage):
        return SetView(page, columns, rows)
    if isinstance(page, RestPage):
        return RestView(page, columns, rows)
    return LessonView(page, more, columns, rows)


def show_next(body: Widget, page: ScreenPage) -> bool:
    """Show the next frame of a page that moves; whether this body could, and no other one is needed."""
    if isinstance(page, TextPage) or isinstance(body, PageView):
        return False
    from coach.screens.client.views.moving_views import LessonView, RestView, SetView

    match page, body:
        case SetPage(), SetView():
            body.show(page)
        case LessonPage(), LessonView() if body.same_text(page):
            body.show(page)
        case RestPage(), RestView() if body.same_text(page):
            body.show(page)
        case _:
            return False
    return True

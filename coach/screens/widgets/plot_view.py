"""A widget that draws a plot as large as the widget is."""

from collections.abc import Callable

from coach.drawing.plots.plot import Plot
from coach.drawing.plots.plot_rows import plot_ink, plot_paint
from coach.screens.widgets.painted_view import PaintedView, Rows

MakePlot = Callable[[int, int], Plot]
"""Makes the plot for a width in columns and a height in rows: its labels depend on them."""


class PlotView(PaintedView):
    """Shows one plot at a time."""

    def __init__(self, make: MakePlot, id: str | None = None) -> None:
        super().__init__(id=id)
        self._make = make
        self._drawn: Rows = ()
        self._drawn_at = (0, 0)

    def show(self, make: MakePlot) -> None:
        """Show another plot."""
        self._make, self._drawn_at = make, (0, 0)
        self.refresh()

    def rows(self) -> Rows:
        """The plot in the size of the widget."""
        size = (self.size.width, self.size.height)
        if size != self._drawn_at:
            draw = plot_paint if self.has_colours else plot_ink
            self._drawn = draw(self._make(*size), *size, self.signs) if min(size) > 0 else ()
            self._drawn_at = size
        return self._drawn

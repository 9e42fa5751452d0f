"""A widget that draws a plot as large as the widget is."""

from coach.drawing.plots.plot import Plot
from coach.drawing.plots.plot_rows import plot_ink, plot_paint
from coach.screens.widgets.painted_view import PaintedView, Rows


class PlotView(PaintedView):
    """Shows one plot at a time."""

    def __init__(self, plot: Plot, id: str | None = None) -> None:
        super().__init__(id=id)
        self._plot = plot
        self._drawn: Rows = ()
        self._drawn_at = (0, 0)

    def show(self, plot: Plot) -> None:
        """Show another plot."""
        self._plot, self._drawn_at = plot, (0, 0)
        self.refresh()

    def rows(self) -> Rows:
        """The plot in the size of the widget."""
        size = (self.size.width, self.size.height)
        if size != self._drawn_at:
            draw = plot_paint if self.has_colours else plot_ink
            self._drawn, self._drawn_at = draw(self._plot, *size, self.signs) if min(size) > 0 else (), size
        return self._drawn

"""Which screens are kept as pictures, and how texts and pictures are stored.

Every screen is kept as text, all screens of one test in one file. Of pictures (SVG) there are a chosen few: each
widget and each page of the package, and each theme, is on at least one of them.
"""

from dataclasses import dataclass

from syrupy.extensions.single_file import SingleFileSnapshotExtension, WriteMode
from textual.widget import Widget

from coach.model.option_names import ThemeName
from coach.screens.client.client_frame import ClientFrame
from coach.screens.client.views.moving_views import LessonView, RestView, SetView
from coach.screens.client.views.page_view import PageView
from coach.screens.therapist.caseload_screen import CaseloadScreen
from coach.screens.therapist.client_screen import ClientScreen
from coach.screens.therapist.compare_screen import CompareScreen
from coach.screens.therapist.instruction_screen import InstructionScreen
from coach.screens.therapist.intake_screen import IntakeScreen
from coach.screens.therapist.one_client.client_facts import ClientFacts
from coach.screens.therapist.one_client.client_plots import ClientPlots
from coach.screens.therapist.one_client.history_charts_screen import HistoryChartsScreen
from coach.screens.therapist.one_client.history_screen import HistoryScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.therapist.steering_screen import SteeringScreen
from coach.screens.therapist.text_screen import TextScreen
from coach.screens.therapist.timeline_screen import TimelineScreen
from coach.screens.therapist.visit.visit_screen import VisitScreen
from coach.screens.widgets.bar import Bar, Dots
from coach.screens.widgets.big_text import BigText
from coach.screens.widgets.form import FieldInput, InputForm
from coach.screens.widgets.line_list import LineList
from coach.screens.widgets.page_head import PageHead
from coach.screens.widgets.panel import TextPanel
from coach.screens.widgets.plot_view import PlotView
from coach.screens.widgets.scene_view import SceneView

MOST_PICTURES = 40
Size = tuple[int, int]
_SMALL, _USUAL, _LARGE = (60, 20), (80, 24), (120, 40)


class TextFile(SingleFileSnapshotExtension):
    """One text file a test."""

    _write_mode = WriteMode.TEXT
    file_extension = "txt"


class PictureFile(TextFile):
    """One picture file a screen."""

    file_extension = "svg"


@dataclass(frozen=True)
class Picture:
    """A screen to keep as a picture: the series of screens it belongs to, its name there, and what must be on it.

    `theme` None: as it is drawn where NO_COLOR is set.
    """

    series: str
    screen: str
    size: Size
    theme: ThemeName | None
    widgets: tuple[type[Widget], ...]

    @property
    def name(self) -> str:
        """The name of its file within the test."""
        return f"{self.screen}-{self.theme or 'no-colour'}"


PICTURES: tuple[Picture, ...] = (
    # The client's session: to read, to answer, to do, to rest.
    Picture("session", "01-today", _USUAL, "dusk", (PageView,)),
    Picture("session", "02-before-you-begin", _SMALL, "day", (PageView,)),  # more than fits: the line that says so
    Picture("session", "03-pain-now", _USUAL, "contrast", (PageView,)),  # a scale
    Picture("session", "04-signs", _USUAL, "day", (PageView,)),  # a list of answers
    Picture("session", "06-place", _USUAL, "dusk", (PageView, SceneView)),  # README
    Picture("session", "06-place", _USUAL, None, (PageView, SceneView)),
    Picture("session", "06-place", _SMALL, "day", (PageView, SceneView)),  # the drawing below the text
    Picture("session", "07-arm", _LARGE, "contrast", (PageView, SceneView)),
    Picture("session", "09-check-failed", _USUAL, "day", (PageView,)),  # an alert
    Picture("session", "10-lesson", _USUAL, "dusk", (LessonView, SceneView)),
    Picture("session", "12-out", _USUAL, "dusk", (SetView, BigText, SceneView, Dots)),  # README
    Picture("session", "12-out", _USUAL, None, (SetView, BigText, SceneView, Dots)),
    Picture("session", "12-out", _LARGE, "contrast", (SetView, BigText, SceneView, Dots)),
    Picture("session", "14-back", _SMALL, "day", (SetView, BigText, SceneView, Dots)),
    Picture("session", "16-paused", _USUAL, "dusk", (PageView, BigText)),
    Picture("session", "25-rest", _USUAL, "day", (RestView, BigText, Bar)),
    Picture("session", "28-end", _LARGE, "dusk", (PageView,)),
    Picture("session", "30-stopped", _USUAL, "contrast", (PageView,)),
    # The coach's view.
    Picture("proof", "broken", _LARGE, "dusk", (ClientFrame, SetView)),  # README
    Picture("proof", "changed", _USUAL, "day", (ClientFrame,)),
    # The therapist's pages.
    Picture("caseload", "01-caseload", _USUAL, "dusk", (CaseloadScreen, LineList)),
    Picture("caseload", "01-caseload", _USUAL, None, (CaseloadScreen, LineList)),
    Picture("caseload", "03-found", _LARGE, "contrast", (CaseloadScreen, LineList, ClientPlots, PlotView)),
    Picture("caseload", "06-client", _USUAL, "day", (ClientScreen, PageHead)),
    Picture("caseload", "06-client", _LARGE, "dusk", (ClientScreen, ClientFacts, TextPanel, ClientPlots, PlotView)),
    Picture("caseload", "07-history", _LARGE, "day", (HistoryScreen, LineList)),
    Picture("caseload", "07-setup", _LARGE, "dusk", (TextScreen,)),
    Picture("preview", "18-out", _USUAL, "day", (PreviewScreen, SetView)),
    Picture("preview", "what-if", _LARGE, "contrast", (PreviewScreen, PageView)),
    Picture("preview", "what-if-timeline", _USUAL, "dusk", (TimelineScreen, LineList)),
    Picture("charts", "chart-1", _USUAL, "dusk", (HistoryChartsScreen, PlotView)),
    Picture("charts", "chart-4", _LARGE, "day", (HistoryChartsScreen, PlotView)),
    Picture("intake", "02-wrong", _USUAL, "dusk", (IntakeScreen, InputForm)),
    Picture("intake", "06-save", _USUAL, "contrast", (QuestionScreen,)),
    Picture("visit", "01-measured", _LARGE, "dusk", (VisitScreen, InputForm, FieldInput)),
    Picture("steering", "01-forms", _USUAL, "day", (SteeringScreen,)),
    Picture("steering", "03-wrong", _USUAL, "contrast", (InstructionScreen, InputForm)),
    Picture("steering", "08-compared", _USUAL, "dusk", (CompareScreen,)),  # README
)

"""Every page that has words of its own: what a language must hold to be complete."""

from coach.model.messages.authoring import AuthorWords
from coach.model.messages.backup import BackupWords
from coach.model.messages.bands_report import BandsReportWords
from coach.model.messages.base_messages import PageWords
from coach.model.messages.caseload import CaseloadWords
from coach.model.messages.client_page import ClientPageWords
from coach.model.messages.decision_table import DecisionTableWords
from coach.model.messages.export import ExportWords
from coach.model.messages.forecast import ForecastWords
from coach.model.messages.handout import HandoutWords
from coach.model.messages.history import HistoryWords
from coach.model.messages.history_charts import PicturesWords
from coach.model.messages.intake import IntakeWords
from coach.model.messages.preview import PreviewWords
from coach.model.messages.preview_page import PreviewPageWords
from coach.model.messages.setup_report import SetupReportWords
from coach.model.messages.steering import SteeringWords

PAGES: tuple[type[PageWords], ...] = (
    PreviewWords,
    HistoryWords,
    DecisionTableWords,
    ForecastWords,
    SetupReportWords,
    BandsReportWords,
    HandoutWords,
    ExportWords,
    AuthorWords,
    SteeringWords,
    IntakeWords,
    CaseloadWords,
    ClientPageWords,
    BackupWords,
    PreviewPageWords,
    PicturesWords,
)

"""Every page that has words of its own: what a language must hold to be complete."""

from coach.model.page_words.author import AuthorWords
from coach.model.page_words.backup import BackupWords
from coach.model.page_words.bands_report import BandsReportWords
from coach.model.page_words.caseload import CaseloadWords
from coach.model.page_words.client_page import ClientPageWords
from coach.model.page_words.decision_table import DecisionTableWords
from coach.model.page_words.export import ExportWords
from coach.model.page_words.forecast import ForecastWords
from coach.model.page_words.handout import HandoutWords
from coach.model.page_words.history import HistoryWords
from coach.model.page_words.intake import IntakeWords
from coach.model.page_words.page import PageWords
from coach.model.page_words.pictures import PicturesWords
from coach.model.page_words.preview import PreviewWords
from coach.model.page_words.preview_page import PreviewPageWords
from coach.model.page_words.setup_report import SetupReportWords
from coach.model.page_words.steering import SteeringWords

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

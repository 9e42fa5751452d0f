"""The whole way through every session, beside the quick way of the forecast."""

from datetime import datetime

from coach.model.answers_file import Answers
from coach.model.record import Record
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse
from coach.session.session_cache import GoneThrough


class Whole(GoneThrough):
    """Every session gone through from its beginning to its end."""

    def session(self, plan: Plan, answers: Answers, at: datetime) -> Record:
        """As the runner writes it."""
        return rehearse(plan, answers, at)[0]

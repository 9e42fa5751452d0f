"""The whole way through every session, beside the quick way of the forecast."""

from datetime import datetime

from coach.model.answers import Answers
from coach.model.record import Record
from coach.session.gone_through import GoneThrough
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse


class Whole(GoneThrough):
    """Every session gone through from its beginning to its end."""

    def session(self, plan: Plan, answers: Answers, at: datetime) -> Record:
        """As the runner writes it."""
        return rehearse(plan, answers, at)[0]

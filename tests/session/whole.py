"""A session cache without a cache, to compare the forecast with."""

from datetime import datetime

from coach.model.answers_file import Answers
from coach.model.record import Record
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse
from coach.session.session_cache import SessionCache


class Whole(SessionCache):
    """Every session rehearsed from start to end."""

    def rehearse(self, plan: Plan, answers: Answers, at: datetime) -> Record:
        """The record as the runner writes it."""
        return rehearse(plan, answers, at)[0]

"""What today's session would lead to with some answers: the decision, and the next session beside today's."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from coach.model.answers_file import Answers
from coach.model.messages.preview import PreviewWords
from coach.model.messages.steering import SteeringWords
from coach.model.progress import Progress
from coach.model.record import Ended
from coach.overview.comparison import Part
from coach.progression.state_machine import advance
from coach.reports.text.next_session import comparison_text, next_session, parts
from coach.reports.text.preview import decided_lines
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse

_WEEK = 7  # days


@dataclass(frozen=True)
class WhatIf:
    """How the session ended, where the client would stand, and the next training day beside today's, part by part."""

    ended: Ended
    after: Progress
    parts: tuple[Part, ...]


def what_if(plan: Plan, answers: Answers, at: datetime) -> WhatIf:
    """The session with these answers by the very runner. ValueError names an answer that a question does not take."""
    record, ended = rehearse(plan, answers, at)
    after = advance(plan.before, record, plan.book).after
    then = at + timedelta(days=ceil(_WEEK / plan.prescription.dose.days_a_week))
    today, following = (
        next_session(plan.profile, plan.prescription, progress, plan.content, on)
        for progress, on in ((plan.before, at), (after, then))
    )
    return WhatIf(ended, after, parts(today, following, plan.content.words.of(SteeringWords)))


def what_if_text(plan: Plan, answers: Answers, at: datetime) -> str:
    """The decision, then both sessions beside each other with what differs marked, at most 80 columns wide."""
    words, found = plan.content.words.of(PreviewWords), what_if(plan, answers, at)
    heads = {"before": words.beside_before, "after": words.beside_after, "nothing": words.alike}
    beside = comparison_text(found.parts, plan.content.words.of(SteeringWords).model_copy(update=heads))
    decided = [words.what_if, "", *decided_lines(found.ended.decision, plan)]
    return "\n".join([*decided, "", words.next_session, "", beside])

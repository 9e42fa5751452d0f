"""What a page of a running session says about the session itself: not saved, or asked again after an absence."""

from dataclasses import replace

from coach.model import step_names
from coach.model.message_format import fill
from coach.screens.client.pages import ScreenPage, SetupCache, TextPage, page_at
from coach.store.live_session import LiveSession


def live_page(live: LiveSession, setups: SetupCache) -> ScreenPage:
    """The page to show now. It does not claim to be saved where it is not, and says why instead."""
    state = live.state
    page = page_at(state, setups.of(state), live.now_s)
    if not isinstance(page, TextPage):
        return page
    messages = state.plan.content.messages.client
    lines = page.lines
    if live.unsaved:
        said = fill(messages.offer.unsaved, {"reason": live.unsaved})
        lines = (*(line for line in lines if line != messages.end.saved), said)
    damaged = live.damaged_records
    if damaged and state.step.name == step_names.TODAY and not state.over:
        lines = (fill(messages.offer.damaged, {"files": ", ".join(damaged)}), *lines)
    question = state.question
    if live.asked_again and question is not None and question.group == step_names.group_of(step_names.SIGN):
        lines = (*lines, messages.offer.asked_again)
    return replace(page, lines=lines)


def farewell_of(live: LiveSession, kept: str) -> str:
    """What is kept of a session that is closed: `kept` where all of it is, otherwise what is not and why."""
    why = live.why_not_kept()
    return fill(live.state.plan.content.messages.client.offer.not_kept, {"reason": why}) if why else kept

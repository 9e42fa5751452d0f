"""The end of a session: what changes next time is drawn large, and nothing is called by its name in a file."""

import re
from collections import Counter

import pytest

from coach.model.message_format import fill
from coach.model.record import Decision
from coach.progression.decision_messages import load_placeholders
from coach.screens.client.page_types import MoreLines, ScreenPage, TextPage
from coach.screens.client.views.page_view import PageView
from coach.session.state import State
from tests.screens.every_page import every_page


def _ends(language: str) -> list[tuple[str, State, TextPage, Decision]]:
    """The ends of sessions of one exercise, by every rule."""
    return [
        (name, state, page, state.record.ended.decision)
        for name, state, page in every_page(language)
        if name.startswith("tern") and state.record.ended is not None and isinstance(page, TextPage)
    ]


@pytest.mark.parametrize("language", ["en", "de"])
def test_what_changes_next_time_is_drawn_large_and_said_once(language: str) -> None:
    changed = set()
    for name, state, page, decision in _ends(language):
        values, waits = [fact.value for fact in page.facts], decision.status == "review"
        whole = " ".join((page.lead, *page.lines))
        load_changes = decision.variable == "load" and not waits
        if waits or decision.variable not in ("load", "repetitions"):
            assert values == [], name
            assert waits or decision.move == "stop" or page.strong[0] in decision.reason, name
            continue
        changed.add(str(decision.variable))
        load = decision.load
        assert values[: 2 * load_changes] == ([load.grade, f"{load.distance_cm} cm"] if load_changes else []), name
        assert (str(decision.repetitions) in values) == (decision.repetitions != state.record.repetitions), name
        told = page.facts[0].instead_of
        assert told == page.lines[0] == page.strong[0], name
        assert not load_changes or str(load_placeholders(load, state.plan.content)["load"]) in told, name
        assert whole.count(told) == 1, name
        assert not Counter(decision.reason.split()) - Counter(whole.split()), name
    assert changed == {"load", "repetitions"}


def test_the_change_is_large_in_the_usual_window_and_in_bold_in_the_least_one() -> None:
    page = next(page for name, _, page, decision in _ends("en") if decision.variable == "load" and page.facts)
    assert PageView(page, "", MoreLines(), 80, 24)._facts
    assert not PageView(page, "", MoreLines(), 60, 20)._facts


@pytest.mark.parametrize("language", ["en", "de"])
def test_sets_stand_on_one_line(language: str) -> None:
    name, state, page, _ = next(one for one in _ends(language) if one[0] == "tern end.clean")
    messages, record = state.plan.content.messages.client.end, state.record
    each = ", ".join(str(one.repetitions) for one in record.sets_done)
    assert fill(messages.sets_line, {"each": each, "goal": record.repetitions}) in page.lines, name
    assert page.listed == ()


def _texts(page: ScreenPage) -> list[str]:
    lines = [page.title, *(getattr(page, name, "") for name in ("lead", "alert", "remark", "banner", "list_title"))]
    for name in ("lines", "listed", "before", "stops"):
        lines += getattr(page, name, ())
    return [*lines, *(choice.text for choice in getattr(page, "choices", ()))]


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_page_calls_anything_by_its_name_in_a_file(language: str) -> None:
    """With every reason why: it named the rule as two_clean_sessions."""
    reasons = 0
    for name, state, page in every_page(language):
        assert not re.findall(r"[a-z]+_[a-z_]+", " ".join(_texts(page))), name
        reasons += state.why_shown
    assert reasons

"""A reason says why, and the sentence of the change says what: the first holds also where nothing gets lighter."""

from datetime import timedelta

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.mechanics.ladder import Ladder
from coach.model.answers_file import Answers
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse
from tests.clocks import START
from tests.plans import plan_of

_LESS = {"en": ("less load", "load off", "lighter"), "de": ("weniger Last", "es leichter", "leichter")}
_EASIER = ("not_settled", "pain_above_usual", "pain_rising_fast")


def _at_the_lightest(language: str) -> Plan:
    """A second session at the lightest step of the ladder, so that nothing can get lighter."""
    plan = plan_of("tern")
    content = load_content(content_folder(), language)
    ladder: Ladder = plan.ladder
    before = plan.before.model_copy(
        update={"last_session": START - timedelta(days=3), "load": ladder.steps[0], "sessions": 1}
    )
    book = replace(plan.book, content=content)
    return replace(plan, content=content, book=book, before=before, step=ladder.steps[0])


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_less_load_is_said_where_the_lightest_step_stays(language: str) -> None:
    plan = _at_the_lightest(language)
    _, ended = rehearse(plan, Answers(answer={"check_in.settled": "not_yet", "check_in.pain_now": 4}), START)
    change = plan.content.messages.rules.change["lowest"]
    assert ended.decision.rule == "not_settled"
    assert change in ended.decision.reason
    why = ended.decision.reason.replace(change, "")
    assert [word for word in _LESS[language] if word in why] == []


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("rule", _EASIER)
def test_the_reasons_of_the_rules_that_make_it_easier_leave_the_change_to_its_own_sentence(
    language: str, rule: str
) -> None:
    client = load_content(content_folder(), language).messages.rules.rule[rule].client
    assert [word for word in _LESS[language] if word in client] == []


@pytest.mark.parametrize(("language", "word"), [("en", "turn"), ("de", "Drehung")])
def test_too_heavy_is_said_for_every_exercise(language: str, word: str) -> None:
    """A row and a raise have no turn."""
    assert word not in load_content(content_folder(), language).messages.rules.rule["band_too_heavy"].client

"""A limit of the range is said in words wherever the client is told how far to move; without one nothing changes."""

import math
from functools import cache

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model import step_names
from coach.model.condition import ClientCondition
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import RangeCap
from coach.progression.state_machine import initial_progress
from coach.reports.pdf.handout_text import exercise_text, handout_text, overview_of
from coach.reports.text.next_session import compare_next_sessions, next_session
from coach.reports.text.preview import preview_text, script_lines
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_of
from coach.screens.client.setup_context import setup_context
from coach.screens.sound.spoken_lines import session_words
from coach.session.lessons.cautions import cautions_before
from coach.session.phrases import setup_of, setup_values, step_text
from coach.session.plan import Plan, open_record, plan_session, script_of
from coach.session.script import Show, Trial
from coach.session.state import Instant
from coach.session.transitions import begin
from coach.toml.reader import read_model
from tests.clocks import START
from tests.demo.pristine import DEMO
from tests.plans import shown_everything

LANGUAGES = ("en", "de")
SET = {"en": "A limit is set for this movement", "de": "Dieser Bewegung ist eine Grenze gesetzt"}
STILL = {"en": "Your line is still at the limit", "de": "Ihre Linie bleibt trotzdem an der Grenze"}
EASILY = {"en": "as far as your hand goes easily is your line", "de": "So weit die Hand leicht geht, ist Ihre Linie"}

every_language = pytest.mark.parametrize("language", LANGUAGES)


@cache
def _plan(
    cap: float | None = None, language: str = "en", exercise: str = "external_rotation", *, trial: bool = False
) -> Plan:
    """The next session of a demo client, no further than `cap` in its position."""
    folder = DEMO / "plover" if exercise == "external_rotation" else content_folder() / "stand_in"
    profile = read_model(folder / "profile.toml", Profile)
    given = read_model(folder / "prescription.toml", Prescription)
    prescription = given.model_copy(update={"exercise": exercise, "positions": ("0",), "first_step": None})
    caps = () if cap is None else (RangeCap(position="0", available_deg=cap),)
    before = initial_progress(prescription).model_copy(update={"range_caps": caps})
    content = load_content(content_folder(), language)
    before = shown_everything(before).model_copy(update={"trial_ago": 99 if trial else 0})
    return plan_session(profile, prescription, content, before)


def _reach_lines(plan: Plan) -> tuple[str, ...]:
    return step_text(step_names.REACH, plan, setup_values(plan, setup_of(plan, plan.step))).lines


def _reach_page(plan: Plan) -> TextPage:
    record = open_record(plan, START)
    script = script_of(plan, record)
    state = begin(plan, script, record, Instant(0.0, START))
    at = next(i for i, step in enumerate(script.steps) if isinstance(step, Show | Trial) and step.name == "reach")
    return page_of(state._replace(at_step=at), setup_context(plan, record))


def _hand_cm(plan: Plan) -> float:
    setup = setup_of(plan, plan.step)
    return math.dist(setup.start.hand_m, setup.end.hand_m) * 100


@every_language
def test_the_page_of_the_line_says_a_limit_before_and_after_how_far_it_goes_easily(language: str) -> None:
    plan, free = _plan(20, language), _plan(None, language)
    first, *between, last = _reach_lines(plan)
    assert tuple(between) == _reach_lines(free)
    assert SET[language] in first
    assert " 50 " in first  # from 30 degrees before straight ahead, to 20 after
    assert f" {math.floor(_hand_cm(plan))} cm" in first
    assert STILL[language] in last


@every_language
def test_a_path_is_limited_in_its_own_unit(language: str) -> None:
    first = _reach_lines(_plan(12, language, "row"))[0]
    assert SET[language] in first
    assert "12 cm" in first
    assert "degree" not in first
    assert "Grad" not in first


def test_a_range_that_is_not_capped_is_told_as_before() -> None:
    assert _reach_lines(_plan(120)) == _reach_lines(_plan())  # wider than what the client has
    assert not any("limit" in line for line in _reach_lines(_plan()))
    assert cautions_before(_plan(120)) == cautions_before(_plan())
    assert handout_text(_plan(120), ()) == handout_text(_plan(), ())


def test_a_condition_that_caps_the_range_is_told_as_well() -> None:
    plan = _plan()
    repair = ClientCondition(kind="subscapularis_repair", on=START.date(), by="AB")
    profile = plan.profile.model_copy(update={"condition": (repair,)})
    capped = plan_session(profile, plan.prescription, plan.content, plan.before)
    assert " 60 degrees" in _reach_lines(capped)[0]


@every_language
def test_the_screen_and_the_cautions_carry_the_limit(language: str) -> None:
    plan = _plan(20, language)
    page = _reach_page(plan)
    assert SET[language] in page.lead
    assert any(STILL[language] in line for line in page.lines)
    assert any(SET[language] in line for line in cautions_before(plan).own)


@every_language
def test_the_voice_says_the_limit(language: str) -> None:
    words = list(session_words(_plan(20, language), START))
    assert any(SET[language] in line for line in words)
    assert any(STILL[language] in line for line in words)


@every_language
def test_before_the_timed_movement_the_limit_is_said_too(language: str) -> None:
    plan = _plan(20, language, trial=True)
    assert plan.trial_due
    page = _reach_page(plan)
    assert SET[language] in page.lead
    lines = [line for _, texts in script_lines(plan, open_record(plan, START)) for line in texts]
    assert sum(SET[language] in line for line in lines) == 2  # with the cautions, and before the movement


@every_language
def test_the_preview_and_the_comparison_before_signing_list_the_limit(language: str) -> None:
    free, capped = _plan(None, language), _plan(20, language)
    assert SET[language] in " ".join(preview_text(capped, START).split())
    before = next_session(free.profile, free.prescription, free.before, free.content, START)
    after = next_session(free.profile, free.prescription, capped.before, free.content, START)
    messages = free.content.messages.therapist.steering
    parts = {part.title: str(part) for part in compare_next_sessions(before, after, messages)}
    assert SET[language] in parts[messages.script]


@every_language
def test_the_handout_says_the_limit_instead_of_how_far_it_goes_easily(language: str) -> None:
    plan = _plan(20, language)
    lines = handout_text(plan, ()).setup_lines
    assert sum(SET[language] in line for line in lines) == 1
    assert not any(EASILY[language] in line for line in lines)


@every_language
def test_in_a_programme_the_limit_stands_with_its_exercise(language: str) -> None:
    plans = [_plan(None, language), _plan(12, language, "row")]
    texts = [exercise_text(plan, (), number + 1, ()) for number, plan in enumerate(plans)]
    assert [any(SET[language] in line for line in text.setup_lines) for text in texts] == [False, True]
    free = [exercise_text(plan, (), number + 1, ()) for number, plan in enumerate(plans[:1])]
    assert any(EASILY[language] in line for line in overview_of(free, plans[:1]).said)
    said = " ".join(overview_of(texts, plans).said)
    assert plans[0].content.messages.client.handout.line_or_limit in said
    assert EASILY[language] + "." not in said

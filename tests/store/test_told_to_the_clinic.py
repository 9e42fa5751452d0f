"""What a session that ended early leaves for the therapist: in the caseload, in the history, and at a visit."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model import step_names
from coach.model.record import Decision
from coach.overview.caseload_lines import LineSources, caseload_line
from coach.overview.visits.since_visit import since_lines
from coach.progression.decision_messages import decided_for_therapist
from coach.reports.fhir.answers import questionnaire_response
from coach.reports.text.history import client_history_text
from coach.screens.therapist.visit.visit_basis import visit_subject
from coach.session.interruptions import report_trouble
from coach.session.runner import answer, back, choose, leave, take_back
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.live_session import Key, open_session, start_session
from coach.store.therapist.steering import read_snapshot
from tests.plans import plan_of, shipped
from tests.store.test_closed_lid import LaptopClock, at_step


def _said(value: int | str) -> Key:
    return lambda state, now: answer(state, value, now)


def _chosen(value: int | str) -> Key:
    return lambda state, now: choose(state, value, now)


LEFT = {
    "the pain key": ([report_trouble], "stopped by pain", "before it was said what it is"),
    "an ache": ([report_trouble, _said("ache")], "stopped by pain", "before it was said what it is"),
    "a pain taken back": (
        [report_trouble, _said("sharp"), back, back],
        "pain or sign not clear",
        "To ask about: a pain was not described",
    ),
    "six of ten taken back": (
        [_chosen(6), take_back],
        "pain or sign not clear",
        "To ask about: an answer that would",
    ),
    "six of ten": ([_chosen(6)], "stopped by pain", "Pain 6 of 10, limit 5."),
}


@pytest.mark.parametrize(("keys", "need", "sentence"), LEFT.values(), ids=LEFT.keys())
def test_what_was_left_at_the_check_in_is_seen_in_the_clinic(
    demo_profiles: Path, keys: Sequence[Key], need: str, sentence: str
) -> None:
    """Once the pain key left no trace; a pain taken back stood in the history alone, a stop on no page of a visit."""
    clock, folder = LaptopClock(), demo_profiles / "heron"
    live = at_step(folder, clock, step_names.PAIN_NOW)
    for key in (*keys, leave):
        clock.run(5)
        live.act(key)
    assert live.state.over
    now, store = clock().at, ClientStore.read(folder, shipped())
    sources = LineSources(load_needs(content_folder()), shipped(), now.date())
    assert need in caseload_line(summary_of(folder, shipped(), now), sources).needs_text
    history = " ".join(client_history_text(store).split())
    assert sentence in history
    assert ("it was not said what it is" in history) == (list(keys) == [report_trouble])
    answers = questionnaire_response(store.profile, live.state.record, shipped())
    assert "pain_key" not in str(answers), "a key that was pressed answers no question"
    told = [
        line
        for line in since_lines(visit_subject(read_snapshot(folder), shipped(), now).since, shipped())
        if sentence in line
    ]
    assert len(told) == 1


def test_the_pain_key_is_on_the_disk_before_anything_is_said(demo_profiles: Path) -> None:
    """A closed program: minutes later the question is asked again."""
    clock, folder = LaptopClock(), demo_profiles / "heron"
    live = at_step(folder, clock, step_names.PAIN_NOW)
    live.act(report_trouble)
    clock.sleep(0.1)
    opening = open_session(ClientStore.read(folder, shipped()), clock())
    assert start_session(opening, clock, resume=True).state.asking == live.state.asking


def test_hours_after_the_pain_key_it_counts_as_a_stop(demo_profiles: Path) -> None:
    clock, folder = LaptopClock(), demo_profiles / "heron"
    at_step(folder, clock, step_names.PAIN_NOW).act(report_trouble)
    clock.sleep(30)
    assert open_session(ClientStore.read(folder, shipped()), clock()).interrupted is None
    decision = ClientStore.read(folder, shipped()).folded_progress.decision
    assert decision is not None
    assert (decision.rule, decision.move) == ("pain_left_open", "stop")


def test_a_warning_sign_is_said_once_at_the_visit(demo_profiles: Path) -> None:
    clock, folder = LaptopClock(), demo_profiles / "heron"
    live = at_step(folder, clock, step_names.SIGN)
    for key in (_chosen("chest_pain"), leave):
        clock.run(5)
        live.act(key)
    lines = since_lines(visit_subject(read_snapshot(folder), shipped(), clock().at).since, shipped())
    sign = shipped().messages.safety.sign["chest_pain"]
    assert len([line for line in lines if sign in line]) == 1


@pytest.mark.parametrize(
    ("rule", "numbers", "told"),
    [
        ("pain_over_limit", {"pain": 6, "limit": 5, "to_nm": 2.0}, "Pain 6 of 10, limit 5. Stopped; one step easier"),
        ("pain_over_limit", {"pain": 6}, "pain over the limit."),
        ("settled_twice", {}, "settled twice."),
    ],
)
def test_a_rule_that_the_content_has_changed_since_is_named(
    rule: str, numbers: dict[str, int | float | str], told: str
) -> None:
    plan = plan_of("tern")
    load = plan.step
    decision = Decision(
        move="stop", rule=rule, reason="r", source="s", numbers=numbers, load=load, repetitions=8, status="paused"
    )
    assert decided_for_therapist(decision, plan.book).startswith(told)

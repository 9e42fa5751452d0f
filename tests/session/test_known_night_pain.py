"""Known pain at night: one kind only, for four weeks, never with cancer in the past, and not once it is worse."""

from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.cli import main
from coach.content_files.content_folder import content_folder, languages, load_content
from coach.model.answers_file import Answers
from coach.model.condition import ClientCondition
from coach.model.option_names import InstructionKind
from coach.progression.state_machine import advance
from coach.session.plan import Plan, open_record
from coach.session.rehearsal import rehearse
from coach.store.client_folder import read_client_folder
from tests.clocks import START
from tests.plans import plan_of


def known(days_ago: int) -> Plan:
    """A client whose pain at night was signed as known so many days ago."""
    plan = plan_of("tern")
    on = START.date() - timedelta(days=days_ago)
    return replace(plan, before=plan.before.model_copy(update={"night_pain_known_on": on}))


def answered(kind: str) -> Answers:
    """Pain at night of this kind."""
    return Answers(answer={"sign": "night_pain", "check_in.night": kind})


@pytest.mark.parametrize(("days_ago", "lasts"), [(0, True), (27, True), (28, False), (200, False)])
def test_it_ends_after_four_weeks(days_ago: int, lasts: bool) -> None:
    assert bool(open_record(known(days_ago), START).night_pain_known) == lasts


def test_it_is_never_known_with_cancer_in_the_past() -> None:
    plan = known(1)
    cancer = ClientCondition(kind="cancer", on=START.date(), by="a letter")
    plan = replace(plan, profile=plan.profile.model_copy(update={"condition": (cancer,)}))
    assert open_record(plan, START).night_pain_known is None


def test_known_pain_at_night_stops_nothing() -> None:
    plan = known(1)
    record, ended = rehearse(plan, answered("on_that_side"), START)
    assert ended.decision.move != "stop"
    assert advance(plan.before, record, plan.book).after.night_pain_known_on is not None


@pytest.mark.parametrize("kind", ["however_i_lie", "worse_or_more"])
def test_what_is_worse_or_not_alone_stops_and_is_known_no_longer(kind: str) -> None:
    plan = known(1)
    record, ended = rehearse(plan, answered(kind), START)
    assert (ended.decision.rule, ended.decision.status) == ("warning_sign", "review")
    assert advance(plan.before, record, plan.book).after.night_pain_known_on is None


def test_the_client_is_asked_about_weight_and_illness() -> None:
    said = plan_of("tern").content.messages.client.check_in.night["worse_or_more"]
    assert "weight" in said
    assert "ill" in said


def sign(client: Path) -> int:
    """Sign pain at night as known, on the command line."""
    return main(["steer", str(client), "know_night_pain", "--initials", "KB", "--reason", "asked", "--yes"])


def test_it_is_signed_and_shown(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert sign(demo_profiles / "tern") == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "pain at night as known" in said
    assert [one.what for one in read_client_folder(demo_profiles / "tern").prescription.sign_offs] == [
        "know_night_pain"
    ]


def test_it_is_not_signed_with_cancer_in_the_past(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    profile = demo_profiles / "tern" / "profile.toml"
    with profile.open("a", encoding="utf-8") as file:
        file.write('\n[[condition]]\nkind = "cancer"\non = 2020-01-01\nby = "a letter"\n')
    assert sign(demo_profiles / "tern") == 2
    assert "not signed as known" in capsys.readouterr().err


@pytest.mark.parametrize("language", languages(content_folder()))
def test_every_instruction_has_its_words(language: str) -> None:
    """One without them could be signed and then not be shown."""
    messages = load_content(content_folder(), language).messages.therapist.steering
    assert set(messages.instruction) >= set(InstructionKind.__args__)  # type: ignore[attr-defined]

"""A session that was done after an operation and before it was allowed is said until it is answered."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.caseload_loading import caseload_lines
from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.model.condition import ClientCondition
from coach.model.instruction import Instruction
from coach.overview.caseload_lines import CaseloadLine
from coach.session.admission.trained_closed import ClosedRecord, closed_text, trained_while_closed
from tests.clocks import FakeClock
from tests.plans import plan_of
from tests.progression.records import START, instruction, session
from tests.store.programme.by_hand import MONDAY, Clock, open_live, over, play

DAY_S = 24 * 3600.0
TOLD = "trained 2 days after a repair of the rotator cuff, before it was allowed"


@pytest.fixture(autouse=True)
def the_day(monkeypatch: pytest.MonkeyPatch) -> FakeClock:
    """The day after the demo histories, whatever the clock of this computer says."""
    clock = FakeClock(MONDAY)
    monkeypatch.setattr("coach.store.clock.now", clock)
    return clock


def _signed(command: str, client: Path, *typed: str) -> None:
    assert main([command, str(client), *typed, "--initials", "KB", "--yes"]) == 0


def _told(*command: str | Path, capsys: pytest.CaptureFixture[str]) -> str:
    capsys.readouterr()
    assert main([str(one) for one in command]) == 0
    return " ".join(capsys.readouterr().out.split())


def _line(client: Path) -> CaseloadLine:
    (line,) = (one for one in caseload_lines(client.parent) if one.folder == client.name)
    return line


def _needs(client: Path) -> list[str]:
    return [one.name for one in _line(client).needs]


def _session_at_home(client: Path, clock: FakeClock, monkeypatch: pytest.MonkeyPatch) -> None:
    """A session by somebody who does not know of any condition, as its file comes into the folder."""
    told = Clock(clock().at)
    with monkeypatch.context() as unknown:
        unknown.setattr("coach.session.admission.admit.closed_by", lambda *_: None)
        play(open_live(client, told), told, over, Answers())
    clock.advance(told().s)


@pytest.mark.parametrize("name", ["tern", "curlew"])
def test_a_session_while_it_was_closed_is_said_until_it_is_answered(
    name: str,
    demo_profiles: Path,
    the_day: FakeClock,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    client = demo_profiles / name
    operation = (MONDAY - timedelta(days=1)).date()
    _signed("visit", client, "condition.kind=cuff_repair", f"condition.on={operation}", "condition.by=surgeon")
    the_day.advance(DAY_S)
    _session_at_home(client, the_day, monkeypatch)
    assert _needs(client)[:2] == ["trained_closed", "may_not_start"]
    assert _line(client).needs_text[0] == TOLD
    the_day.advance(60)
    _signed("steer", client, "allow_strengthening", "--reason", "by the surgeon")
    assert _needs(client)[0] == "trained_closed"
    trained = (MONDAY + timedelta(days=1)).date()
    assert f"On {trained}: {TOLD}." in _told("visit", client, capsys=capsys)
    assert f"On {trained}: {TOLD}." in _told("history", client, capsys=capsys)
    the_day.advance(2 * DAY_S)
    _session_at_home(client, the_day, monkeypatch)
    assert _needs(client)[0] == "trained_closed"  # a good session that is allowed answers nothing
    _signed("visit", client, "needs.trained_closed.how=answered", "needs.trained_closed.what=seen, the repair holds")
    assert "trained_closed" not in _needs(client)
    the_day.advance(2 * DAY_S)
    _session_at_home(client, the_day, monkeypatch)
    assert "trained_closed" not in _needs(client)


def test_the_german_words_fit() -> None:
    content = load_content(content_folder(), "de")
    client = _closed(ClientCondition(kind="cuff_repair", on=_day(-1), by="surgeon"))
    assert len(client) == 1
    assert closed_text(client[0].session, content) == (
        "trainiert, bevor es erlaubt war (eine Naht der Rotatorenmanschette, 1 Tag danach)"
    )


@pytest.mark.parametrize(
    ("on", "allowed", "knew", "closed"),
    [
        (-1, None, True, True),
        (0, None, True, False),  # on the day of the operation itself, it may have come first
        (1, None, True, False),
        (-3, -2, True, False),
        (-3, -2, False, True),  # allowed by somebody who did not know of it
        (-3, -4, True, True),  # allowed before the operation
        (-3, 1, True, True),  # allowed afterwards
    ],
)
def test_what_counts_as_closed(on: int, allowed: int | None, knew: bool, closed: bool) -> None:
    condition = ClientCondition(kind="cuff_repair", on=_day(on), by="surgeon")
    signed = [] if allowed is None else [_permission(allowed, [condition] if knew else [])]
    assert bool(_closed(condition, *signed)) == closed
    assert not _closed(ClientCondition(kind="injection", on=_day(on), by="surgeon"), *signed)


def _day(days: int) -> date:
    return (START + timedelta(days=days)).date()


def _permission(days: int, known: list[ClientCondition]) -> Instruction:
    return instruction("allow_strengthening", days, conditions=tuple(one.known for one in known))


def _closed(condition: ClientCondition, *signed: Instruction) -> tuple[ClosedRecord, ...]:
    """What of a session on the first day was closed."""
    plan = plan_of("tern")
    profile = plan.profile.model_copy(update={"condition": (condition,)})
    prescription = plan.prescription.model_copy(update={"sign_offs": signed})
    return trained_while_closed(profile, prescription, plan.content, plan.before, [session()])


@pytest.mark.parametrize(("repaired", "closed"), [(-2, True), (0, False), (1, False), (-90, False)])
def test_a_repair_in_the_programme_closes_as_well(repaired: int, closed: bool) -> None:
    plan = plan_of("tern")
    before = plan.before.model_copy(update={"repaired_on": _day(repaired), "prescribed_on": _day(-1)})
    found = trained_while_closed(plan.profile, plan.prescription, plan.content, before, [session()])
    assert bool(found) == closed
    if found:
        assert closed_text(found[0].session, plan.content) == (
            "trained 2 days after the operation, before it was allowed"
        )

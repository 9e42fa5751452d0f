"""What was allowed is allowed for the conditions that were known: one noted later closes again, whatever its day."""

import re
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.condition import ClientCondition
from coach.model.instruction import Instruction
from coach.model.option_names import Direction
from coach.model.programme.visit_file import VisitFile
from coach.progression.apply_instructions import apply_instruction
from coach.progression.clearing import missing_for
from coach.reports.text.next_session import next_session
from coach.session.admission.client_conditions import closed_by
from coach.session.plan import Plan
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.therapist.check_client import check_profile
from coach.store.therapist.signing_visits import propose_visit, sign_visit
from coach.store.therapist.steering import read_snapshot
from coach.toml.diagnostic import Refusal
from tests.clocks import START
from tests.plans import plan_of, shipped
from tests.store.therapist.instructions import AT, proposed, signed

HOUR = timedelta(hours=1)
EARLIER = date(2026, 11, 2)
"""The day of an operation, weeks before anything was allowed."""
REPAIR = '[[condition]]\nkind = "{kind}"\non = {on}\nby = "surgeon"\n'


def visit(client: Path, at: datetime, kind: str = "cuff_repair", on: date = EARLIER) -> None:
    """A visit at which a condition of an earlier day is noted."""
    visited(client, at, REPAIR.format(kind=kind, on=on))


def visited(client: Path, at: datetime, rest: str) -> VisitFile:
    """A visit with these keys, signed."""
    seen, head = read_snapshot(client), f'format = 2\nat = {at.isoformat()}\ninitials = "KB"\n'
    return sign_visit(seen, propose_visit(seen, head + rest, shipped()))


def obstacle(client: Path, at: datetime = AT + 9 * HOUR) -> str | None:
    return ClientStore.read(client, shipped()).admission(at).obstacle


def state_of(client: Path) -> str:
    """What the therapist reads of where the client stands."""
    one = ClientStore.read(client, shipped())
    found = next_session(one.profile, one.prescription, one.progress, shipped(), AT + 9 * HOUR)
    return "\n".join(found.state)


def test_an_earlier_operation_noted_at_a_visit_after_the_permission_closes_again(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    signed(client, "allow_strengthening")
    assert obstacle(client) is None
    visit(client, AT + HOUR)  # of the same day
    assert obstacle(client) == "condition"
    signed(client, "allow_strengthening", at=AT + 2 * HOUR)
    assert obstacle(client) is None
    said = shipped().messages.therapist.steering.state.allowed
    assert said in state_of(client)
    visit(client, AT + 3 * HOUR, on=EARLIER - timedelta(days=40))
    assert obstacle(client) == "condition"
    assert said not in state_of(client)
    assert check_profile(client, shipped()) == ()


def test_an_earlier_operation_written_into_the_profile_closes_again(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    signed(client, "allow_strengthening")
    into_profile(client, REPAIR.format(kind="cuff_repair", on=EARLIER))
    assert obstacle(client) == "condition"
    signed(client, "allow_strengthening", at=AT + HOUR)
    assert obstacle(client) is None
    known = read_client_folder(client).signed[-1].conditions
    assert known is not None
    assert [(one.kind, one.on) for one in known] == [("cuff_repair", EARLIER)]


def into_profile(client: Path, rest: str) -> None:
    """What the therapist writes into profile.toml."""
    profile = client / "profile.toml"
    profile.write_text(f"{profile.read_text(encoding='utf-8')}\n{rest}", encoding="utf-8")


def test_one_operation_that_is_over_leaves_another_of_its_kind(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    visit(client, AT, on=date(2019, 5, 1))
    visit(client, AT + HOUR)
    with pytest.raises(Refusal, match="the client has 2 conditions cuff_repair") as refused:
        visited(client, AT + 2 * HOUR, 'condition_over = ["cuff_repair"]\n')
    assert refused.value.faults[0].expected == "one of cuff_repair 2019-05-01, cuff_repair 2026-11-02"
    visited(client, AT + 2 * HOUR, 'condition_over = ["cuff_repair 2019-05-01"]\n')
    assert obstacle(client) == "condition"
    visited(client, AT + 3 * HOUR, 'condition_over = ["cuff_repair"]\n')
    assert obstacle(client) is None


def test_what_the_client_never_had_does_not_end_and_so_takes_nothing_noted_later_with_it(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    with pytest.raises(Refusal, match="the client has no condition cuff_repair"):
        visited(client, AT, 'condition_over = ["cuff_repair"]\n')
    visit(client, AT)
    assert visited(client, AT + HOUR, 'condition_over = ["cuff_repair"]\n').condition_over == (
        f"cuff_repair {EARLIER}",
    )
    assert obstacle(client) is None
    noted = "noted_on = 2026-11-29\n"
    into_profile(client, REPAIR.format(kind="cuff_repair", on=EARLIER) + noted)
    assert obstacle(client) == "condition"


def test_of_two_operations_the_client_is_told_of_the_newer_one(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    visit(client, AT, on=date(2019, 5, 1))
    visit(client, AT + HOUR)
    said = ClientStore.read(client, shipped()).admission(AT + 9 * HOUR).sentence
    assert "operated on 3 weeks ago" in said


@pytest.mark.parametrize(("degrees", "closes"), [(45, False), (60, True), (85, True), (90, True)])
def test_where_the_shoulder_can_slip_every_position_above_the_middle_is_tested(degrees: int, closes: bool) -> None:
    plan = plan_of("tern")
    profile = plan.profile.model_copy(
        update={"condition": (ClientCondition(kind="instability", on=EARLIER, by="KB"),)}
    )
    ninety = plan.content.exercise(plan.prescription.exercise).position("90")
    here = ninety.model_copy(update={"name": str(degrees), "abduction_deg": degrees})
    assert (closed_by(profile, plan.content, plan.before, here) is not None) == closes
    word = _instruction("unlock_position", position=str(degrees), despite=("range", "strength", "order"))
    exercise = replace(plan.content.exercise(plan.prescription.exercise), positions=(here,))
    kinds = (plan.content.conditions["instability"],)
    missing = missing_for(word, profile, plan.prescription, plan.before, (), kinds, exercise, plan.limits)
    assert missing == (("apprehension",) if closes else ())


@pytest.mark.parametrize(
    ("kind", "direction", "says"),
    [
        ("joint_replacement", "internal", "not for your shoulder, because of a new shoulder joint"),
        ("joint_replacement", "external", "your therapist tests it before you work there"),
        ("stabilisation", "external", "your therapist tests it before you work there"),
    ],
)
def test_once_strengthening_is_allowed_what_is_still_closed_is_said(
    kind: str, direction: Direction, says: str
) -> None:
    plan = plan_of("tern")
    one = ClientCondition(kind=kind, on=EARLIER, by="surgeon")
    profile = plan.profile.model_copy(update={"condition": (one,)})
    here = plan.content.exercise(plan.prescription.exercise).position("90")
    here = here.model_copy(update={"direction": direction})
    waits = closed_by(profile, plan.content, plan.before, here)
    assert waits is not None
    assert "until your therapist signs that it may begin" in waits.message(plan.content, START.date())
    allowed = _instruction("allow_strengthening", conditions=(one.known,))
    progress = apply_instruction(plan.before, allowed, plan.prescription, plan.book)
    closed = closed_by(profile, plan.content, progress, here)
    assert closed is not None
    assert says in closed.message(plan.content, START.date())


@pytest.mark.parametrize("kind", ["instability", "stabilisation"])
def test_ninety_degrees_tested_before_a_condition_was_noted_are_tested_again(kind: str) -> None:
    plan = plan_of("tern")
    one = ClientCondition(kind=kind, on=EARLIER, by="surgeon")
    profile = plan.profile.model_copy(update={"condition": (one,)})

    def closes(known: tuple[ClientCondition, ...]) -> bool:
        tested = {"position": "90", "apprehension": "absent", "conditions": tuple(each.known for each in known)}
        both = (_instruction("unlock_position", **tested), _instruction("allow_strengthening"))
        progress = plan.before
        for instruction in both:
            progress = apply_instruction(progress, instruction, plan.prescription, plan.book)
        here = plan.content.exercise(plan.prescription.exercise).position("90")
        return closed_by(profile, plan.content, progress, here) is not None

    assert closes(())
    assert not closes((one,))


@pytest.mark.parametrize(("noted_days_later", "closes"), [(-1, False), (0, False), (1, True)])
def test_what_was_allowed_before_conditions_were_written_is_for_those_noted_up_to_its_day(
    noted_days_later: int, closes: bool
) -> None:
    plan = plan_of("tern")
    noted = START.date() + timedelta(days=noted_days_later)
    one = ClientCondition(kind="cuff_repair", on=EARLIER, by="surgeon", noted_on=noted)
    assert (_closed(plan, one) is not None) == closes


def _closed(plan: Plan, one: ClientCondition) -> object:
    allowed = _instruction("allow_strengthening")
    progress = apply_instruction(plan.before, allowed, plan.prescription, plan.book)
    return closed_by(plan.profile.model_copy(update={"condition": (one,)}), plan.content, progress, None)


def _instruction(what: str, **said: object) -> Instruction:
    return Instruction.model_validate({"at": START, "initials": "KB", "what": what, "reason": "seen", **said})


def test_what_was_allowed_is_withdrawn_by_putting_the_client_in_review(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    visit(client, AT)
    signed(client, "allow_strengthening", at=AT + HOUR)
    signed(client, "know_night_pain", at=AT + 2 * HOUR)
    assert obstacle(client) is None
    signed(client, "begin_review", at=AT + 3 * HOUR)
    assert obstacle(client) == "review"
    said = ClientStore.read(client, shipped()).admission(AT + 9 * HOUR).sentence
    assert said == "There is no session now. Your therapist signed this, until they let you go on."
    signed(client, "end_review", at=AT + 4 * HOUR)
    assert obstacle(client) == "condition"
    assert ClientStore.read(client, shipped()).progress.night_pain_known_on is None
    assert check_profile(client, shipped()) == ()


@pytest.mark.parametrize("what", ["allow_strengthening", "know_night_pain"])
def test_what_cannot_be_taken_back_names_what_is_signed_instead(
    demo_profiles: Path, what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = demo_profiles / "tern"
    word = signed(client, what).instruction
    monkeypatch.setattr("coach.store.therapist.steering.done_under", lambda *_: True)
    with pytest.raises(Refusal, match="a session was done since") as refused:
        proposed(client, "take_back", at=AT + HOUR, signed_at=word.at.isoformat())
    assert refused.value.faults[0].fix == "sign begin_review instead"


def test_that_strengthening_is_allowed_is_said_without_how_long_ago_the_repair_was() -> None:
    """It is said of operations without weeks too, and once the weeks are over."""
    for language in ("en", "de"):
        steering = load_content(content_folder(), language).messages.therapist.steering
        for line in (steering.state.allowed, steering.instruction["allow_strengthening"].how):
            assert not re.search(r"\bweeks?\b|\bWochen?\b", line)

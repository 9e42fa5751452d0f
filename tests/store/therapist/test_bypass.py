"""Every way round a safety rule, tried: what must not be possible is not, what is possible leaves a signed trace."""

from datetime import timedelta
from pathlib import Path

import pytest

from coach.model.option_names import InstructionKind
from coach.model.progress import Progress
from coach.progression.state_machine import fold
from coach.session.plan import plan_session
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import Refusal, render
from tests.clocks import START as TODAY
from tests.plans import shipped
from tests.progression.records import book, instruction, prescription, session
from tests.store.therapist.instructions import AT, proposed, signed

INSTRUCTION = '\n[[sign_offs]]\nat = {at}\ninitials = "KB"\nwhat = "{what}"\n{more}reason = "{reason}"\n'


def standing(client: Path) -> Progress:
    return ClientStore.read(client, shipped()).folded_progress


def by_hand(client: Path, old: str, new: str, name: str = "prescription.toml") -> None:
    """What somebody changes in an editor."""
    file = client / name
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def add_instruction(client: Path, what: str, at: str, more: str = "", reason: str = "seen") -> None:
    with (client / "prescription.toml").open("a", encoding="utf-8") as file:
        file.write(INSTRUCTION.format(at=at, what=what, more=more, reason=reason))


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("unlock_position", {"position": "45"}),
        ("allow_strengthening", {}),
        ("overrule", {"repetitions": 9}),
        ("overrule", {"load": {"grade": "knotted", "strands": 1, "distance_cm": 60}}),
        ("lift_freeze", {}),
        ("lift_caps", {}),
    ],
)
def test_a_review_for_a_warning_sign_is_ended_by_no_other_word(
    what: InstructionKind, said: dict[str, object]
) -> None:
    stopped = session(given={"sign": "gave_way"}, done=())
    progress, _ = fold(prescription(sign_offs=(instruction(what, 1, **said),)), [stopped], book())
    assert progress.status == "review"


def test_an_unlock_does_not_pass_a_cap_whose_lifting_was_taken_back_in_vain() -> None:
    """The cap was taken back after a session was done under it, which changes nothing: the cap still stands."""
    cap = instruction("cap_position", 1, position="0")
    instructions = (
        cap,
        instruction("take_back", 5, signed_at=cap.at),
        instruction("unlock_position", 6, position="45"),
    )
    between = session(days=3)
    assert fold(prescription(sign_offs=instructions), [between], book())[0].position == "0"
    assert fold(prescription(sign_offs=instructions), [], book())[0].position == "45"


@pytest.mark.parametrize(("value", "held"), [("8", 5.0), ("-1", 0.0)])
def test_a_limit_beyond_its_hard_bounds(demo_profiles: Path, value: str, held: float) -> None:
    """Not by a word; written by hand it is told, and counts only as far as the bound."""
    client = demo_profiles / "plover"
    with pytest.raises(Refusal, match="hard bound"):
        proposed(client, "change", limits__pain_max=value)
    by_hand(client, "pain_max = 4", f"pain_max = {value}")
    (told,) = check_profile(client, shipped(), ("en",))
    assert "hard bound" in told.what
    folder = read_client_folder(client)
    plan = plan_session(folder.profile, folder.prescription, shipped(), standing(client))
    assert plan.limits["pain_max"] == held


@pytest.mark.parametrize("reason", ["", "   "])
def test_no_word_without_a_reason(demo_profiles: Path, reason: str) -> None:
    client = demo_profiles / "plover"
    with pytest.raises(Refusal, match="reason is empty"):
        proposed(client, "freeze_load", reason=reason)
    add_instruction(client, "freeze_load", "2026-11-23T09:00:00+01:00", reason=reason)
    assert any("reason is empty" in render(fault) for fault in check_profile(client, shipped(), ("en",)))


@pytest.mark.parametrize("initials", ["", "k", "kb", "K B", "KBKBK", "K1"])
def test_no_word_without_initials(demo_profiles: Path, initials: str) -> None:
    with pytest.raises(Refusal, match="initials"):
        proposed(demo_profiles / "plover", "freeze_load", initials=initials)


def test_a_word_taken_out_by_hand_is_missed(demo_profiles: Path) -> None:
    """Sessions were done under it: what they led to no longer follows, and history says so."""
    client = demo_profiles / "heron"
    file = client / "prescription.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.rindex("[[sign_offs]]")], encoding="utf-8")
    assert ClientStore.read(client, shipped()).agreement == "differs"


def test_a_word_dated_otherwise_by_hand_is_missed(demo_profiles: Path) -> None:
    client = demo_profiles / "heron"
    by_hand(client, "at = 2026-11-16T09:10:00+01:00", "at = 2026-11-19T09:10:00+01:00")
    assert ClientStore.read(client, shipped()).agreement == "differs"


def test_a_word_from_a_day_to_come_keeps_the_session_closed(demo_profiles: Path) -> None:
    """It would end every review until then."""
    client, to_come = demo_profiles / "plover", TODAY + timedelta(days=300)
    assert ClientStore.read(client, shipped()).latest_date_after(TODAY) is None
    add_instruction(client, "end_review", to_come.isoformat())
    assert ClientStore.read(client, shipped()).latest_date_after(TODAY) == to_come
    with pytest.raises(Refusal, match="newest session or instruction is dated"):
        proposed(client, "freeze_load")


def test_a_word_dated_before_the_review_does_not_end_it() -> None:
    stopped = session(given={"sign": "gave_way"}, done=())
    assert fold(prescription(sign_offs=(instruction("end_review", -1),)), [stopped], book())[0].status == "review"


def test_progress_written_by_hand_counts_for_nothing_and_is_told(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    before = standing(client)
    by_hand(client, 'position = "0"', 'position = "45"', "progress.toml")
    assert standing(client) == before
    assert ClientStore.read(client, shipped()).agreement == "differs"


def test_no_word_reaches_a_load_that_is_not_on_the_ladder(demo_profiles: Path) -> None:
    with pytest.raises(Refusal, match="is no load step"):
        proposed(
            demo_profiles / "plover",
            "overrule",
            **{"load.grade": "woven", "load.strands": "1", "load.distance_cm": "200"},
        )


def test_the_goal_is_no_way_to_another_position(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    with pytest.raises(Refusal, match="positions would begin at 45"):
        proposed(client, "change", positions="45, 90")
    with pytest.raises(Refusal, match="positions would leave out 90 degrees, where the client is"):
        proposed(demo_profiles / "heron", "change", positions="0, 45")


def test_an_unlock_above_a_cap_is_refused_until_the_caps_are_lifted(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    signed(client, "cap_position", position="0")
    with pytest.raises(Refusal, match="capped at 0"):
        proposed(client, "unlock_position", at=AT + timedelta(hours=1), position="45")


def test_strengthening_before_its_weeks_is_possible_and_leaves_its_word(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    signed(client, "change", repaired_on="2026-11-01")
    signed(client, "allow_strengthening", at=AT + timedelta(hours=1), reason="surgeon's letter")
    instructions = read_client_folder(client).prescription.sign_offs
    assert [(one.initials, one.what, one.reason) for one in instructions] == [
        ("KB", "change", "seen today"),
        ("KB", "allow_strengthening", "surgeon's letter"),
    ]
    assert instructions[0].changed[0].key == "repaired_on"


def test_strengthening_that_was_allowed_is_not_allowed_after_a_later_operation(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"

    def obstacle() -> str | None:
        return ClientStore.read(client, shipped()).admission(AT + timedelta(hours=9)).obstacle

    signed(client, "change", repaired_on="2026-11-01")
    assert obstacle() == "rule"
    signed(client, "allow_strengthening", at=AT + timedelta(hours=1))
    assert obstacle() is None
    signed(client, "change", at=AT + timedelta(hours=2), repaired_on="2026-11-23")
    assert obstacle() == "rule"
    signed(client, "allow_strengthening", at=AT + timedelta(hours=3))
    assert obstacle() is None
    signed(client, "take_back", at=AT + timedelta(hours=4))
    assert obstacle() == "rule"


def test_an_earlier_repair_is_not_brought_back_under_what_was_allowed_for_another(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    signed(client, "change", repaired_on="2026-11-23")
    made = signed(client, "change", at=AT + timedelta(hours=1), repaired_on="2026-11-01")
    signed(client, "allow_strengthening", at=AT + timedelta(hours=2))
    when = made.instruction.at.isoformat()
    with pytest.raises(Refusal, match="repaired_on would be 2026-11-23 again"):
        proposed(client, "take_back", at=AT + timedelta(hours=3), signed_at=when)
    signed(client, "take_back", at=AT + timedelta(hours=3))
    assert proposed(client, "take_back", at=AT + timedelta(hours=4), signed_at=when).prescription.repaired_on


def test_what_only_a_file_may_say_is_said_by_no_word(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    for key in ("sign_offs", "initials__x", "on", "format", "first_step"):
        with pytest.raises(Refusal, match="is not changed by an instruction"):
            proposed(client, "change", **{key: "1"})

"""An instruction goes into prescription.toml, signed, and nothing else of the file changes."""

import difflib
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from coach.model.prescription import Prescription
from coach.model.progress import Progress
from coach.reports.text.next_session import next_session
from coach.session.plan import plan_session
from coach.store.client_folder import read_client_folder
from coach.store.client_paths import KEPT
from coach.store.client_store import ClientStore
from coach.store.therapist.check_client import check_profile
from coach.store.therapist.steering import InstructionRequest, propose_instruction, read_snapshot, sign_instruction
from coach.toml.diagnostic import Refusal
from tests.plans import shipped
from tests.store.therapist.instructions import AT, proposed, signed


def standing(client: Path) -> Progress:
    return ClientStore.read(client, shipped()).folded_progress


def file_of(client: Path) -> Path:
    """prescription.toml, which signing moves into a folder of its own: the client is then of the newest format."""
    kept = client / KEPT / "prescription.toml"
    return kept if kept.exists() else client / "prescription.toml"


def text_of(client: Path) -> str:
    return file_of(client).read_text(encoding="utf-8")


def set_by(client: Path) -> Prescription:
    """What is prescribed, without the instructions."""
    return read_client_folder(client).prescription.model_copy(update={"sign_offs": ()})


def diff(before: str, after: str) -> list[str]:
    """The lines taken out and put in."""
    lines = list(difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm=""))
    return [line for line in lines[2:] if not line.startswith("@@")]


@pytest.mark.parametrize("name", ["plover", "curlew"])
def test_what_is_signed_ends_its_lines_as_the_file_does(name: str, demo_profiles: Path) -> None:
    client = demo_profiles / name
    for file in (client / "prescription.toml", client / "programme" / "0001.toml"):
        if file.exists():
            file.write_bytes(file.read_bytes().replace(b"\n", b"\r\n"))
    signed(client, "change", dose__sets="2", limits__pain_max="3")
    changed = file_of(client) if name == "plover" else client / "programme" / "0002.toml"
    text = changed.read_bytes()
    assert text.count(b"\n") == text.count(b"\r") == text.count(b"\r\n") > 0


def test_a_value_is_changed_in_its_place_and_the_word_stands_at_the_end(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    file = client / "prescription.toml"
    file.write_text(text_of(client).replace("sets = 3", "sets   = 3   # no more, says KB"), encoding="utf-8")
    before = text_of(client)
    signed(client, "change", dose__sets="2", limits__pain_max="3")
    assert diff(before, text_of(client)) == [
        "-sets   = 3   # no more, says KB",
        "+sets   = 2   # no more, says KB",
        "-pain_max = 4",
        "+pain_max = 3",
        "+",
        "+[[sign_offs]]",
        "+at = 2026-11-25T09:30:00+01:00",
        '+initials = "KB"',
        '+what = "change"',
        "+changed = [",
        '+  { key = "dose.sets", was = "3", now = "2" },',
        '+  { key = "limits.pain_max", was = "4", now = "3" },',
        "+]",
        '+reason = "seen today"',
    ]
    assert check_profile(client, shipped(), ("en",)) == ()
    assert oct(file_of(client).stat().st_mode & 0o777) == "0o600"


@pytest.mark.parametrize(
    "values",
    [
        {"dose__tempo__out_s": "2,5"},
        {"dose__sets_least": "2"},
        {"limits__review_weeks": "8"},
        {"setups__45__anchor_height_cm": "90", "setups__45__body_turn_deg": "60"},
        {"targets__0": "3.1"} | {"targets__0__mean_nm": "3.1"},
        {"bands": "striped, knotted"},
        {"positions": "0 45 90"},
        {"activities": "haul a rope; carry a crate, full; row"},
        {"goal": "row for 20 minutes"},
        {"repaired_on": "2026-06-01"},
    ],
)
def test_every_value_that_may_be_changed_is_and_taking_it_back_gives_the_old_one(
    demo_profiles: Path, values: dict[str, str]
) -> None:
    client = demo_profiles / "plover"
    values.pop("targets__0", None)
    before = set_by(client)
    made = signed(client, "change", **values)
    assert set_by(client) != before
    assert [change.key for change in made.instruction.changed] == [key.replace("__", ".") for key in values]
    signed(
        client, "take_back", at=AT + timedelta(hours=1), signed_at=made.instruction.at.isoformat(), reason="a slip"
    )
    assert [one.what for one in read_client_folder(client).signed] == ["change", "take_back"]
    assert set_by(client) == before


def test_a_word_taken_back_leaves_the_client_where_they_stood_and_both_words_in_the_file(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    before = standing(client)
    made = signed(client, "unlock_position", position="45", despite="strength")
    assert standing(client).position == "45"
    signed(client, "take_back", at=AT + timedelta(minutes=5), signed_at=made.instruction.at.isoformat())
    apart = {"name": None, "trained_at": None}  # which only a programme has
    assert standing(client).model_copy(update=apart) == before
    assert len(read_client_folder(client).signed) == 2
    with pytest.raises(Refusal, match="taken back already"):
        proposed(client, "take_back", at=AT + timedelta(minutes=9), signed_at=made.instruction.at.isoformat())


def test_a_word_under_which_a_session_was_done_is_not_taken_back(demo_profiles: Path) -> None:
    client = demo_profiles / "heron"
    unlocked = read_client_folder(client).prescription.sign_offs[0]
    with pytest.raises(Refusal, match="a session was done since unlock_position"):
        proposed(client, "take_back", signed_at=unlocked.at.isoformat())


def test_written_by_hand_such_a_word_changes_nothing(demo_profiles: Path) -> None:
    client = demo_profiles / "heron"
    before, unlocked = standing(client), read_client_folder(client).prescription.sign_offs[0]
    word = '\n[[sign_offs]]\nat = 2026-11-22T10:00:00+01:00\ninitials = "KB"\nwhat = "take_back"\n'
    with (client / "prescription.toml").open("a", encoding="utf-8") as file:
        file.write(f'{word}signed_at = {unlocked.at.isoformat()}\nreason = "no"\n')
    assert standing(client) == before


def test_what_changed_meanwhile_is_noticed_and_nothing_is_written(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    seen = read_snapshot(client)
    made = propose_instruction(seen, InstructionRequest("freeze_load", "KB", "holiday"), shipped(), AT)
    file = client / "prescription.toml"
    file.write_text(text_of(client) + "# a note\n", encoding="utf-8")
    noted = text_of(client)
    with pytest.raises(Refusal, match="have changed since you looked"):
        sign_instruction(seen, made)
    assert text_of(client) == noted


def test_a_session_done_meanwhile_is_noticed(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    seen = read_snapshot(client)
    made = propose_instruction(seen, InstructionRequest("freeze_load", "KB", "holiday"), shipped(), AT)
    newest = max((client / "records").glob("*.toml"))
    newest.write_text(newest.read_text(encoding="utf-8") + "# a line\n", encoding="utf-8")
    with pytest.raises(Refusal, match="have changed since you looked"):
        sign_instruction(seen, made)


def test_bands_taken_out_of_use_are_on_no_load_step(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    signed(client, "change", bands="striped, woven")
    folder = read_client_folder(client)
    plan = plan_session(folder.profile, folder.prescription, shipped(), standing(client))
    assert {step.grade for step in plan.ladder.steps} == {"striped", "woven"}
    with pytest.raises(Refusal, match="there is no band wovn in the client's home") as refused:
        proposed(client, "change", at=AT + timedelta(hours=1), bands="wovn")
    assert refused.value.faults[0].nearest == "woven"


def test_two_words_in_one_second_have_two_times(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    first, second = signed(client, "freeze_load"), signed(client, "lift_freeze")
    assert second.instruction.at == first.instruction.at + timedelta(seconds=1)


def test_a_word_leaves_the_progress_file_right_but_behind(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    signed(client, "unlock_position", position="45", despite="strength")
    assert ClientStore.read(client, shipped()).agreement == "behind"


@pytest.mark.parametrize(
    ("what", "said", "phrase"),
    [
        ("unlok_position", {"position": "45"}, "nearest: unlock_position"),
        ("unlock_position", {}, "needs position"),
        ("unlock_position", {"position": "half"}, "an instruction unlocks position half, which is not in positions"),
        ("unlock_position", {"positon_deg": "45"}, "nearest: position"),
        ("freeze_load", {"until": "soon"}, "a date such as"),
        ("change", {"dose__set": "2"}, "nearest: sets"),
        ("change", {"dose__sets": "9"}, "from 1 to 6"),
        ("change", {"dose__sets": "3"}, "nothing would change"),
        ("change", {}, "nothing would change"),
        ("change", {"doze__sets": "2"}, "nearest: dose"),
        ("change", {"setups__45": "2"}, "is not a key"),
        ("change", {"dose__repetitions_max": "7"}, "repetitions_max is below repetitions_min"),
        ("change", {"setups__45__anchor_height_cm": "70"}, "there is no anchor at 70 cm"),
        (
            "overrule",
            {"load__grade": "knotted", "load__strands": "1", "load__distance_cm": "75", "repetitions": "99"},
            "30",
        ),
        ("take_back", {"signed_at": "2026-01-01T00:00:00+00:00"}, "0 instructions were signed then"),
    ],
)
def test_what_cannot_be_taken_is_said_in_the_words_of_the_file_checks(
    demo_profiles: Path, what: str, said: dict[str, str], phrase: str
) -> None:
    before = text_of(demo_profiles / "plover")
    with pytest.raises(Refusal) as refused:
        proposed(demo_profiles / "plover", what, **said)
    assert phrase in str(refused.value)
    assert text_of(demo_profiles / "plover") == before


def test_a_fault_that_was_there_before_keeps_no_word_back(demo_profiles: Path) -> None:
    """A client whose shelf gives no load any more can still be put in order, value by value."""
    client = demo_profiles / "plover"
    profile = client / "profile.toml"
    profile.write_text(profile.read_text(encoding="utf-8").replace("nearest_cm = 60", "nearest_cm = 199"))
    assert check_profile(client, shipped(), ("en",)) != ()
    assert proposed(client, "freeze_load").instruction.what == "freeze_load"


def test_an_overruling_load_above_the_share_of_strength_names_the_share(demo_profiles: Path) -> None:
    """It was taken without a word. The share that is allowed is named, and the reason is signed with it."""
    client = demo_profiles / "plover"
    profile = client / "profile.toml"
    weak = profile.read_text(encoding="utf-8").replace("force_n = 88.0", "force_n = 25.0")
    profile.write_text(weak, encoding="utf-8")
    load = {"load__grade": "knotted", "load__strands": "1", "load__distance_cm": "75"}
    before = text_of(client)
    with pytest.raises(Refusal) as refused:
        proposed(client, "overrule", **load)
    assert "above 40 % of the measured 6.5 Nm" in str(refused.value)
    assert "overrule with a share of 0.59 and the reason" in str(refused.value)
    assert text_of(client) == before
    taken = proposed(client, "overrule", **load, load__share="0.59")
    assert taken.progress.asked is not None
    assert taken.progress.asked.share == 0.59
    assert "share = 0.59" in next(iter(taken.texts.values()))


def test_a_freeze_until_a_day_that_is_over_is_refused_and_ends_no_freeze_in_force(demo_profiles: Path) -> None:
    """A year mistyped in the second freeze ended the first one."""
    client = demo_profiles / "plover"
    signed(client, "freeze_load", until="2026-12-24")
    with pytest.raises(Refusal) as refused:
        proposed(client, "freeze_load", at=AT + timedelta(minutes=1), until="2026-11-24")
    (fault,) = refused.value.faults
    assert fault.what == "until is 2026-11-24, a day that is over: the load would not be frozen"
    assert "2026-11-25, which is today, or a later day" in fault.expected
    assert standing(client).frozen_until == date(2026, 12, 24)
    assert proposed(client, "freeze_load", at=AT + timedelta(minutes=1), until="2026-11-25").progress.frozen


def test_an_older_freeze_until_a_day_that_was_over_is_read_and_not_said_to_be_in_force(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    word = '\n[[sign_offs]]\nat = 2026-11-24T20:00:00+01:00\ninitials = "KB"\nwhat = "freeze_load"\n'
    with (client / "prescription.toml").open("a", encoding="utf-8") as file:
        file.write(f'{word}until = 2026-11-24\nreason = "sore"\n')
    folder, progress = read_client_folder(client), standing(client)
    assert (progress.frozen, progress.frozen_until) == (True, date(2026, 11, 24))

    def told(on: datetime) -> str:
        return " ".join(next_session(folder.profile, folder.prescription, progress, shipped(), on).state)

    assert "The load is frozen until 2026-11-24" in told(AT - timedelta(days=1))
    assert "frozen" not in told(AT)


def test_a_repair_on_a_day_to_come_is_refused_and_one_of_today_is_not(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    with pytest.raises(Refusal) as refused:
        proposed(client, "change", repaired_on="2027-11-20", dose__sets="2")
    (fault,) = refused.value.faults
    assert fault.what == "repaired_on is 2027-11-20, a day that is still to come"
    assert fault.expected == "2026-11-25, which is today, or an earlier day"
    assert proposed(client, "change", repaired_on="2026-11-25").progress.repaired_on == AT.date()


def test_a_repair_to_come_that_stands_in_the_file_keeps_no_other_instruction_back(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    file = client / "prescription.toml"
    file.write_text(text_of(client).replace("goal =", "repaired_on = 2027-11-20\ngoal =", 1), encoding="utf-8")
    assert proposed(client, "change", dose__sets="2").prescription.dose.sets == 2
    assert signed(client, "change", repaired_on="").prescription.repaired_on is None
    assert proposed(client, "take_back", at=AT + timedelta(hours=1)).prescription.repaired_on == date(2027, 11, 20)


def test_a_misspelt_instruction_is_told_before_what_is_missing(demo_profiles: Path) -> None:
    asked = InstructionRequest("freeze", initials="", reason="")
    with pytest.raises(Refusal) as refused:
        propose_instruction(read_snapshot(demo_profiles / "tern"), asked, shipped(), AT)
    first, *_ = refused.value.faults
    assert (first.what, first.nearest) == ('what = "freeze" is not one of the choices', "freeze_load")

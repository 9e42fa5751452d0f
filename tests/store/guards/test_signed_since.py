"""What was signed is missed also where it is lost before the next session has applied it."""

from datetime import timedelta
from pathlib import Path

import pytest

from coach.model.answers_file import Answers
from coach.store.arrivals.arrivals import put_in_place
from coach.store.client_store import ClientStore
from coach.store.programme.upgrade import upgrade
from coach.store.records.record_damage import FINGERPRINT, read_seal
from coach.store.therapist.steering import InstructionRequest, propose_instruction, read_snapshot, sign_instruction
from coach.toml.diagnostic import FileFault
from tests.clocks import START
from tests.plans import shipped
from tests.screens.plain.output_lines import run_with_answers

FREEZE = InstructionRequest("freeze_load", "KB", "sore")


def sign(client: Path, asked: InstructionRequest, days: int = 1) -> None:
    """Sign as `coach steer` does."""
    seen = read_snapshot(client)
    sign_instruction(seen, propose_instruction(seen, asked, shipped(), START + timedelta(days=days)))


def signed_files(client: Path) -> list[Path]:
    return sorted((client / "instructions").iterdir())


@pytest.mark.parametrize("sessions", [0, 1])
@pytest.mark.parametrize("of_programme", [False, True])
def test_an_instruction_is_missed_before_the_next_session(
    demo_profiles: Path, of_programme: bool, sessions: int
) -> None:
    client = demo_profiles / "tern"
    for _ in range(sessions):
        assert run_with_answers(client, Answers(), lambda _: None, START)
    if of_programme:
        upgrade(client)
    saved = [one.read_bytes() for one in client.glob("progress.toml")]
    sign(client, FREEZE)
    after = ClientStore.read(client, shipped())
    assert after.progress.frozen
    assert after.agreement == ("behind" if sessions else "missing")
    assert [one.read_bytes() for one in client.glob("progress.toml")] == saved
    for file in signed_files(client):
        file.unlink()
    with pytest.raises(FileFault, match=r"an instruction signed at .* is missing"):
        ClientStore.read(client, shipped())


def test_once_applied_it_is_listed_as_the_others_are(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    sign(client, FREEZE)
    assert run_with_answers(client, Answers(), lambda _: None, START + timedelta(days=2))
    seal = read_seal(client)
    assert seal is not None
    assert (len(seal.signed), seal.later) == (1, frozenset())


def test_a_changed_dose_is_missed_with_its_version(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    upgrade(client)
    sign(client, InstructionRequest("change", "KB", "tired", values={"dose.sets": "2"}))
    (client / "programme" / "0002.toml").unlink()
    with pytest.raises(FileFault, match="this version of the programme is missing"):
        ClientStore.read(client, shipped())


def test_it_is_applied_where_a_record_is_damaged_too(demo_profiles: Path) -> None:
    """What is only listed is not in progress.toml yet."""
    client = demo_profiles / "tern"
    assert run_with_answers(client, Answers(), lambda _: None, START)
    record = next((client / "records").iterdir())
    record.write_bytes(record.read_bytes().replace(b"check_in", b"check-in"))
    sign(client, FREEZE)
    store = ClientStore.read(client, shipped())
    assert store.folder.damaged
    assert store.progress.frozen


def test_what_came_from_the_clinic_is_missed_too(demo_profiles: Path) -> None:
    client, clinic = demo_profiles / "tern", demo_profiles / "curlew"
    upgrade(client)
    sign(clinic, FREEZE)
    came = signed_files(clinic)[-1]
    put_in_place(client, {f"instructions/{came.name}": came.read_bytes()})
    (client / "instructions" / came.name).unlink()
    with pytest.raises(FileFault, match=r"an instruction signed at .* is missing"):
        ClientStore.read(client, shipped())
    (client / FINGERPRINT).unlink()  # as the message says, if it was on purpose
    assert not ClientStore.read(client, shipped()).progress.frozen

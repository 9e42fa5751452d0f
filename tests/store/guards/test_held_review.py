"""A stop that only progress.toml still knows of keeps the client closed until the end of the review is signed."""

import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from coach.cli import main
from coach.model.answers_file import Answers
from coach.store.client_paths import PROGRESS
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.records.record_damage import FINGERPRINT
from coach.store.therapist.check_client import check_profile
from coach.store.therapist.steering import InstructionRequest
from coach.toml.diagnostic import FileFault
from tests.clocks import START
from tests.demo.pristine import copy_pristine
from tests.plans import shipped
from tests.screens.plain.output_lines import run_with_answers, told
from tests.store.guards.test_signed_since import sign

END_REVIEW = InstructionRequest("end_review", "KB", "seen by the physician")


@pytest.fixture(scope="module")
def stopped(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A client two days before and right after a session with chest pain; never written to again."""
    folder = copy_pristine(tmp_path_factory.mktemp("stopped") / "demo") / "tern"
    assert run_with_answers(folder, Answers(), lambda _: None, START - timedelta(days=2))
    early = Path(shutil.copytree(folder, folder.parent.parent / "early"))
    assert told(folder, ("", "p", "4", "y", "")).record.ended is not None
    assert ClientStore.read(folder, shipped()).progress.status == "review"
    return early, folder


@pytest.fixture(params=["older", "missing", "all missing"])
def client(request: pytest.FixtureRequest, stopped: tuple[Path, Path], tmp_path: Path) -> Path:
    """That client, of whom only progress.toml has the stop."""
    early, after = stopped
    client = Path(shutil.copytree(after, tmp_path / "tern"))
    (client / FINGERPRINT).unlink()
    records = sorted((client / "records").iterdir())
    match request.param:
        case "older":
            content = records[-1].read_bytes()
            records[-1].write_bytes(content[: content.index(b"\n", content.index(b"# whole")) + 1])
        case "missing":
            records[-1].unlink()
        case _:
            shutil.rmtree(client / "records")
    assert (early / PROGRESS).read_bytes() != (client / PROGRESS).read_bytes()
    return client


def test_the_client_stays_closed_and_it_is_said(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    saved = (client / PROGRESS).read_bytes()
    store = ClientStore.read(client, shipped())
    assert store.is_held
    assert {one.status for one in (store.progress, store.folded_progress, store.progress_before_open_record)} == {
        "review"
    }
    admission = store.admission(START + timedelta(days=1))
    assert (admission.obstacle, admission.plan) == ("review", None)
    assert "Stop now" in admission.sentence
    assert store.save(START) is None
    assert store.move_aside_if_it_differs(START) is None
    with pytest.raises(FileFault, match="no record explains"):
        store.rebuild(START)
    assert main(["check", str(client)]) == 1
    said = capsys.readouterr().out
    assert "no record explains" in said
    assert "sessions follow the records" not in said
    assert main(["history", str(client)]) == 0
    reported = capsys.readouterr()
    assert "no record explains" in reported.err
    said = " ".join(reported.out.split())
    assert ("that no record explains" in said, "--rebuild" in said) == (True, False)
    summary = summary_of(client, shipped(), START + timedelta(days=1))
    assert (summary.status, summary.obstacle) == ("review", "review")
    assert ((client / PROGRESS).read_bytes(), (client / FINGERPRINT).exists()) == (saved, False)


def test_the_end_of_the_review_is_signed(client: Path) -> None:
    sign(client, InstructionRequest("freeze_load", "KB", "sore"))
    assert ClientStore.read(client, shipped()).is_held
    sign(client, END_REVIEW, days=2)
    store = ClientStore.read(client, shipped())
    assert not store.is_held
    assert store.admission(START + timedelta(days=3)).may_start
    store.save(START + timedelta(days=3))
    after = ClientStore.read(client, shipped())
    assert (after.agreement, after.progress.status, after.progress.frozen) == ("agrees", "active", True)
    assert not check_profile(client, shipped())


def test_an_earlier_end_of_a_review_ends_no_later_one(stopped: tuple[Path, Path], tmp_path: Path) -> None:
    client = Path(shutil.copytree(stopped[1], tmp_path / "tern"))
    sign(client, END_REVIEW)
    ClientStore.read(client, shipped()).save(START + timedelta(days=1))
    again = Answers(answer={"set_1.trouble": "chest_pain"})
    run_with_answers(client, again, lambda _: None, START + timedelta(days=2))
    assert ClientStore.read(client, shipped()).progress.status == "review"
    (client / FINGERPRINT).unlink()
    sorted((client / "records").iterdir())[-1].unlink()
    assert ClientStore.read(client, shipped()).is_held


@pytest.mark.parametrize(
    "change",
    [
        lambda _: None,
        lambda client: sign(client, END_REVIEW),
        lambda client: (client / PROGRESS).unlink(),
    ],
)
def test_where_the_records_explain_it_nothing_is_held(
    stopped: tuple[Path, Path], tmp_path: Path, change: Callable[[Path], object]
) -> None:
    """Also without the seal: progress.toml agrees with them, is behind them, or was deleted."""
    client = Path(shutil.copytree(stopped[1], tmp_path / "tern"))
    (client / FINGERPRINT).unlink()
    change(client)
    store = ClientStore.read(client, shipped())
    assert not store.is_held
    assert store.agreement in ("agrees", "behind", "missing")

"""What is said of a damaged record is what then happens: the programme goes on without it, or there is no session."""

import shutil
from datetime import timedelta
from pathlib import Path

import pytest

from coach.cli import main
from coach.model.answers_file import Answers
from coach.store.client_store import ClientStore
from coach.store.records.record_damage import FINGERPRINT
from coach.toml.diagnostic import FileFault
from tests.clocks import START
from tests.demo.pristine import copy_pristine
from tests.plans import shipped
from tests.screens.plain.output_lines import run_with_answers


@pytest.fixture
def client(tmp_path: Path) -> Path:
    """A client after two sessions, with the first record damaged."""
    folder = copy_pristine(tmp_path / "demo") / "tern"
    for day in (0, 2):
        assert run_with_answers(folder, Answers(), lambda _: None, START + timedelta(days=day))
    first = sorted((folder / "records").iterdir())[0]
    content = first.read_bytes()
    first.write_bytes(content[:400] + bytes([content[400] ^ 2]) + content[401:])
    return Path(shutil.copytree(folder, tmp_path / "tern"))


def test_it_goes_on_where_progress_still_holds_it(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(client)]) == 1
    assert "the programme goes on without it" in capsys.readouterr().out


@pytest.mark.parametrize("gone", [FINGERPRINT, "progress.toml"])
def test_it_does_not_go_on_where_nothing_else_does(
    client: Path, gone: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (client / gone).unlink()
    assert main(["check", str(client)]) == 1
    said = capsys.readouterr().out
    assert "nothing else tells what it held" in said
    assert "goes on without it" not in said
    with pytest.raises(FileFault, match="nothing else tells what it held"):
        _ = ClientStore.read(client, shipped()).progress

"""progress.toml is right whatever words its sentences are in: a client's language, or a line, may change."""

import shutil
from pathlib import Path

from coach.commands.support.loading import client_store
from tests.demo.pristine import DEMO


def test_another_wording_is_no_difference_and_another_number_is_one(tmp_path: Path) -> None:
    plover = Path(shutil.copytree(DEMO / "plover", tmp_path / "plover"))
    progress = plover / "progress.toml"
    text = progress.read_text(encoding="utf-8")
    reason = next(line for line in text.splitlines() if line.startswith("reason = "))
    progress.write_text(text.replace(reason, 'reason = "Noch einmal dasselbe."'), encoding="utf-8")
    assert client_store(plover).agreement == "agrees"
    assert "repetitions = 15" in text
    progress.write_text(text.replace("repetitions = 15", "repetitions = 14"), encoding="utf-8")
    assert client_store(plover).agreement == "differs"

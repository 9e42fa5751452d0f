"""progress.toml is right whatever words its sentences are in, and wrong where anything was taken out of it."""

import shutil
import tomllib
from datetime import datetime
from pathlib import Path

import tomli_w

from coach.commands.support.client_notes import client_notes
from coach.commands.support.loading import client_store
from coach.model.progress import Progress
from coach.store.client_store import ClientStore
from coach.store.records.record_damage import FINGERPRINT, hash_of
from tests.demo.pristine import DEMO
from tests.plans import shipped


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


def test_every_key_that_is_taken_out_by_hand_is_told(tmp_path: Path) -> None:
    """A key that is not there has its default: that is right only where the records come to the default too."""
    client = Path(shutil.copytree(DEMO / "plover", tmp_path / "plover"))
    store, progress = ClientStore.read(client, shipped()), client / "progress.toml"
    assert store.agreement == "agrees"
    whole = tomllib.loads(progress.read_text(encoding="utf-8"))
    told = {}
    for key in [key for key in whole if key not in ("format", "exercise", "position", "repetitions")]:
        taken = whole.pop(key)
        progress.write_text(tomli_w.dumps(whole), encoding="utf-8")
        now = ClientStore.read(client, shipped())
        told[key] = (now.agreement, getattr(now.folded_progress, key) == Progress.model_fields[key].default)
        whole[key] = taken
    assert {"load", "sessions", "pains", "taught", "measured_on", "band_use"} <= set(told)
    assert {key for key, (agreement, same) in told.items() if (agreement == "agrees") != same} == set()


def test_a_file_of_an_older_program_may_lack_keys(tmp_path: Path) -> None:
    """One that is as that program wrote it, with fewer keys; and `coach check` has no note on it."""
    plover = Path(shutil.copytree(DEMO / "plover", tmp_path / "plover"))
    store = ClientStore.read(plover, shipped())
    store.save(datetime.fromisoformat("2026-11-30T10:00:00+01:00"))
    text = (plover / "progress.toml").read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.startswith("sessions = "))
    older = text.replace(line + "\n", "")
    (plover / "progress.toml").write_text(older, encoding="utf-8")
    assert ClientStore.read(plover, shipped()).agreement == "differs"
    assert ["does not agree" in note.what for note in client_notes(plover, shipped())] == [True]
    seal = (plover / FINGERPRINT).read_text(encoding="utf-8").splitlines()[:-1]  # an older one has no hash of its own
    seal[:2] = "of an older program", hash_of(older.encode())
    (plover / FINGERPRINT).write_text("\n".join(seal) + "\n", encoding="utf-8")
    assert ClientStore.read(plover, shipped()).agreement == "agrees"
    assert not list(client_notes(plover, shipped()))

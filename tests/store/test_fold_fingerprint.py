"""progress.toml taken as it stands: only while nothing that it came from has changed."""

import shutil
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model.content import Content
from coach.model.progress import Progress
from coach.store import client_store as standing_module
from coach.store.client_folder import read_profile_folder
from coach.store.client_paths import PRESCRIPTION, PROGRESS, RECORDS
from coach.store.client_store import before_the_open_record, judged, seal, standing
from coach.store.fold_fingerprint import SEAL

DEMO = Path(__file__).parent.parent.parent / "demo_profiles"


class Folded(Exception):
    """Raised in place of a fold."""


@pytest.fixture
def content() -> Content:
    return load_content(content_folder(), "en")


@pytest.fixture
def client(tmp_path: Path, content: Content) -> Path:
    """A client with a history, progress.toml sealed."""
    folder = Path(shutil.copytree(DEMO / "plover", tmp_path / "plover"))
    seal(folder, content)
    assert (folder / SEAL).stat().st_mode & 0o777 == 0o600
    return folder


def _without_a_fold(folder: Path, content: Content, monkeypatch: pytest.MonkeyPatch) -> Progress:
    def refuse(*_: object) -> None:
        raise Folded

    with monkeypatch.context() as patched:
        patched.setattr(standing_module, "fold", refuse)
        client = read_profile_folder(folder)
        assert before_the_open_record(client, content) == standing(client, content)
        return standing(client, content)


def test_what_is_sealed_is_not_folded_and_is_the_same(
    client: Path, content: Content, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = judged(read_profile_folder(client), content)[0]
    assert _without_a_fold(client, content, monkeypatch) == expected


def _edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def _newest(folder: Path) -> Path:
    return max((folder / RECORDS).glob("*.toml"))


@pytest.mark.parametrize("changed", ["record", "renamed", "removed", "prescription", "progress", "seal", "no_seal"])
def test_any_change_breaks_the_seal(
    changed: str, client: Path, content: Content, monkeypatch: pytest.MonkeyPatch
) -> None:
    oldest = min((client / RECORDS).glob("*.toml"))
    match changed:
        case "record":
            _edit(oldest, "format = 1", "format =  1")
        case "renamed":
            oldest.rename(oldest.with_stem(f"{oldest.stem}-2"))
        case "removed":
            oldest.unlink()
        case "prescription":
            _edit(client / PRESCRIPTION, "sets = ", "sets = 1#")
        case "progress":
            _edit(client / PROGRESS, "ready_sessions = ", "ready_sessions = 1")
        case "seal":
            (client / SEAL).write_bytes(b"\xff")
        case "no_seal":
            (client / SEAL).unlink()
    with pytest.raises(Folded):
        _without_a_fold(client, content, monkeypatch)
    folder = read_profile_folder(client)
    assert standing(folder, content) == judged(folder, content)[0]


def test_other_rules_break_the_seal(client: Path, content: Content, monkeypatch: pytest.MonkeyPatch) -> None:
    first, *others = content.limits
    moved = replace(content, limits=(first.model_copy(update={"value": first.high}), *others))
    with pytest.raises(Folded):
        _without_a_fold(client, moved, monkeypatch)
    other_words = replace(content, words=replace(content.words, language="xx"))
    with pytest.raises(Folded):
        _without_a_fold(client, other_words, monkeypatch)


def test_a_record_left_open_is_folded_onto_what_is_sealed(
    client: Path, content: Content, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the client stood before it is known without a fold; where they stand now needs one."""
    sealed = judged(read_profile_folder(client), content)[0]
    newest = _newest(client)
    started = read_profile_folder(client).kept[-1].record.started
    later = started + timedelta(days=2)
    head = newest.read_text(encoding="utf-8").split("# whole")[0]
    stamp = next(line for line in head.splitlines() if line.startswith("started"))
    left_open = client / RECORDS / f"{later:%Y-%m-%dT%H%M%S}.toml"
    left_open.write_text(head.replace(stamp, f"started = {later.isoformat()}") + "# whole\n", encoding="utf-8")
    with monkeypatch.context() as patched:
        patched.setattr(standing_module, "fold", None)
        folder = read_profile_folder(client)
        assert folder.open_record is not None
        assert before_the_open_record(folder, content) == sealed
    assert standing(folder, content) == judged(folder, content)[0]


def test_a_word_signed_for_a_later_day_is_not_sealed(client: Path, content: Content) -> None:
    """It was heard before the session; a fold puts it after."""
    (client / SEAL).unlink()
    text = '\n[[sign_offs]]\nwhat = "end_review"\nat = 2030-01-01T09:00:00Z\ninitials = "AB"\nreason = "Seen."\n'
    with (client / PRESCRIPTION).open("a", encoding="utf-8") as file:
        file.write(text)
    seal(client, content)
    assert not (client / SEAL).exists()


def test_the_newest_record_is_found_among_those_near_it_by_name(client: Path) -> None:
    folder = read_profile_folder(client)
    assert folder.newest == folder.kept[-1]
    assert len(folder.kept) > 3

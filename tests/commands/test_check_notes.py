"""What `coach check` notes of a programme, in the way it notes something of the content; none of it is a fault."""

import shutil
from pathlib import Path

import pytest

from coach.authoring import check
from coach.cli import main
from coach.commands.support.output import FINE
from coach.content_files import content_folder
from coach.model.content import Content
from tests.demo.pristine import DEMO
from tests.store.good_programme import PROGRAMME

_VERSION = Path("programme") / "0001.toml"


@pytest.fixture
def client(tmp_path: Path) -> Path:
    """The demo client with four exercises, before the first session, to be changed."""
    ignored = shutil.ignore_patterns("records", "progress.toml")
    path = Path(shutil.copytree(DEMO / "curlew", tmp_path / "curlew", ignore=ignored))
    (path / _VERSION).write_text(PROGRAMME, encoding="utf-8")
    return path


def _notes(client: Path, capsys: pytest.CaptureFixture[str]) -> list[str]:
    assert main(["check", str(client)]) == FINE
    printed = capsys.readouterr().out.split("\n")
    return [line.replace(f"{client}/", "") for line in printed if line.startswith("note: ")]


def _in_order(client: Path, *order: int) -> None:
    """Put the exercises in another order."""
    head, *tables = (client / _VERSION).read_text(encoding="utf-8").split("[[exercises]]")
    text = "[[exercises]]".join([head, *(f"{tables[number].rstrip()}\n\n" for number in order)])
    (client / _VERSION).write_text(text, encoding="utf-8")


# The row wants the heaviest band, the others the lightest one at the same height.
@pytest.mark.parametrize(
    ("order", "told"),
    [
        ((0, 1, 2, 3), ""),
        ((3, 0, 1, 2), ""),
        ((0, 3, 1, 2), "twice between exercises, in another once"),
        ((0, 3, 2, 1), "outward_right, inward_right, outward_left, row_right"),
    ],
)
def test_an_order_that_saves_fixing_the_band_is_noted(
    client: Path, order: tuple[int, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    _in_order(client, *order)
    notes = [note for note in _notes(client, capsys) if "fixed again" in note]
    assert len(notes) == bool(told)
    assert all(note.startswith("note: programme/0001.toml:23:1: ") and told in note for note in notes)


def test_on_days_without_the_row_there_is_nothing_to_save(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _in_order(client, 0, 3, 1, 2)
    text = (client / _VERSION).read_text(encoding="utf-8")
    others = text.replace("positions = [0, 45]", 'positions = [0, 45]\ndays = ["tuesday"]').replace(
        'side = "left"\n', 'side = "left"\ndays = ["tuesday"]\n'
    )
    (client / _VERSION).write_text(others, encoding="utf-8")
    assert not _notes(client, capsys)


def test_a_range_of_one_side_and_a_prescription_left_behind(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    profile = client / "profile.toml"
    text = profile.read_text(encoding="utf-8").replace(
        'available_deg = 75.0\nside = "left"\n', "available_deg = 75.0\n"
    )
    profile.write_text(text, encoding="utf-8")
    shutil.copy(DEMO / "tern" / "prescription.toml", client)
    behind, side = _notes(client, capsys)
    assert behind.startswith("note: prescription.toml: it is not read any more, because programme/0001.toml holds")
    assert side.startswith("note: programme/0001.toml:32:1: the range at 0 degrees was measured on the right and not")


def test_the_content_is_not_read_for_each_client(
    client: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nor are the loads worked out twice: a folder of clients takes its notes in the processes that check it."""
    shutil.copytree(client, client.parent / "dunlin")
    read, load = list[str](), content_folder.load_content

    def noted(folder: Path, language: str, *others: object) -> Content:
        read.append(language)
        return load(folder, language, *others)  # type: ignore[arg-type]  # handed on as it is

    for module in (check, content_folder):
        monkeypatch.setattr(module, "load_content", noted)
    _in_order(client, 0, 3, 1, 2)
    notes = _notes(client.parent, capsys)
    assert len([note for note in notes if "fixed again" in note]) == 1
    assert len(read) == 2  # for its own words, and to check with

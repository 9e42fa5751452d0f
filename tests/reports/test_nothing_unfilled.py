"""What a person reads has no place that was left unfilled, and no value as Python writes it.

The check of content compares the places of each message with those that are recorded. It cannot see that a page shows
a message without filling it, so the pages themselves are read here.
"""

import re
import shutil
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.output import FINE, NOT_NOW
from coach.session.state import Instant
from coach.store.client_store import ClientStore
from tests.clocks import START
from tests.demo.pristine import DEMO

CLIENTS = ("avocet", "curlew", "heron", "plover", "tern")
LANGUAGES = ("en", "de")
OF_A_CLIENT = (
    "preview CLIENT --text",
    "preview CLIENT --decisions",
    "preview CLIENT --text --answers ANSWERS",
    "preview CLIENT --json",
    "setup CLIENT",
    "setup CLIENT --ladder",
    "history CLIENT",
    "history CLIENT --pictures",
    "progress CLIENT",
    "forecast CLIENT",
    "bands CLIENT",
    "letter CLIENT --text --for client",
    "letter CLIENT --text --for referrer",
    "steer CLIENT",
)
# A place of a message; a list, a mapping or an object as Python writes it.
_UNFILLED = re.compile(r"\{[a-z_]+(?:\|[^}]*)?\}")
_OF_PYTHON = re.compile(r"\{'|\('|',\)|\(\)|\[\]|\b[A-Z]\w+\(\w+=|[(=:,] ?None\b|\bTrue\b|datetime\.")


def _strange(text: str) -> list[str]:
    """The lines of a text in which something was left unfilled or is of Python."""
    return [line for line in text.splitlines() if _UNFILLED.search(line) or _OF_PYTHON.search(line)]


@pytest.fixture(scope="module")
def clients(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo clients in each language, each with a condition; only to be read."""
    folder = tmp_path_factory.mktemp("read")
    for language in LANGUAGES:
        for name in CLIENTS:
            path = folder / language / name
            shutil.copytree(DEMO / name, path)
            profile = path / "profile.toml"
            text = profile.read_text(encoding="utf-8").replace('language = "en"', f'language = "{language}"')
            text += '\n[[condition]]\nkind = "instability"\non = 2024-05-06\nby = "KB"\n'
            profile.write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(autouse=True)
def _one_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.reports.text.forecast.LIVES", 1)


@pytest.mark.parametrize("command", OF_A_CLIENT)
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", CLIENTS)
def test_of_every_client_in_both_languages(
    name: str,
    language: str,
    command: str,
    clients: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    folder = clients / language / name
    now = max([START, *(record.last_at for record in ClientStore.read(folder).records)])
    monkeypatch.setattr("coach.store.clock.now", lambda: Instant(0.0, now))
    paths = {"CLIENT": str(folder), "ANSWERS": str(DEMO / "answers.toml")}
    assert main([paths.get(word, word) for word in command.split()]) in (FINE, NOT_NOW)
    said = "".join(capsys.readouterr())
    assert said
    assert _strange(said) == []


@pytest.mark.parametrize("command", ["caseload FOLDER --plain", "audit FOLDER", "check FOLDER"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_of_a_folder(language: str, command: str, clients: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main([str(clients / language) if word == "FOLDER" else word for word in command.split()])
    said = "".join(capsys.readouterr())
    assert said
    assert _strange(said) == []


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", ["curlew", "tern"])
def test_of_what_is_compared_before_it_is_signed(
    name: str, language: str, clients: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = Path(shutil.copytree(clients / language / name, tmp_path / name))
    one = ["--exercise", ClientStore.read(folder).folder.prescribed.names[0] or ""] if name == "curlew" else []
    signing = ["--initials", "KB", "--reason", "x", "--yes"]
    assert main(["steer", str(folder), "change", "dose.sets=1", *one, *signing]) == FINE
    assert main(["visit", str(folder), "irritability=low", "--initials", "KB", "--yes"]) == FINE
    said = "".join(capsys.readouterr())
    assert said
    assert _strange(said) == []
    assert not re.search(r"\bum \d+\.\d+\.\d{4}", said), "a day is said with am in German"

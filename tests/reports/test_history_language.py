"""The history in another language: its numbers as that language writes them, and named in its words."""

import re
from pathlib import Path

import pytest

from coach.cli import main
from coach.content_files.content_folder import content_folder, languages, load_content

ENGLISH_DECIMAL = re.compile(r"\d\.\d{1,3}(?!\d|\.)")


@pytest.fixture
def plover(demo_profiles: Path) -> Path:
    """A demo client with a long past, who reads German."""
    profile = demo_profiles / "plover" / "profile.toml"
    text = profile.read_text(encoding="utf-8")
    assert 'language = "en"' in text
    profile.write_text(text.replace('language = "en"', 'language = "de"'), encoding="utf-8")
    return profile.parent


def output(capsys: pytest.CaptureFixture[str], *command: str) -> str:
    """What a command prints, its lines joined."""
    assert main([*command]) == 0
    return " ".join(capsys.readouterr().out.split())


def test_the_numbers_of_a_decision_have_a_decimal_comma(plover: Path, capsys: pytest.CaptureFixture[str]) -> None:
    numbers = re.findall(r"Zahlen: (.+?)\. Quelle:", output(capsys, "history", str(plover)))
    assert len(numbers) > 10
    assert [text for text in numbers if ENGLISH_DECIMAL.search(text)] == []
    assert re.search(r"\d,\d\d Nm", numbers[0])


def test_the_numbers_of_a_decision_are_named_in_words(plover: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = output(capsys, "history", str(plover))
    numbers = re.findall(r"Zahlen: (.+?)\. Quelle:", text)
    assert [one for one in numbers if "_" in one] == []
    assert "es fehlt: noch eine Einheit wie diese" in text


def test_a_difference_has_a_decimal_comma(plover: Path, capsys: pytest.CaptureFixture[str]) -> None:
    progress = plover / "progress.toml"
    text = progress.read_text(encoding="utf-8")
    saved = re.search(r"(?m)^mean_nm = (\d)\.(\d+)$", text)
    assert saved is not None
    progress.write_text(text.replace(saved[0], "mean_nm = 9.875"), encoding="utf-8")
    told = output(capsys, "history", str(plover))
    assert "mean_nm 9,875" in told
    assert f"mean_nm {saved[1]},{saved[2]}" in told


def test_the_axis_of_a_picture_has_a_decimal_comma(plover: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["history", str(plover), "--pictures"]) == 0
    axes = [line.partition("┤")[0].strip() for line in capsys.readouterr().out.splitlines() if "┤" in line]
    assert "2,5" in axes
    assert [label for label in axes if "." in label] == []


@pytest.mark.parametrize("language", languages(content_folder()))
def test_every_number_of_a_rule_has_a_name(language: str) -> None:
    content = load_content(content_folder(), language)
    named = {name for rule in content.rules for name in rule.numbers} | {"from_nm", "to_nm"}
    assert named == set(content.messages.therapist.history.number)

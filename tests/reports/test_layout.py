"""Rows of a report: two blanks at least between a label and its text, however long the label is."""

from pathlib import Path

import pytest

from coach.cli import main
from coach.reports.text.layout import marked, row


@pytest.mark.parametrize("length", range(1, 24))
def test_two_blanks_stand_between_a_label_and_its_text(length: int) -> None:
    label = "L" * length
    first, *more = row(label, "text " * 30)
    assert first.startswith(f"{label}  ")
    assert first.index("t") == max(16, length + 2)
    assert all(line.startswith(" " * 16 + "text") for line in more)


def test_a_mark_stands_beside_its_text() -> None:
    assert marked("-", "text", 2) == ["- text"]


def test_the_share_of_strength_is_told_apart_from_its_label_in_german(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It was one word, "KraftDie"."""
    profile = demo_profiles / "avocet" / "profile.toml"
    profile.write_text(profile.read_text(encoding="utf-8").replace('language = "en"', 'language = "de"'), "utf-8")
    assert main(["setup", str(profile.parent)]) == 0
    assert "\nAnteil der Kraft  Die Spitze" in capsys.readouterr().out

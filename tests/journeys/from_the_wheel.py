"""A session from an installed `coach`, in a real terminal: `python -m tests.journeys.from_the_wheel COACH PROFILE`.

Goes to the first set, reports pain above the limit, and looks for the decision on the screen and on the disk.
"""

import sys
import tomllib
from pathlib import Path

from tests.journeys.terminal import Terminal

TO_THE_FIRST_SET = (
    ("enter", "Before you begin"),
    ("enter", "How much pain is in your shoulder now?"),
    ("0", "Have you taken a painkiller today"),
    ("1", "Do you have any of these today"),
    ("n", "Setup"),
    ("enter", "Check before the first repetition"),
    ("y", "does the anchor hold?"),
    ("y", "out of the line of the band?"),
    ("y", "Hold the band"),
    ("enter", "is the band a little taut?"),
    ("y", "Learn this first"),
    ("enter", "the elbow stays where it began"),
    ("enter", "Find your line"),
    ("enter", "Set 1 of 3"),
)


def main(coach: str, profile: Path) -> None:
    """AssertionError with the screen at the first thing that is missing."""
    terminal = Terminal([coach, "session", str(profile)], cwd=profile.parent)
    terminal.shows("Today")
    for key, then in TO_THE_FIRST_SET:
        terminal.press(key, then)
    terminal.press("p", "What is it?")
    terminal.press("1", "Where is it, at its worst?")
    terminal.press("1", "How much pain is it?")
    terminal.press("6", "Please confirm")
    terminal.press("y", "We stop here today")
    assert terminal.ends_by("enter") == 0
    assert "over your limit of 5" in " ".join(terminal.text.split())
    (progress,) = tomllib.loads((profile / "progress.toml").read_text())["exercises"]
    assert progress["decision"]["rule"] == "pain_over_limit", progress
    print("A session from the wheel ended with:", progress["decision"]["reason"])


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))

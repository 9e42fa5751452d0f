"""Every screen of a session as text and as a picture, at three sizes, in colour and without.

After a wished change: pytest tests/screens/test_snapshots.py --snapshot-update, and look at the pictures.
"""

import shutil
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot

from coach.screens.client.session_app import SessionApp
from tests.screens.gallery import SIZES, Size, each_screen, set_screens
from tests.screens.pictures import TextFile, differing
from tests.screens.seen import as_svg, as_text, runs


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_screen(
    demo_profiles: Path, tmp_path: Path, size: Size, snapshot: SnapshotAssertion, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The text is the same without colour: colour is never the only sign."""
    again = Path(shutil.copytree(demo_profiles, tmp_path / "again"))
    in_colour = await _screens(demo_profiles, size)
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("TERM", "linux")
    without = await _screens(again, size)
    assert {name: text for name, (text, _) in without.items()} == {name: one[0] for name, one in in_colour.items()}
    assert differing(in_colour, without, snapshot) == []


@pytest.mark.parametrize("size", SIZES[:2], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_screens_of_a_set_in_german(demo_profiles: Path, size: Size, snapshot: SnapshotAssertion) -> None:
    """The words are longer, and none of them is cut."""
    profile = demo_profiles / "tern" / "profile.toml"
    profile.write_text(profile.read_text("utf-8").replace('language = "en"', 'language = "de"'), "utf-8")
    screens: dict[str, str] = {}

    async def look(name: str, app: SessionApp, _: Pilot[None]) -> None:
        screens[name] = as_text(runs(app))

    await set_screens(demo_profiles / "tern", size, look)
    assert "Ihre Marke" in screens["06-place"]
    assert [n for n, text in screens.items() if snapshot(name=n, extension_class=TextFile) != text] == []


async def _screens(folder: Path, size: Size) -> dict[str, tuple[str, str]]:
    """The text and the picture of every screen."""
    screens: dict[str, tuple[str, str]] = {}

    async def look(name: str, app: SessionApp, _: Pilot[None]) -> None:
        rows = runs(app)
        screens[name] = as_text(rows), as_svg(rows)

    await each_screen(folder, size, look)
    return screens

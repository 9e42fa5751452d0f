"""Every screen of a session as text at three sizes, and the pictures of it that `pictures.py` lists.

After an intended change: pytest tests/screens/test_snapshots.py --snapshot-update, then look at the difference.
"""

import shutil
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot

from coach.screens.client.key_bindings import active_bindings
from coach.screens.client.session_app import SessionApp
from tests.journeys.walk import live
from tests.screens.gallery import SIZES, USUAL, Size, each_screen, set_screens
from tests.screens.recorder import Recorder


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_screen(
    demo_profiles: Path, tmp_path: Path, size: Size, snapshot: SnapshotAssertion, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And every key that works is on it; at the usual size also with NO_COLOR set: the text is the same."""
    untouched = Path(shutil.copytree(demo_profiles, tmp_path / "untouched"))
    recorder, without_colour = Recorder("session", size), None

    async def look(name: str, app: SessionApp, pilot: Pilot[None]) -> None:
        await recorder.record(name, app, pilot)
        assert _keys_not_shown(app, recorder.texts[name]) == [], name

    await each_screen(demo_profiles, size, look)
    if size == USUAL:
        monkeypatch.setenv("NO_COLOR", "1")
        monkeypatch.setenv("TERM", "linux")
        without_colour = Recorder("session", size)
        await each_screen(untouched, size, without_colour.record)
    recorder.assert_as_kept(snapshot, without_colour)


def _keys_not_shown(app: SessionApp, text: str) -> list[str]:
    """The keys that work on this screen, with their words, as far as they are not on it whole."""
    if app._open_prompt is not None or app._too_small():
        return []
    messages = app._content.messages.client.keys.model_dump()
    shown = (f"{command.key} {messages[command.word]}" for command in active_bindings(live(app).state))
    return [key for key in shown if key not in text]


@pytest.mark.parametrize("size", SIZES[:2], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_screens_of_a_set_in_german(demo_profiles: Path, size: Size, snapshot: SnapshotAssertion) -> None:
    """German words are longer; none of them is cut."""
    profile = demo_profiles / "tern" / "profile.toml"
    profile.write_text(profile.read_text("utf-8").replace('language = "en"', 'language = "de"'), "utf-8")
    recorder = Recorder("session in German", size)
    await set_screens(demo_profiles / "tern", size, recorder.record)
    assert "Ihre Marke" in recorder.texts["06-place"]
    recorder.assert_as_kept(snapshot)

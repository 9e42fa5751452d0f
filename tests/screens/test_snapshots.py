"""Every screen of a session as text and as a picture, at three sizes, in colour and without.

After a wished change: pytest tests/screens/test_snapshots.py --snapshot-update, and look at the pictures.
"""

from pathlib import Path
from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion
from syrupy.extensions.single_file import SingleFileSnapshotExtension, WriteMode

from tests.screens.gallery import SIZES, Size, each_screen
from tests.screens.seen import as_svg, as_text, runs


class TextFile(SingleFileSnapshotExtension):
    """One text file a screen."""

    _write_mode = WriteMode.TEXT
    file_extension = "txt"

    @classmethod
    def get_snapshot_name(cls, *, test_location: Any, index: Any = 0) -> str:  # noqa: ANN401, ARG003  # as syrupy has it
        return str(index)


class PictureFile(TextFile):
    """One picture a screen."""

    file_extension = "svg"


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_screen_in_colour(demo_profiles: Path, size: Size, snapshot: SnapshotAssertion) -> None:
    different = await _differing(demo_profiles, size, snapshot, "colour")
    assert different == []


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_screen_without_colour(
    demo_profiles: Path, size: Size, snapshot: SnapshotAssertion, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same text is compared, so that colour is seen to carry no meaning of its own."""
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("TERM", "linux")
    different = await _differing(demo_profiles, size, snapshot, "no-colour")
    assert different == []


async def _differing(folder: Path, size: Size, snapshot: SnapshotAssertion, colours: str) -> list[str]:
    """The screens that are not as they were. Every one is looked at, so that one update mends all."""
    different = []

    async def look(name: str, app: Any, _: object) -> None:  # noqa: ANN401
        rows, at = runs(app), f"{size[0]}x{size[1]}-{name}"
        if snapshot(name=at, extension_class=TextFile) != as_text(rows):
            different.append(f"{at}.txt")
        if snapshot(name=f"{at}-{colours}", extension_class=PictureFile) != as_svg(rows):
            different.append(f"{at}-{colours}.svg")

    await each_screen(folder, size, look)
    return different

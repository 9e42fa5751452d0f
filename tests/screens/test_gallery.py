"""The page of all components that draw, kept as text in every set of signs."""

import pytest
from syrupy.assertion import SnapshotAssertion

from coach.drawing.cells.signs import SIGN_SETS
from tests.gallery import page
from tests.screens.capture import as_text
from tests.screens.pictures import TextFile


@pytest.mark.parametrize("colour", ["in colour", "without colour"])
async def test_all_components(colour: str, snapshot: SnapshotAssertion, monkeypatch: pytest.MonkeyPatch) -> None:
    texts = []
    for signs in SIGN_SETS:
        if colour == "without colour":
            monkeypatch.setenv("NO_COLOR", "1")  # each app takes it out of the environment
        texts.append(as_text(await page("dusk", signs)))
    assert "\n".join(texts) == snapshot(extension_class=TextFile)

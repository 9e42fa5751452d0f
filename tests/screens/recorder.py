"""Records the screens of a test, and compares them with the snapshots that are kept."""

from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot

from coach.screens.base_app import BaseApp
from tests.screens.capture import as_svg, as_text, runs, without_drawings
from tests.screens.pictures import PICTURES, Picture, PictureFile, Size, TextFile


class Recorder:
    """One series of screens at one size: the text of each screen, and a picture of those that the table names."""

    def __init__(self, series: str, size: Size) -> None:
        self._pictures = [one for one in PICTURES if (one.series, one.size) == (series, size)]
        self.texts: dict[str, str] = {}
        self.pictures: dict[str, str] = {}

    async def record(self, screen: str, app: BaseApp, pilot: Pilot[None]) -> None:
        """Take down the screen in view. Its text must be the same without colour: colour is never the only sign."""
        self.texts[screen] = as_text(runs(app))
        assert as_text(runs(app, monochrome=True)) == self.texts[screen]
        theme = app.theme
        for picture in self._pictures:
            if picture.screen == screen and (picture.theme is None) == app.no_color:
                await self._take(picture, app, pilot)
        app.theme = theme

    async def _take(self, picture: Picture, app: BaseApp, pilot: Pilot[None]) -> None:
        if picture.theme is not None and picture.theme != app.theme:
            app.theme = picture.theme
            await pilot.pause()
        on_screen = {type(widget) for widget in (app.screen, *app.screen.walk_children())}
        assert on_screen >= set(picture.widgets)
        self.pictures[picture.name] = as_svg(runs(app))

    def assert_as_kept(self, snapshot: SnapshotAssertion, without_colour: "Recorder | None" = None) -> None:
        """Every text and picture is the one kept; without colour all words are the same."""
        pictures = dict(self.pictures)
        if without_colour is not None:
            # A drawing without colour has other signs: shades for surfaces.
            words, other = map(_words, (self.texts, without_colour.texts))
            assert other == words
            pictures |= without_colour.pictures
        assert as_one_text(self.texts) == snapshot(extension_class=TextFile)
        assert [
            name for name, picture in pictures.items() if snapshot(name=name, extension_class=PictureFile) != picture
        ] == []


def _words(texts: dict[str, str]) -> dict[str, str]:
    return {screen: without_drawings(text) for screen, text in texts.items()}


def as_one_text(screens: dict[str, str]) -> str:
    """All screens below each other, each under its name."""
    return "\n".join(f"{f'#### {name} ':#<120}\n{text}" for name, text in screens.items())

"""One client: where they stand, what they need, and a key for each look at them."""

from collections.abc import Iterator, Mapping
from functools import partial

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key
from textual.screen import Screen
from textual.widget import Widget

from coach.model.message_format import fill
from coach.model.messages.client_page import ClientPageWords, Look
from coach.overview.caseload_lines import CaseLine, exercise_of
from coach.screens.therapist.history_charts_screen import PicturesScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.report_sources import CannotShow, Looks
from coach.screens.therapist.text_screen import TextScreen
from coach.screens.widgets.text import key_lines, plain

# In the order in which they are shown.
LOOK_KEYS: Mapping[str, Look] = {
    "p": "preview",
    "g": "pictures",
    "w": "steering",
    "d": "decisions",
    "s": "setup",
    "h": "history",
    "f": "forecast",
    "c": "check",
}


class ClientScreen(Screen[None]):
    """The client of one line of the caseload."""

    def __init__(self, looks: Looks, line: CaseLine) -> None:
        super().__init__()
        self._looks, self._line = looks, line
        self._words = looks.content.words.of(ClientPageWords)

    def compose(self) -> ComposeResult:
        """What is known of the client, and the keys."""
        keys = [f"{key} {self._words.report[look]}" for key, look in LOOK_KEYS.items()]
        keys.append(f"esc {self._words.keys['back']}")
        yield plain(fill(self._words.title, {"client": self._line.client.shown_name}), id="title")
        yield VerticalScroll(*self._texts(), id="page", can_focus=False)
        yield plain(key_lines(keys, self.app.size.width), id="keys")

    def on_key(self, event: Key) -> None:
        """A look at the client, or back."""
        event.stop()
        look = LOOK_KEYS.get(event.key)
        if event.key in ("escape", "q"):
            self.dismiss()
        elif look is not None:
            self._open(look)

    def _open(self, look: Look) -> None:
        """A look with a page of its own, or a report; where a page cannot be shown, why."""
        client = self._line.client
        title = f"{client.shown_name}: {self._words.report[look]}"
        pages = {"preview": self._preview, "pictures": self._pictures, "steering": self._looks.steering}
        if look not in pages:
            self.app.push_screen(TextScreen(title, partial(self._looks.reports[look], client.folder), self._words))
            return
        try:
            self.app.push_screen(pages[look](client.folder))
        except CannotShow as why:
            said = str(why)
            self.app.push_screen(TextScreen(title, lambda: said, self._words))

    def _preview(self, client: str) -> Screen[None]:
        return PreviewScreen(self._looks.plan(client), self._looks.now(), self._looks.previews)

    def _pictures(self, client: str) -> Screen[None]:
        return PicturesScreen(self._looks.pictures(client), self._looks.draw, self._words)

    def _texts(self) -> Iterator[Widget]:
        words, client = self._words, self._line.client
        if client.fault:
            yield plain(words.files_title, "list-title")
            yield plain(client.fault, "line")
            return
        yield plain(self._stands(), "lead")
        seen = {"date": client.last_seen or client.prescribed_on}
        yield plain(fill(words.seen if client.last_seen else words.never_seen, seen), "line")
        yield plain(words.needs_title, "list-title")
        for said in self._line.said or (words.no_need,):
            yield plain(f"  · {said}", "listed")
        if client.reason:
            yield plain(words.decided_title, "list-title")
            yield plain(client.reason, "said")
        if client.tell:
            yield plain(words.tell_title, "list-title")
        for sentence in client.tell.values():
            yield plain(sentence, "said")

    def _stands(self) -> str:
        words, client = self._words, self._line.client
        load = fill(words.load, {"mean": f"{client.mean_nm:.2f}"}) if client.mean_nm is not None else words.no_load
        values = {
            "status": words.status[client.status],
            "exercise": exercise_of(client, self._looks.content),
            "position": client.position_deg,
            "load": load,
            "repetitions": client.repetitions,
            "sessions": client.sessions,
        }
        return fill(words.stands, values)

"""Every page that the coach can look at, of clients with one exercise and with several."""

from collections.abc import Iterator
from functools import cache

from coach.content_files.content_folder import content_folder, load_content
from coach.screens.client.page_types import ScreenPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache
from coach.session.screen_catalogue import catalogue_entries
from coach.session.state import State
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from tests.clocks import START, FakeClock
from tests.demo.pristine import DEMO

_CLIENTS = ("tern", "curlew")


@cache
def every_page(language: str) -> tuple[tuple[str, State, ScreenPage], ...]:
    """Each page with its name and its state."""
    return tuple(_pages_of(language))


def _pages_of(language: str) -> Iterator[tuple[str, State, ScreenPage]]:
    for client in _CLIENTS:
        store = ClientStore.read(DEMO / client, load_content(content_folder(), language)).exercises[0]
        plan, setups = open_session(store, FakeClock()()).plan, SetupCache()
        for entry in catalogue_entries(plan, START):
            yield f"{client} {entry.name}", entry.state, page_at(entry.state, setups.of(entry.state), entry.at_s)

"""Hermetic: a home of its own, no colour or theme from outside, one time zone, and the demo clients as copies."""

import gc
import os
import shutil
import signal
import time
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import settings

from tests.demo.pristine import copy_pristine
from tests.long_tests import is_long
from tests.made_once import made_once
from tests.settled import settle_without_idling
from tests.store.generated_caseload import make

# Colours, and how terminals name themselves: a drawing depends on it.
_FROM_OUTSIDE = (
    *("NO_COLOR", "COLORTERM", "TMUX", "STY", "ZELLIJ", "KITTY_WINDOW_ID", "TERM_PROGRAM", "VTE_VERSION"),
    *("XTERM_VERSION", "KONSOLE_VERSION", "ALACRITTY_WINDOW_ID", "WT_SESSION"),
)
for name in [name for name in os.environ if name.startswith("TEXTUAL") or name in _FROM_OUTSIDE]:
    del os.environ[name]
os.environ["TEXTUAL_ANIMATIONS"] = "none"  # a page is looked at where it comes to rest
os.environ["TERM"] = "xterm-256color"
os.environ["TZ"] = "Europe/Berlin"
time.tzset()
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell starts what runs in the background without it
# Collecting as often as Python does took a sixth of the time: a page makes thousands of objects that stay.
# How often is our own choice, no source.
_COLLECT_AFTER = (100_000, 50, 100)
gc.set_threshold(*_COLLECT_AFTER)
settle_without_idling()
settings.register_profile("no clock", deadline=None)  # on a busy computer any example can take long
settings.load_profile("no clock")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the long tests."""
    for item in items:
        if is_long(item.nodeid):
            item.add_marker(pytest.mark.long)


@pytest.fixture(autouse=True)
def _home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing of the person who runs the tests is read or written."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("HOME", str(home))
    for name in ("XDG_CACHE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR"):
        monkeypatch.setenv(name, str(home / name.lower()))


@pytest.fixture(autouse=True)
def _unflushed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing waits for the disk: what a power cut leaves is tested in `tests/faults`, in processes of their own."""
    monkeypatch.setattr("os.fsync", lambda _: None)


def pytest_collection_finish() -> None:
    """Garbage is looked for in what tests make: to go through all that was loaded took a tenth of the time."""
    gc.collect()
    gc.freeze()


@pytest.fixture(autouse=True)
def _gc_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    """A command run in this process defers garbage collection; undo that, or memory grows for all later tests."""
    gc.set_threshold(*_COLLECT_AFTER)
    # What it leaves out of collection would never be collected.
    kept = SimpleNamespace(get_threshold=gc.get_threshold, set_threshold=gc.set_threshold, freeze=lambda: None)
    monkeypatch.setattr("coach.screens.gc_tuning.gc", kept)


@pytest.fixture
def few_lives(monkeypatch: pytest.MonkeyPatch) -> None:
    """A forecast takes seconds for all its lives; here only its form is looked at."""
    monkeypatch.setattr("coach.reports.text.forecast.LIVES", 2)


@pytest.fixture(scope="session")
def _pristine_profiles(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo profiles with the progress that their records give: folded once, and never written to."""
    return made_once(tmp_path_factory, "pristine", copy_pristine)


@pytest.fixture(scope="session")
def thirty_clients(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every kind of client a few times, the last sessions before 25 November 2026; never written to."""
    return made_once(tmp_path_factory, "thirty", lambda folder: make(folder, 30, date(2026, 11, 25)))


@pytest.fixture
def demo_profiles(_pristine_profiles: Path, tmp_path: Path) -> Path:
    """A copy of the demo profiles, to be written to."""
    return Path(shutil.copytree(_pristine_profiles, tmp_path / "demo_profiles"))

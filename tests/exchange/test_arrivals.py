"""What came is put in place whole or not at all, and the client is told of it once."""

from pathlib import Path

import pytest

from coach.screens.client.live_page import live_page
from coach.screens.client.page_types import TextPage
from coach.screens.client.setup_context import SetupCache
from coach.store.arrivals import arrivals
from coach.store.arrivals.arrivals import finish_arrival, put_in_place
from coach.store.client_store import ClientStore
from coach.store.programme.opening import arrived_lines
from coach.toml.diagnostic import FileFault
from coach.toml.writer import dump
from tests.exchange.machines import NOW, Home, clinic_and_home, content, files_of, new_client, put
from tests.store.programme.by_hand import Clock, open_live, play

FILES = {"programme/0002.toml": b"two", "instructions/a.toml": b"a", "exchange/arrived.toml": b"b"}


class PowerCut(Exception):
    """The computer stops."""


def _stops_at(monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    """Every change of the folder counts; the one of this number does not happen, nor does any after it."""
    left = [number]

    def counted(name: str, owner: object) -> None:
        real = getattr(owner, name)

        def act(*arguments: object, **options: object) -> object:
            left[0] -= 1
            if left[0] < 0:
                raise PowerCut
            return real(*arguments, **options)

        monkeypatch.setattr(owner, name, act)

    counted("replace_bytes", arrivals)
    counted("make_folder", arrivals)
    counted("rename", Path)
    counted("replace", Path)
    counted("flush_folder", arrivals)
    monkeypatch.setattr("shutil.rmtree", lambda *_, **__: None)  # without power nothing is cleaned up


@pytest.mark.parametrize("number", range(28))
def test_stopped_at_any_moment_all_of_it_is_there_later_or_nothing(
    number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = tmp_path / "curlew"
    (client / "programme").mkdir(parents=True)
    (client / "profile.toml").write_bytes(b"before")
    before = files_of(client)
    with monkeypatch.context() as patched:
        _stops_at(patched, number)
        try:
            put_in_place(client, {**FILES, "profile.toml": b"after"})
        except PowerCut:
            stopped = True
        else:
            stopped = False
    finish_arrival(client)
    after = {**FILES, "profile.toml": b"after"}
    there = files_of(client)
    assert there in (before, after)
    assert not stopped or number < 27
    assert [one.name for one in client.iterdir() if one.name.startswith(".")] == []


def test_a_full_disk_changes_nothing_and_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    client = new_client(tmp_path / "curlew")
    before = files_of(client)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("coach.store.arrivals.arrivals.replace_bytes", full)
    with pytest.raises(FileFault, match="no space left on device"):
        put_in_place(client, FILES)
    assert files_of(client) == before


def test_an_interrupted_arrival_is_finished_before_the_client_is_read(tmp_path: Path) -> None:
    client = new_client(tmp_path / "curlew")
    (client / ".arriving" / "programme").mkdir(parents=True)
    text = (client / "programme" / "0001.toml").read_bytes()
    (client / ".arriving" / "programme" / "0002.toml").write_bytes(text)
    with ClientStore.locked(client, content()) as store:
        assert store.folder.prescribed.path.name == "0002.toml"
    assert not (client / ".arriving").exists()


def test_the_client_is_told_once_in_one_sentence_what_came(tmp_path: Path) -> None:
    """Until a session in which something was answered."""
    clinic, home = clinic_and_home(tmp_path)
    clinic.take(put(tmp_path, "first", home.send().data))
    for number in (2, 3):
        text = (clinic.client / "programme" / "0001.toml").read_bytes()
        (clinic.client / "programme" / f"000{number}.toml").write_bytes(text)
    signed = {
        "format": 2,
        "at": NOW,
        "initials": "KB",
        "what": "freeze_load",
        "exercise": "outward_left",
        "reason": "sore",
    }
    (clinic.client / "instructions").mkdir(exist_ok=True)
    (clinic.client / "instructions" / "a.toml").write_text(dump(signed))
    (clinic.client / "profile.toml").write_text("# new\n" + (clinic.client / "profile.toml").read_text())
    home.take(put(tmp_path, "answer", clinic.send()[0].data))
    clock = Clock()
    said = (
        "New from your therapist since your last session: the load stays as it is for a while; 2 versions of the "
        "programme, what was measured of you. Today's session goes by it.",
    )
    with home.on():
        open_live(home.client, clock)
        live = open_live(home.client, clock)
        assert live.arrived == said
        page = live_page(live, SetupCache())
        assert isinstance(page, TextPage)
        assert page.lines[:1] == said
        play(live, clock, lambda state: state.step.name != "today")
        assert arrived_lines(ClientStore.read(home.client, content())) == said
        play(live, clock, lambda state: len(state.record.entry) > 1)
        assert arrived_lines(ClientStore.read(home.client, content())) == ()


def test_sessions_of_the_other_computer_are_no_news_for_the_client(tmp_path: Path) -> None:
    clinic, _ = clinic_and_home(tmp_path, records=True)
    other = Home("other", tmp_path / "other_state", new_client(tmp_path / "other" / "curlew"))
    clinic.enrol(other)
    clinic.take(put(tmp_path, "a", other.send().data))
    plan = other.take(put(tmp_path, "b", clinic.send()[0].data))
    assert len(plan.files) == 6
    with other.on():
        assert open_live(other.client, Clock()).arrived == ()

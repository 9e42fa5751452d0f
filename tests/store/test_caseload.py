"""A caseload read: each kind of client says what they need, and no line is ever older than the files."""

import gc
import multiprocessing
import os
import shutil
import sqlite3
import stat
import threading
from collections import deque
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from datetime import date, datetime, time, timedelta
from itertools import count
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.caseload import ClientSummary
from coach.model.content import Content
from coach.model.messages.entries import ExerciseMessages
from coach.overview.caseload_lines import LineSources, caseload_line
from coach.store import caseload, client_pool, clock
from coach.store.client_paths import clients_in
from coach.store.client_store import ClientStore
from coach.store.client_summary import DatedSummary, dated_summary, summary_of
from coach.store.fingerprint import client_fingerprint
from coach.store.summary_index import index_path
from coach.toml.diagnostic import FileFault
from tests.demo.pristine import DEMO
from tests.plans import shipped
from tests.store.generated_caseload import KINDS, kinds_in
from tests.store.whole_caseload import read_caseload

TODAY = date(2026, 11, 25)


@pytest.fixture
def few(thirty_clients: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of a few clients, all of whose files count as old enough to be kept."""
    monkeypatch.setattr("coach.files_fingerprint._SETTLED_NS", -(10**18))
    for client in sorted(thirty_clients.glob("*_*"))[:6]:
        shutil.copytree(client, tmp_path / "few" / client.name)
    return tmp_path / "few"


def _anew(folder: Path) -> tuple[ClientSummary, ...]:
    """Every client as the files are now, with nothing kept."""
    return tuple(summary_of(folder / name, shipped(), clock.now().at) for name in clients_in(folder))


def kept(folder: Path) -> list[str]:
    """The clients in the index of a folder."""
    with closing(sqlite3.connect(index_path(folder))) as database:
        return [os.fsdecode(row[0]) for row in database.execute("SELECT name FROM client ORDER BY name")]


def test_each_kind_of_client_says_what_they_need(thirty_clients: Path) -> None:
    """What was put in comes out: the kinds are made by the runner, the needs found by the fold."""
    folder, kinds = thirty_clients, kinds_in(thirty_clients)
    wanted = {
        "gone": "not_seen",
        "warned": "warning_sign",
        "stopped": "stopped_by_pain",
        "rising": "pain_rising",
        "weaker": "under_performing",
        "long": "twelve_weeks",
        "never": "not_begun",
        "broken": "unreadable",
    }
    assert set(kinds.values()) == {kind.name for kind in KINDS}
    for client in read_caseload(folder, shipped()):
        line = caseload_line(client, LineSources(load_needs(content_folder()), shipped(), TODAY))
        names = [need.name for need in line.needs]
        need = wanted.get(kinds[client.folder])
        assert need is None or need in names, (client.folder, kinds[client.folder], names)
        assert kinds[client.folder] != "new" or names == []
        if kinds[client.folder] == "stopped":
            worst = max(week.pain for week in client.weeks if week.pain is not None)
            assert worst == client.pain, "the curve is of the same pain as the number beside it"


def test_what_is_kept_is_what_would_be_read(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = read_caseload(few, shipped())
    monkeypatch.setattr(caseload, "dated_summary", lambda *_, **__: pytest.fail("read again, though nothing changed"))
    assert read_caseload(few, shipped()) == first
    monkeypatch.undo()
    assert first == _anew(few)


def _append(path: Path) -> None:
    newest = max((path / "records").glob("*.toml"))
    shutil.copy(newest, newest.with_name("2026-11-25T090000.toml"))
    text = newest.read_text().replace(f"started = {newest.name[:10]}", "started = 2026-11-25", 1)
    newest.with_name("2026-11-25T090000.toml").write_text(text)


def _as_long(path: Path) -> None:
    """A change that leaves size and modification time as they were."""
    file = path / "prescription.toml"
    before = file.stat()
    file.write_text(file.read_text().replace("days_a_week = 3", "days_a_week = 5"))
    os.utime(file, ns=(before.st_atime_ns, before.st_mtime_ns))


def _exchanged(path: Path) -> None:
    """Another file of the same size put in the place of one, as editors do."""
    file = path / "prescription.toml"
    other = file.with_suffix(".new")
    other.write_text(file.read_text().replace("days_a_week = 3", "days_a_week = 6"))
    other.replace(file)


def _conflict_copy(path: Path) -> None:
    """Another version of what the therapist wrote, beside it."""
    text = (path / "prescription.toml").read_text().replace("days_a_week = 3", "days_a_week = 4")
    (path / "prescription.sync-conflict-20261125-090000-ABCDEFG.toml").write_text(text)


_CHANGES: tuple[Callable[[Path], object], ...] = (
    _append,
    _as_long,
    _exchanged,
    lambda path: max((path / "records").glob("*.toml")).unlink(),
    _conflict_copy,
    lambda path: (path / "profile.toml").write_text("format = 1\n"),
    lambda path: (path / "profile.toml").unlink(),
    lambda path: shutil.rmtree(path / "records"),
    lambda path: shutil.rmtree(path),
    lambda path: shutil.copytree(path, path.with_name("zz_new")),
)


@pytest.mark.parametrize("change", _CHANGES)
def test_no_line_is_ever_stale(few: Path, change: Callable[[Path], object]) -> None:
    """Whatever changes in a client's files, the next look shows it."""
    client = next(path for path in sorted(few.iterdir()) if len(list((path / "records").glob("*"))) > 3)
    before = read_caseload(few, shipped())
    change(client)
    after = read_caseload(few, shipped())
    assert after == _anew(few)
    assert after != before


def _reading(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The clients that are read from now on, and not taken from the index."""
    read: list[str] = []

    def noted(path: Path, content: Content, now: datetime) -> DatedSummary:
        read.append(path.name)
        return dated_summary(path, content, now)

    monkeypatch.setattr(caseload, "dated_summary", noted)
    return read


def test_other_rules_or_another_program_read_everything_anew(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The kept summaries were judged by the old ones."""
    read_caseload(few, shipped())
    monkeypatch.setattr(caseload, "program_fingerprint", lambda *_: "another")
    read = _reading(monkeypatch)
    read_caseload(few, shipped())
    assert len(read) == 6


class _NeverRead(Mapping[str, ExerciseMessages]):
    """Messages of exercises that must not be looked at."""

    def __getitem__(self, key: str) -> ExerciseMessages:
        pytest.fail(f"a summary was made from the messages of {key}")

    def __iter__(self) -> Iterator[str]:
        pytest.fail("a summary was made from the messages of the exercises")

    def __len__(self) -> int:
        return 1


def test_no_summary_is_made_from_cues(thirty_clients: Path) -> None:
    """So an edit of one leaves what is kept as it is."""
    unread = replace(shipped(), messages=replace(shipped().messages, exercises=_NeverRead()))
    at = clock.now().at
    for name in clients_in(thirty_clients)[:15]:
        assert dated_summary(thirty_clients / name, unread, at) == dated_summary(thirty_clients / name, shipped(), at)


def test_an_edit_of_a_cue_reads_nobody_and_one_of_a_reason_everybody(
    few: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, messages = read_caseload(few, shipped()), shipped().messages
    read = _reading(monkeypatch)
    plainer = {name: one.model_copy(update={"out": "away"}) for name, one in messages.exercises.items()}
    assert read_caseload(few, replace(shipped(), messages=replace(messages, exercises=plainer))) == first
    assert read == []
    review = messages.client.offer.model_copy(update={"review": "Not today: {reason}"})
    client = messages.client.model_copy(update={"offer": review})
    read_caseload(few, replace(shipped(), messages=replace(messages, client=client)))
    assert len(read) == 6


def test_what_is_kept_holds_on_each_day_until_it_is_read_again(thirty_clients: Path) -> None:
    """On its first and its last day it is what would be read then, and the last days differ from client to client."""
    content, now, ends = shipped(), clock.now().at, set[int]()
    for name in clients_in(thirty_clients)[:12]:
        dated = dated_summary(thirty_clients / name, content, now)
        days = (dated.until - now.date()).days
        ends.add(days)
        for later in {1, days - 1} if days > 1 else set[int]():
            assert summary_of(thirty_clients / name, content, now + timedelta(days=later)) == dated.summary, name
    assert len(ends - {0}) > 3
    assert max(ends) <= 28


def test_a_day_that_changes_the_answer_reads_that_client_again(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The sentence counts the weeks since the operation."""
    client, now = sorted(few.iterdir())[0], clock.now().at
    profile = client / "profile.toml"
    on = now.date() - timedelta(days=38)
    profile.write_text(f'{profile.read_text()}\n[[condition]]\nkind = "cuff_repair"\non = {on}\nby = "letter"\n')
    first = read_caseload(few, shipped(), at=now)
    assert "5 weeks ago" in first[0].no_session
    read = _reading(monkeypatch)
    assert read_caseload(few, shipped(), at=now + timedelta(days=2)) == first
    assert read == []
    assert "6 weeks ago" in read_caseload(few, shipped(), at=now + timedelta(days=4))[0].no_session
    assert read == [client.name]


def test_a_clock_set_back_before_the_newest_entry_is_noticed(few: Path) -> None:
    """The entry would be dated in the future."""
    client = next(path for path in sorted(few.iterdir()) if len(list((path / "records").glob("*"))) > 3)
    newest = summary_of(client, shipped()).newest_date
    assert newest is not None
    at = datetime.combine(newest, time(23, 59), clock.now().at.tzinfo)
    assert {one.folder: one for one in read_caseload(few, shipped(), at=at)}[client.name].obstacle != "clock"
    back = read_caseload(few, shipped(), at=at.replace(hour=0, minute=1))
    assert {one.folder: one for one in back}[client.name].obstacle == "clock"


def test_a_file_just_changed_is_read_again_next_time(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two changes within one tick of the clock look alike, so what is that fresh is not kept."""
    monkeypatch.undo()
    read_caseload(few, shipped())
    assert kept(few) == []
    stamp = client_fingerprint(str(next(few.iterdir())))
    assert not stamp.is_settled(stamp.changed_ns + 10**9)
    assert stamp.is_settled(stamp.changed_ns + 3 * 10**9)
    assert not stamp.is_settled(stamp.changed_ns - 10**9)


@pytest.mark.parametrize("processes", [1, 2])
def test_an_interrupted_reading_goes_on_where_it_was(
    few: Path, monkeypatch: pytest.MonkeyPatch, processes: int
) -> None:
    """Ctrl-C after five of six, with rows written two at a time."""
    monkeypatch.setattr(caseload, "_WRITTEN_AT_ONCE", 2)
    monkeypatch.setattr(client_pool, "_LEAST_FOR_PROCESSES", 2 if processes > 1 else 100)
    monkeypatch.setattr(client_pool, "_CHUNK", 1)
    monkeypatch.setattr("os.cpu_count", lambda: processes)
    monkeypatch.setattr("threading.active_count", lambda: 1)

    def interrupts(done: int, _: int) -> None:
        if done == 5:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        read_caseload(few, shipped(), interrupts)
    assert multiprocessing.active_children() == []
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    before = kept(few)
    read = _reading(monkeypatch)
    assert read_caseload(few, shipped()) == _anew(few)
    assert len(before) == 5
    assert sorted([*before, *read]) == sorted(clients_in(few))


def test_what_is_wrong_within_a_file_is_kept_and_what_could_not_be_read_is_tried_again(
    few: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = sorted(few.iterdir())[:2]
    (first / "profile.toml").write_text("format = 1\nname = \n")
    (second / "profile.toml").unlink()
    (second / "profile.toml").mkdir()
    broken = read_caseload(few, shipped())
    assert broken[0].fault
    assert broken[1].fault
    read = _reading(monkeypatch)
    assert read_caseload(few, shipped()) == broken
    assert read == [second.name]


def test_who_has_gone_is_not_kept(few: Path) -> None:
    read_caseload(few, shipped())
    gone = sorted(few.iterdir())[2]
    shutil.rmtree(gone)
    shutil.copytree(sorted(few.iterdir())[0], few / "zz_new")
    read_caseload(few, shipped())
    assert gone.name not in kept(few)
    assert "zz_new" in kept(few)


def test_only_the_owner_reads_what_is_kept_and_nothing_is_written_among_the_clients(few: Path) -> None:
    (few / ".caseload.json").write_text("what an earlier version kept here")
    before = {path: path.read_bytes() for path in few.rglob("*") if path.is_file() and path.name[0] != "."}
    read_caseload(few, shipped())
    index = index_path(few)
    assert [stat.S_IMODE(path.stat().st_mode) for path in (index, index.parent)] == [0o600, 0o700]
    assert "few" not in str(index.relative_to(index.parents[1]))
    assert {path: path.read_bytes() for path in few.rglob("*") if path.is_file()} == before


def test_several_processes_read_the_same(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(client_pool, "_LEAST_FOR_PROCESSES", 2)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    monkeypatch.setattr("threading.active_count", lambda: 1)
    said: list[tuple[int, int]] = []
    assert read_caseload(few, shipped(), lambda read, of: said.append((read, of))) == _anew(few)
    assert said[-1] == (6, 6)


def test_files_that_do_not_fit_each_other_are_a_line_too(few: Path) -> None:
    """Each file alone can be read; together they cannot be judged."""
    client = next(path for path in sorted(few.iterdir()) if len(list((path / "records").glob("*"))) > 3)
    for record in (client / "records").glob("*.toml"):
        record.write_text(record.read_text().replace('exercise = "external_rotation"', 'exercise = "unknown"'))
    summary = next(one for one in read_caseload(few, shipped()) if one.folder == client.name)
    assert summary.fault


def test_no_folder_and_no_client_are_said(tmp_path: Path) -> None:
    with pytest.raises(FileFault, match="cannot be read"):
        clients_in(tmp_path / "nowhere")
    with pytest.raises(FileFault, match="no client"):
        clients_in(tmp_path)


def test_a_name_that_would_move_the_cursor_is_only_text(few: Path) -> None:
    client = sorted(few.glob("*_*"))[0]
    client.rename(few / "\x1b[2Jevil")
    read = read_caseload(few, shipped())
    assert all(character.isprintable() for one in read for character in one.shown_name)


@pytest.fixture
def curlew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a copy of the demo client of four exercises, whose files count as old enough to be kept."""
    monkeypatch.setattr("coach.files_fingerprint._SETTLED_NS", -(10**18))
    shutil.copytree(DEMO / "curlew", tmp_path / "several" / "curlew")
    return tmp_path / "several"


def test_a_programme_is_one_summary_with_each_of_its_exercises(curlew: Path) -> None:
    (client,) = read_caseload(curlew, shipped())
    stores = ClientStore.read(curlew / "curlew", shipped()).exercises
    assert [(one.name, one.side) for one in client.exercises] == [
        ("outward_right", "right"),
        ("outward_left", "left"),
        ("inward_right", "right"),
        ("row_right", "right"),
    ]
    loads = [store.progress.load for store in stores]
    assert [one.mean_nm for one in client.exercises] == [load.mean_nm for load in loads if load is not None]
    assert client.last_seen == max(store.records[-1].started.date() for store in stores)
    assert client.name is None
    assert read_caseload(curlew, shipped()) == (client,), "as it was kept"


def _second_version(path: Path) -> None:
    first = path / "programme" / "0001.toml"
    text = first.read_text(encoding="utf-8").replace('name = "row_right"', 'name = "row"')
    first.with_name("0002.toml").write_text(text, encoding="utf-8")


def _instruction(path: Path) -> None:
    (path / "instructions").mkdir(exist_ok=True)
    text = 'format = 2\nat = 2026-11-25T08:00:00+01:00\ninitials = "KB"\nwhat = "end_review"\nreason = "seen"\n'
    (path / "instructions" / "2026-11-25T080000.toml").write_text(text, encoding="utf-8")


@pytest.mark.parametrize("change", [_second_version, _instruction])
def test_no_line_of_a_programme_is_stale(curlew: Path, change: Callable[[Path], object]) -> None:
    before = read_caseload(curlew, shipped())
    change(curlew / "curlew")
    after = read_caseload(curlew, shipped())
    assert after != before
    assert after == _anew(curlew)


def test_a_client_may_not_start_only_where_no_exercise_may(curlew: Path) -> None:
    """A strength that no band is light enough for refuses one exercise, an operation all of them."""
    client, profile = curlew / "curlew", curlew / "curlew" / "profile.toml"
    shutil.rmtree(client / "records")
    (client / "progress.toml").unlink()
    text = profile.read_text(encoding="utf-8")
    profile.write_text(text.replace("force_n = 70.0", "force_n = 5.0"), encoding="utf-8")
    (summary,) = read_caseload(curlew, shipped())
    assert [bool(one.no_session) for one in summary.exercises] == [True, False, False, False]
    assert (summary.no_session, summary.obstacle) == ("", None)
    operated = f'{text}\n[[condition]]\nkind = "stabilisation"\non = {clock.now().at.date()}\nby = "a letter"\n'
    profile.write_text(operated, encoding="utf-8")
    (summary,) = read_caseload(curlew, shipped())
    assert all(one.no_session == summary.no_session != "" for one in summary.exercises)
    assert summary.obstacle == "condition"


def test_what_is_done_is_told_also_while_the_folders_are_looked_through(few: Path) -> None:
    """Of many clients on a share, that takes minutes before the first one is read."""
    told = list[tuple[int, int]]()
    read_caseload(few, shipped(), lambda done, of: told.append((done, of)))
    assert told == [(0, 6)] * 6 + [(done, 6) for done in range(1, 7)]


@pytest.mark.parametrize("seconds", [0.0, 1.0])
def test_where_looking_takes_long_many_looks_are_on_their_way_at_once(
    seconds: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All at the first place by one thread, to see how long that takes; the rest on a share by others."""
    now_s = count(0.0, seconds)
    monkeypatch.setattr("time.perf_counter", lambda: next(now_s))
    monkeypatch.setattr(client_pool, "_LOOKS", 3)
    looked = list(client_pool.look_at(range(9), lambda item: (item, threading.current_thread())))
    others = [item for item, thread in looked if thread is not threading.current_thread()]
    assert [item for item, _ in looked] == list(range(9))
    assert others == (list(range(3, 9)) if seconds else [])
    assert not [one for one in threading.enumerate() if one.name.startswith("ThreadPoolExecutor")]


def test_the_garbage_of_clients_does_not_pile_up_in_a_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of twenty objects for each of 1,500 clients, those of the last thirty are in use."""
    in_use = deque[object](maxlen=30)

    def work(_: Path) -> int:
        cycles = [list[object]() for _ in range(20)]
        for one in cycles:
            one.append(one)
        in_use.append(cycles)
        return len(gc.get_objects())

    monkeypatch.setattr("os.cpu_count", lambda: 2)
    monkeypatch.setattr("threading.active_count", lambda: 1)
    monkeypatch.setattr(client_pool, "_GARBAGE_EVERY", (1000, *client_pool._GARBAGE_EVERY[1:]))
    assert max(client_pool.for_clients(Path(), [""] * 1500, work)) < 4000

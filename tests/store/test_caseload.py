"""A caseload read: each kind of client says what they need, and no line is ever older than the files."""

import json
import os
import shutil
import stat
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest

from coach.content_files.content_folder import content_folder
from coach.model.caseload import ClientSummary
from coach.model.content import Content
from coach.overview.caseload_lines import caseload_line
from coach.store import caseload, clock
from coach.store.caseload import CACHE, load_needs, read_caseload
from coach.store.client_paths import clients_in
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.fingerprint import client_fingerprint
from coach.toml.diagnostic import FileFault
from tests.demo.pristine import TREE
from tests.plans import shipped
from tests.store.generated_caseload import KINDS, make

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    """Every kind of client a few times."""
    folder = tmp_path_factory.mktemp("made_up")
    return folder, make(folder, 30, TODAY)


@pytest.fixture
def few(made: tuple[Path, dict[str, str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of a few clients, all of whose files count as old enough to be kept."""
    monkeypatch.setattr("coach.store.fingerprint._SETTLED_NS", -(10**18))
    for client in sorted(made[0].glob("*_*"))[:6]:
        shutil.copytree(client, tmp_path / "few" / client.name)
    return tmp_path / "few"


def _anew(folder: Path) -> tuple[ClientSummary, ...]:
    """Every client as the files are now, with nothing kept."""
    return tuple(summary_of(folder / name, shipped(), clock.now().at) for name in clients_in(folder))


def test_each_kind_of_client_says_what_they_need(made: tuple[Path, dict[str, str]]) -> None:
    """What was put in comes out: the kinds are made by the runner, the needs found by the fold."""
    folder, kinds = made
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
        line = caseload_line(client, load_needs(content_folder()), shipped(), TODAY)
        names = [need.name for need in line.needs]
        need = wanted.get(kinds[client.folder])
        assert need is None or need in names, (client.folder, kinds[client.folder], names)
        assert kinds[client.folder] != "new" or names == []


def test_what_is_kept_is_what_would_be_read(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = read_caseload(few, shipped())
    monkeypatch.setattr(caseload, "summary_of", lambda *_, **__: pytest.fail("read again, though nothing changed"))
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


_CHANGES: tuple[Callable[[Path], object], ...] = (
    _append,
    _as_long,
    _exchanged,
    lambda path: max((path / "records").glob("*.toml")).unlink(),
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


def test_other_rules_or_another_program_read_everything_anew(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The kept summaries were judged by the old ones."""
    read_caseload(few, shipped())
    monkeypatch.setattr(caseload, "program_fingerprint", lambda *_: "another")
    read: list[Path] = []

    def noted(path: Path, content: Content, at: datetime) -> ClientSummary:
        read.append(path)
        return summary_of(path, content, at)

    monkeypatch.setattr(caseload, "summary_of", noted)
    read_caseload(few, shipped())
    assert len(read) == 6


def test_a_file_just_changed_is_read_again_next_time(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two changes within one tick of the clock look alike, so what is that fresh is not kept."""
    monkeypatch.undo()
    read_caseload(few, shipped())
    assert json.loads((few / CACHE).read_text())["client"] == []
    stamp = client_fingerprint(str(next(few.iterdir())))
    assert not stamp.is_settled(stamp.changed_ns + 10**9)
    assert stamp.is_settled(stamp.changed_ns + 3 * 10**9)
    assert not stamp.is_settled(stamp.changed_ns - 10**9)


@pytest.mark.parametrize("text", ["", "{", '{"format": 9}', "\x00" * 50, "[]"])
def test_a_torn_kept_file_is_made_anew(few: Path, text: str) -> None:
    first = read_caseload(few, shipped())
    (few / CACHE).write_text(text)
    assert read_caseload(few, shipped()) == first
    assert len(json.loads((few / CACHE).read_text())["client"]) == 6


def test_only_the_owner_reads_what_is_kept_and_nothing_else_is_written(few: Path) -> None:
    before = {path: path.read_bytes() for path in few.rglob("*") if path.is_file()}
    read_caseload(few, shipped())
    assert stat.S_IMODE((few / CACHE).stat().st_mode) == 0o600
    after = {path: path.read_bytes() for path in few.rglob("*") if path.is_file() and path.name != CACHE}
    assert after == before


def test_several_processes_read_the_same(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(caseload, "_LEAST_FOR_PROCESSES", 2)
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
    monkeypatch.setattr("coach.store.fingerprint._SETTLED_NS", -(10**18))
    shutil.copytree(TREE / "demo_profiles" / "curlew", tmp_path / "several" / "curlew")
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

"""Content that is kept is the content that would be read, and whatever is wrong with it, the content is read."""

import os
import pickle
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.content_files import content_folder as module
from coach.content_files import kept_content
from coach.content_files import read_content as reading
from coach.content_files.content_folder import OnGaps, load_content, shipped_folder
from coach.deciding_code import code_digest
from coach.model.content import Content, Gap, nothing
from coach.model.message_format import LocalizedLine, fill
from coach.screens.start import DisplayMode, run_session
from coach.store.client_store import ClientStore
from coach.store.fingerprint import fingerprint_of
from coach.store.programme.opening import open_practice
from coach.system import IS_WINDOWS
from coach.toml.diagnostic import FileFault
from coach.value_digest import digest_of
from tests.demo.pristine import TREE


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The content as it is shipped, in a folder that may be changed, and in which no change is too young."""
    folder = Path(shutil.copytree(shipped_folder(), tmp_path / "content"))
    monkeypatch.setattr(module, "shipped_folder", lambda: folder)
    monkeypatch.setattr("coach.files_fingerprint._SETTLED_NS", -(10**18))
    return folder


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The languages in which the content was read from its files."""
    languages, read = list[str](), reading.read_content

    def counted(folder: Path, language: str, clinic: Path | None, on_gaps: OnGaps | None) -> Content:
        languages.append(language)
        return read(folder, language, clinic, on_gaps)

    monkeypatch.setattr(reading, "read_content", counted)
    return languages


def kept_file() -> Path:
    (path,) = Path(os.environ["XDG_CACHE_HOME"]).rglob("*.pickle")
    return path


@pytest.mark.parametrize("language", ["en", "de"])
def test_it_is_what_would_be_read(
    folder: Path, reads: list[str], language: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = load_content(folder, language)
    read.keep()
    monkeypatch.setattr(code_digest, "known", None)
    kept = load_content(folder, language)
    of_code = code_digest.known
    assert reads == [language]
    assert kept.keep is nothing
    assert fingerprint_of(kept) == fingerprint_of(read)
    assert kept.digest == read.digest == digest_of(*(getattr(kept, name) for name in Content.__struct_fields__))
    monkeypatch.setattr(code_digest, "known", None)
    assert code_digest() == of_code, "the digest of the code that decides is kept with it"
    assert replace(kept, signs=()).digest != kept.digest, "what is changed has a digest of its own"
    assert kept.messages.therapist == read.messages.therapist
    assert kept.messages.coach == read.messages.coach
    assert kept.messages.letter == read.messages.letter
    assert list(kept.exercises) == list(read.exercises)
    line, of_kept = read.messages.client.plain.rest_left, kept.messages.client.plain.rest_left
    assert type(of_kept) is (str if language == "en" else LocalizedLine)
    assert fill(of_kept, {"seconds": 1.5}) == fill(line, {"seconds": 1.5})


def test_the_messages_of_the_therapist_still_tell_what_they_lack(folder: Path, reads: list[str]) -> None:
    (folder / "de" / "therapist.toml").unlink()
    load_content(folder, "de").keep()
    gaps = list[Gap]()
    assert load_content(folder, "de", on_gaps=gaps.extend).messages.therapist
    assert (gaps, reads) == ([Gap(str(folder / "de" / "therapist.toml"), "")], ["de"])


def _same_size(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("the", "THE", 1), encoding="utf-8")


def _fallback(folder: Path) -> None:
    _same_size(folder / "en" / "client.toml")


def _limits(folder: Path) -> None:
    with (folder / "limits.toml").open("a", encoding="utf-8") as file:
        file.write("# another\n")


def _new_exercise(folder: Path) -> None:
    shutil.copy(folder / "exercises" / "row.toml", folder / "exercises" / "rows.toml")
    for language in ("de", "en"):
        shutil.copy(folder / language / "row.toml", folder / language / "rows.toml")


def _language_gone(folder: Path) -> None:
    (folder / "de" / "row.toml").unlink()


@pytest.mark.parametrize("change", [_fallback, _limits, _new_exercise, _language_gone])
def test_after_any_change_of_a_file_it_is_read(
    folder: Path, reads: list[str], change: Callable[[Path], None]
) -> None:
    load_content(folder, "de").keep()
    change(folder)
    load_content(folder, "de").keep()
    load_content(folder, "de")
    assert reads == ["de", "de"]


@pytest.mark.skipif(IS_WINDOWS, reason="links take the administrator's rights there")
def test_links_are_followed_and_a_circle_holds_nothing_up(folder: Path, reads: list[str], tmp_path: Path) -> None:
    (folder / "en").rename(tmp_path / "elsewhere")
    (folder / "en").symlink_to(tmp_path / "elsewhere")
    (folder / "circle").symlink_to(folder / "circle")
    (folder / "again").symlink_to(folder)
    load_content(folder, "en").keep()
    load_content(folder, "en")
    _same_size(tmp_path / "elsewhere" / "client.toml")
    load_content(folder, "en")
    assert reads == ["en", "en"]


def test_a_fault_is_told_after_it_was_kept_without_one(folder: Path) -> None:
    load_content(folder, "en").keep()
    (folder / "safety.toml").write_text("format = 1\nsign = ", encoding="utf-8")
    with pytest.raises(FileFault, match=r"safety\.toml"):
        load_content(folder, "en")


def test_a_file_that_has_just_changed_is_not_kept(
    folder: Path, reads: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another change in the same tick of the file system's clock would not be seen."""
    monkeypatch.setattr("coach.files_fingerprint._SETTLED_NS", 10**15)
    assert load_content(folder, "en").keep is nothing
    load_content(folder, "en")
    assert reads == ["en", "en"]


def test_another_version_and_another_code_read_it(
    folder: Path, reads: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    load_content(folder, "en").keep()
    with monkeypatch.context() as later:
        later.setattr(kept_content, "__version__", "9.9")
        load_content(folder, "en")
    with monkeypatch.context() as later:
        later.setattr(kept_content, "_CODE", ("model", "toml"))
        load_content(folder, "en")
    load_content(folder, "en")
    assert reads == ["en", "en", "en"]


def test_one_bit_that_is_not_as_it_was_is_enough(folder: Path, reads: list[str]) -> None:
    load_content(folder, "en").keep()
    held, path = kept_file().read_bytes(), kept_file()
    places = range(0, len(held), len(held) // 40)
    for place in places:
        path.write_bytes(held[:place] + bytes([held[place] ^ 4]) + held[place + 1 :])
        load_content(folder, "en")
    for cut in (b"", held[:20], held[:-1], held + b"\0"):
        path.write_bytes(cut)
        load_content(folder, "en")
    assert len(reads) == 1 + len(places) + 4


class _Call:
    """What a pickle can do: call anything, while it is read."""

    def __init__(self, call: Callable[..., object], *arguments: object) -> None:
        self.call, self.arguments = call, arguments

    def __reduce__(self) -> tuple[Callable[..., object], tuple[object, ...]]:
        return self.call, self.arguments


@pytest.mark.parametrize("what", ["a call", "a method", "another thing"])
def test_a_forged_one_runs_nothing(folder: Path, reads: list[str], tmp_path: Path, what: str) -> None:
    load_content(folder, "en").keep()
    held, target = kept_file().read_bytes(), tmp_path / "made"
    forged = {
        "a call": _Call(os.mkdir, str(target)),
        "a method": _Call(Path.mkdir, target),
        "another thing": ("content", b""),
    }
    data = pickle.dumps(forged[what])
    mark = held[: held.index(b"\n") + 1]
    kept_file().write_bytes(mark + kept_content._sum_of(data) + data)
    assert load_content(folder, "en").exercises
    assert reads == ["en", "en"]
    assert not target.exists()


@pytest.mark.parametrize("data", [b"", b"\x80\x04\x8e" + b"\xff" * 8, b"\x80\x04K\x01.", b"\x80\x04]Q."])
def test_nothing_that_a_pickle_can_raise_stops_a_command(folder: Path, reads: list[str], data: bytes) -> None:
    """An empty one, one of more bytes than there can be, a number, and a name of a language that is a list."""
    load_content(folder, "en").keep()
    held = kept_file().read_bytes()
    kept_file().write_bytes(held[: held.index(b"\n") + 1] + kept_content._sum_of(data) + data)
    load_content(folder, "en")
    assert reads == ["en", "en"]


@pytest.mark.parametrize(
    ("module", "name"),
    [
        ("os", "mkdir"),
        ("coach.model.message_format", "fill"),
        ("coach.store.live_session", "Opening"),
        ("builtins", "eval"),
    ],
)
def test_only_what_the_content_is_made_of_is_found(module: str, name: str) -> None:
    with pytest.raises(pickle.UnpicklingError, match="is no part of the content"):
        kept_content._Unpickler(b"").find_class(module, name)


@pytest.mark.skipif(IS_WINDOWS, reason="Windows keeps who may write in lists that Python does not read")
def test_what_others_may_write_is_not_used(folder: Path, reads: list[str]) -> None:
    load_content(folder, "en").keep()
    assert kept_file().stat().st_mode & 0o777 == 0o600
    assert kept_file().parent.stat().st_mode & 0o777 == 0o700
    kept_file().parent.chmod(0o770)
    load_content(folder, "en")
    assert reads == ["en", "en"]


def test_where_nothing_can_be_kept_it_is_read(
    folder: Path, reads: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    load_content(folder, "en").keep()
    load_content(folder, "en").keep()
    assert reads == ["en", "en"]


@pytest.mark.skipif(IS_WINDOWS, reason="Windows has no pipes among files")
def test_a_pipe_in_its_place_holds_nothing_up(folder: Path, reads: list[str]) -> None:
    load_content(folder, "en").keep()
    path = kept_file()
    path.unlink()
    os.mkfifo(path)
    load_content(folder, "en")
    assert reads == ["en", "en"]


def test_with_it_nothing_is_imported_that_reads() -> None:
    code = (
        "import sys; import coach.files_fingerprint as files; files._SETTLED_NS = -(10**18)\n"
        "from coach.content_files.content_folder import content_folder, load_content\n"
        "load_content(content_folder(), 'en').keep()\n"
        "print(sorted(name for name in sys.modules if name in ("
        "'coach.content_files.read_content', 'coach.content_files.message_files', 'toml_rs')))"
    )
    first, second = (
        subprocess.run([sys.executable, "-c", code], cwd=TREE, capture_output=True, text=True, check=True).stdout
        for _ in range(2)
    )
    assert "coach.content_files.read_content" in first
    assert second.strip() == "[]"


def test_content_of_ones_own_is_always_read(tmp_path: Path) -> None:
    """It is checked as well, and a coach who edits it sees what is there."""
    own = Path(shutil.copytree(shipped_folder(), tmp_path / "own"))
    assert load_content(own, "en").keep is nothing


def test_a_session_keeps_it(demo_profiles: Path, reads: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.files_fingerprint._SETTLED_NS", -(10**18))
    for _ in range(2):
        store = ClientStore.read(demo_profiles / "tern")
        run_session(store.content, open_practice(store), DisplayMode(plain=True))
        for thread in threading.enumerate():
            if thread.name == "keep_content":
                thread.join()
    assert kept_file().name.startswith("en-")
    assert reads == ["en"]

"""A record on the disk: appended whole, torn anywhere, read back as far as it was confirmed."""

import os
import stat
from pathlib import Path

import pytest

from coach.model.answers_file import Answers
from coach.model.record import Answered, Entry, Record, Taught
from coach.session.rehearsal import rehearse
from coach.store.records import record_file
from coach.toml.diagnostic import FileFault
from coach.toml.reader import read_model
from tests.clocks import START
from tests.plans import new_record, plan_of

TOO_HEAVY = Answers(answer={"range": "no", "range_often": "yes"})


def _presses() -> list[tuple[Entry, ...]]:
    """A rehearsed session's entries, three by three, as if each three came from one key."""
    done = rehearse(plan_of("tern"), TOO_HEAVY, START)[0].entry
    return [done[at : at + 3] for at in range(0, len(done), 3)]


def test_what_was_appended_is_read_back_equal(tmp_path: Path) -> None:
    """Every kind of entry, nested values included, survives the file."""
    head, presses = new_record(), _presses()
    path = record_file.create(tmp_path, head)
    for entries in presses:
        record_file.append(path, entries)
    kept = record_file.read(path)
    assert kept.record == head.with_entry(*(entry for entries in presses for entry in entries))
    assert {entry.kind for entry in kept.record.entry} == {"answer", "set", "load", "end"}
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_torn_at_every_byte_keeps_what_was_confirmed(tmp_path: Path) -> None:
    """Cut the last append after every byte: all before it is there, and the torn end is kept aside, byte for byte."""
    path = record_file.create(tmp_path, new_record())
    *confirmed, last = _presses()[:4]
    for entries in confirmed:
        record_file.append(path, entries)
    whole = path.read_bytes()
    record_file.append(path, last)
    content = path.read_bytes()
    expected = record_file.read(path).record.entry[: -len(last)]
    # A line's end more or less behind the mark is none of it.
    for end in range(len(whole) + 2, len(content) - 1):
        torn = tmp_path / f"{end}.toml"
        torn.write_bytes(content[:end])
        kept = record_file.read(torn, repair=True)
        assert kept.record.entry == expected
        assert kept.torn_end is not None
        assert torn.read_bytes() + kept.torn_end.read_bytes() == content[:end]
        assert record_file.read(torn).torn_end is None


@pytest.mark.parametrize("end", [b"", b"\n\n", b" \r\n"])
def test_an_editor_that_changes_the_last_line_takes_nothing_away(tmp_path: Path, end: bytes) -> None:
    """Somebody mended a date by hand: the last answers are not taken for torn, and the record goes on."""
    path = record_file.create(tmp_path, new_record())
    first, second = _presses()[:2]
    record_file.append(path, first)
    path.write_bytes(path.read_bytes().rstrip() + end)
    record_file.append(path, second)
    kept = record_file.read(path)
    assert (kept.record.entry, kept.torn_end) == ((*first, *second), None)


def test_torn_within_a_letter_of_two_bytes(tmp_path: Path) -> None:
    """Half of a letter outside ASCII at the end is a torn tail like any other."""
    path = record_file.create(tmp_path, new_record())
    before = record_file.read(path).record
    with path.open("ab") as file:
        file.write('\n[[entry]]\nkind = "answer"\nstep = "ü'.encode()[:-1])
    assert record_file.read(path).record == before


def test_damage_in_the_middle_is_said_and_left_untouched(tmp_path: Path) -> None:
    """A torn tail is mended; anything else is named with its place, and the file stays as it is."""
    path = record_file.create(tmp_path, new_record())
    record_file.append(path, (Answered(at=START, step="check_in.pain_now", value=2),))
    content = path.read_bytes().replace(b"value = 2", b"value = 22")
    path.write_bytes(content)
    with pytest.raises(FileFault, match="value"):
        record_file.read(path)
    assert path.read_bytes() == content


def test_two_sessions_in_one_second_have_a_file_each(tmp_path: Path) -> None:
    """Nothing is written over."""
    first, second = record_file.create(tmp_path, new_record()), record_file.create(tmp_path, new_record())
    assert first != second


@pytest.mark.parametrize("most", [1, 7])
def test_a_disk_that_takes_a_few_bytes_at_a_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    """A short write is written on."""
    write = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: write(handle, data[:most]))
    path = record_file.create(tmp_path, new_record())
    assert read_model(path, Record) == new_record()


def test_nothing_is_confirmed_before_the_disk_has_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that refuses to flush makes the append fail."""
    path = record_file.create(tmp_path, new_record())

    def refuse(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(OSError, match="No space"):
        record_file.append(path, (Answered(at=START, step="check_in.pain_now", value=2),))


def _answer(value: int) -> tuple[Entry, ...]:
    return (Answered(at=START, step="check_in.pain_now", value=value),)


@pytest.mark.parametrize("what", ["older", "cut", "gone", "other"])
def test_what_was_confirmed_comes_back_where_a_sync_program_put_another_version(tmp_path: Path, what: str) -> None:
    """Nothing that was confirmed is lost, nor anything that only the other version holds."""
    path = record_file.create(tmp_path, new_record())
    head = path.read_bytes()
    appender = record_file.RecordAppender(path)
    appender.append(_answer(1))
    appender.append(_answer(2))
    versions = {"older": head, "cut": path.read_bytes()[:-70], "gone": b"", "other": head + b"\n# elsewhere\n"}
    other = versions[what]
    path.write_bytes(other)
    if what == "gone":
        path.unlink()
    appender.append(_answer(3))
    values = [entry.value for entry in record_file.read(path).record.entry if isinstance(entry, Answered)]
    assert values == [1, 2, 3]
    assert [one.read_bytes() for one in appender.replaced] == ([other] if what == "other" else [])


def test_a_folder_that_has_gone_is_not_made_again(tmp_path: Path) -> None:
    """On a drive that was pulled out, another folder of that name would hide the client's own."""
    folder = tmp_path / "records"
    folder.mkdir()
    path = record_file.create(folder, new_record())
    appender = record_file.RecordAppender(path, path.read_bytes())
    path.unlink()
    folder.rmdir()
    with pytest.raises(OSError, match="No such file"):
        appender.append(_answer(1))
    assert not folder.exists()


def test_every_flipped_bit_is_seen_or_does_no_harm(tmp_path: Path) -> None:
    """Of a closed record: the content is the same, or the damage is named; never another content unnoticed."""
    path = record_file.create(tmp_path, new_record())
    for entries in _presses()[:2]:
        record_file.append(path, entries)
    content, right = path.read_bytes(), record_file.read(path).record
    for at in range(len(content)):
        for bit in (0, 3, 6):
            flipped = bytearray(content)
            flipped[at] ^= 1 << bit
            path.write_bytes(flipped)
            raw = record_file.read_raw(path, repair=True)
            if raw.damage != "content":
                assert record_file.parse(raw).record == right
            assert path.read_bytes() == flipped


def test_what_could_not_be_read_again_is_not_written(tmp_path: Path) -> None:
    """An entry that the reader of records refuses would close the client's sessions: the file stays as it is."""
    path = record_file.create(tmp_path, new_record())
    before = path.read_bytes()
    with pytest.raises(FileFault, match="nothing was written, because it could not be read again: fault") as told:
        record_file.append(path, (Taught(at=START, fault="x" * 60),))
    assert str(told.value).startswith(f"{path}: ")
    assert path.read_bytes() == before
    with pytest.raises(FileFault, match="exercise"):
        record_file.create(tmp_path, new_record().model_copy(update={"exercise": "a\u202eb"}))
    assert list(tmp_path.iterdir()) == [path]

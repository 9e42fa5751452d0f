"""Records that a program for keeping two machines the same has left twice."""

from collections.abc import Mapping, Sequence
from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.cli import main
from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.answers_file import Answers
from coach.model.record import Entry
from coach.progression.needs import needs_of
from coach.screens.start import DisplayMode
from coach.session.rehearsal import rehearse
from coach.store.client_folder import read_client_folder, records_folder
from coach.store.client_summary import summary_of
from coach.store.programme.upgrade import upgrade
from coach.store.records import record_file
from coach.toml.diagnostic import FileFault
from tests.clocks import START
from tests.plans import new_record, plan_of, shipped
from tests.screens.plain.output_lines import run_with_answers

DONE = rehearse(plan_of("tern"), Answers(), START)[0].entry
WORSE = rehearse(plan_of("tern"), Answers(answer={"set_1.blade": "yes"}), START)[0].entry
COPIES = ("2026-11-24T180500 (copy of the laptop).toml", "2026-11-24T180500.sync-conflict-20261125-1.toml")


def records(folder: Path, files: Mapping[str, Sequence[Entry]]) -> Path:
    """The client with these records, each under its name."""
    for name, entries in files.items():
        path = record_file.create(records_folder(folder), new_record())
        record_file.append(path, tuple(entries))
        path.rename(path.with_name(f"{name}.moving"))
    for path in records_folder(folder).glob("*.moving"):
        path.rename(path.with_suffix(""))
    return folder


@pytest.mark.parametrize("copy", COPIES)
@pytest.mark.parametrize(("here", "there"), [(5, len(DONE)), (len(DONE), 5), (len(DONE), len(DONE))])
def test_one_session_counts_once_by_the_record_that_holds_most(
    demo_profiles: Path, copy: str, here: int, there: int
) -> None:
    folder = records(demo_profiles / "tern", {"2026-11-24T180500.toml": DONE[:here], copy: DONE[:there]})
    (one,) = read_client_folder(folder).stored_records
    assert one.record.entry == DONE


def test_a_session_that_went_on_in_both_is_for_a_person_to_decide(demo_profiles: Path) -> None:
    """Neither is guessed to be the truth: it may hold a stop that the other does not."""
    folder = records(demo_profiles / "tern", {"2026-11-24T180500.toml": DONE, COPIES[0]: WORSE})
    with pytest.raises(FileFault, match="and the two differ") as raised:
        _ = read_client_folder(folder).stored_records
    assert COPIES[0] in str(raised.value)
    assert len(list((folder / "records").iterdir())) == 2


def test_two_sessions_begun_within_one_second_are_two(demo_profiles: Path) -> None:
    """Names of our own are no copies; and a record that somebody renamed still counts."""
    files = {"2026-11-24T180500.toml": DONE, "2026-11-24T180500-2.toml": WORSE}
    assert len(read_client_folder(records(demo_profiles / "tern", files)).stored_records) == 2
    assert len(read_client_folder(records(demo_profiles / "plover", {"the first.toml": DONE})).stored_records) == 19


NAMES = (
    "prescription (conflicted copy 2026-11-02).toml",
    "prescription.sync-conflict-20261102-101010-ABCDEFG.toml",
    "prescription-LAPTOP.toml",
    "prescription (1).toml",
)
FREEZE = """
[[sign_offs]]
at = 2026-11-02T10:00:00+01:00
initials = "KB"
what = "freeze_load"
reason = "sore after the weekend"
"""


@pytest.mark.parametrize("name", NAMES)
def test_what_was_signed_in_a_copy_is_dropped_by_nothing(
    demo_profiles: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The check names the instruction, the caseload has a need, and there is no session."""
    client = demo_profiles / "tern"
    text = (client / "prescription.toml").read_text(encoding="utf-8")
    (client / name).write_text(text + FREEZE, encoding="utf-8")
    assert main(["check", str(client)]) == 1
    checked = " ".join(capsys.readouterr().out.split())
    assert "another version of prescription.toml" in checked
    assert "freeze_load of 2026-11-02 10:00 by KB" in checked
    assert summary_of(client, shipped()).two_versions == (name,)
    needs = needs_of(summary_of(client, shipped()), load_needs(content_folder()), LIMITS, START.date())
    assert needs[0].name == "two_versions"
    assert main(["caseload", str(demo_profiles), "--plain"]) == 0
    assert "two versions of a file" in capsys.readouterr().out


LIMITS = {limit.name: limit.value for limit in shipped().limits}


def test_there_is_no_session_beside_another_version(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """With a terminal, so that nothing else is in the way."""
    monkeypatch.setattr("coach.screens.start.choose_display", lambda *_: DisplayMode(True))
    client = demo_profiles / "tern"
    copy = client / NAMES[0]
    copy.write_text((client / "prescription.toml").read_text(encoding="utf-8") + FREEZE, encoding="utf-8")
    assert main(["session", str(client)]) == 3
    assert "two versions of a file" in capsys.readouterr().err
    assert not (client / "records").exists() or not list((client / "records").iterdir())


def test_an_older_copy_keeps_nobody_from_the_session_and_is_said(demo_profiles: Path) -> None:
    """All that it holds is in the file: the file was signed on, and the copy was not."""
    client = demo_profiles / "tern"
    file = client / "prescription.toml"
    (client / NAMES[1]).write_text(file.read_text(encoding="utf-8"), encoding="utf-8")
    file.write_text(file.read_text(encoding="utf-8") + FREEZE, encoding="utf-8")
    folder = read_client_folder(client)
    assert folder.conflicting_copies == ()
    assert [notice.path.name for notice in folder.notices] == [NAMES[1]]


def test_other_files_are_no_copies(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    for name in ("prescriptions.toml", "profile_old.toml", "progress.kept-2026.toml", "notes.toml"):
        (client / name).write_text("format = 1\n", encoding="utf-8")
    assert read_client_folder(client).copies == ()


@pytest.mark.parametrize(
    "name",
    [
        "instructions/2026-11-02T100000-KB.TOML",
        "instructions/.2026-11-02T100000-KB.toml.icloud",
        "visits/2026-11-02T100000.toml.Conflict",
        "programme/0002.Toml",
        "records/.2026-11-02T100000.toml.icloud",
    ],
)
def test_a_file_under_a_name_that_is_not_read_is_told(demo_profiles: Path, name: str) -> None:
    file = demo_profiles / "curlew" / name
    file.parent.mkdir(exist_ok=True)
    file.write_text(FREEZE, encoding="utf-8")
    with pytest.raises(FileFault, match="is not read") as raised:
        read_client_folder(demo_profiles / "curlew")
    assert file.name in str(raised.value)


def test_a_version_of_the_programme_that_came_only_as_a_copy_is_told(demo_profiles: Path) -> None:
    """Until a person has looked, the older version does not hold in silence."""
    folder = demo_profiles / "curlew" / "programme"
    text = (folder / "0001.toml").read_text(encoding="utf-8")
    (folder / "0002 (conflicted copy).toml").write_text(text.replace("sets = 2", "sets = 1"), encoding="utf-8")
    (copy,) = read_client_folder(demo_profiles / "curlew").conflicting_copies
    assert (copy.of, copy.path.name) == ("0002.toml", "0002 (conflicted copy).toml")


def test_what_was_signed_in_format_1_after_the_client_was_moved_is_told(demo_profiles: Path) -> None:
    """By a computer that had the folder as it was before; as it was left, the file says nothing more."""
    client = demo_profiles / "tern"
    text = (client / "prescription.toml").read_text(encoding="utf-8")
    upgrade(client)
    (client / "prescription.toml").write_text(text, encoding="utf-8")
    assert read_client_folder(client).conflicting_copies == ()
    (client / "prescription.toml").write_text(text + FREEZE, encoding="utf-8")
    (copy,) = read_client_folder(client).conflicting_copies
    assert "freeze_load of 2026-11-02 10:00 by KB" in copy.fault.what


@pytest.mark.parametrize("before", ["measured_on = 2026-10-30\n", ""])
def test_an_older_profile_that_was_put_back_is_told_until_a_session_was_done_with_it(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str], before: str
) -> None:
    """A band was measured again, a session knew it, and then a program brought the profile of before."""
    client = demo_profiles / "avocet"
    profile = client / "profile.toml"
    newer = profile.read_text(encoding="utf-8")
    assert newer.count("measured_on = 2026-10-30\n") > 1
    older = newer.replace("measured_on = 2026-10-30\n", before, 1)
    newer = newer.replace("measured_on = 2026-10-30\n", "measured_on = 2026-11-10\n", 1)
    profile.write_text(newer, encoding="utf-8")
    run_with_answers(client, Answers(), lambda _: None, START)
    assert read_client_folder(client).notices == ()
    profile.write_text(older, encoding="utf-8")
    (told,) = read_client_folder(client).notices
    assert told.path == profile
    assert "knew a measurement of 2026-11-10: an older copy of profile.toml may have been put back" in told.what
    assert main(["check", str(client)]) == 1
    assert "put the newer one back from a backup" in capsys.readouterr().out
    assert main(["progress", str(client)]) == 0, "it prevents nobody from anything"
    assert "profile.toml: it has the" in capsys.readouterr().err
    run_with_answers(client, Answers(), lambda _: None, START + timedelta(days=3))
    assert read_client_folder(client).notices == ()


def test_a_band_that_was_taken_out_of_the_profile_is_no_older_profile(demo_profiles: Path) -> None:
    folder = read_client_folder(demo_profiles / "avocet")
    assert folder.saved is not None
    known = {"a band of before": START.date(), **folder.saved.measured_on}
    assert replace(folder, saved=folder.saved.model_copy(update={"measured_on": known})).notices == ()

"""Records that a program for keeping two machines the same has left twice."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from coach.model.answers_file import Answers
from coach.model.record import Entry
from coach.session.rehearsal import rehearse
from coach.store import record_file
from coach.store.client_folder import read_client_folder, records_folder
from coach.toml.diagnostic import FileFault
from tests.clocks import START
from tests.plans import new_record, plan_of

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

"""What is not to be taken is refused with its reason, and not a byte of the folder changes."""

import random
import re
import shutil
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from coach.cli import main
from coach.exchange.check_exchanged import check_exchanged
from coach.exchange.clinic_book import book_path
from coach.exchange.clinic_side import client_of, clients_by_id, clinic_key_ring
from coach.exchange.home_book import read_home_book, save_home_book
from coach.exchange.home_side import require_enrolment
from coach.exchange.own_keys import OwnKeys, clinic_key_path, home_key_path, unlocked
from coach.exchange.parcel import Parcel, packed, unpacked
from coach.exchange.receiving import TakingPlan
from coach.exchange.sealed_file import open_sealed, read_sealed, seal
from coach.toml.diagnostic import Diagnostic, FileFault
from tests.exchange.machines import (
    Clinic,
    Home,
    Machine,
    clinic_and_home,
    files_of,
    new_client,
    no_passphrase,
    put,
    the_clinic,
    the_home,
)

FORGED = "# not the client's\n"


@pytest.fixture(scope="module")
def _know_each_other(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a clinic and a home that have exchanged the sessions of a client."""
    folder = tmp_path_factory.mktemp("both")
    clinic, home = clinic_and_home(folder, records=True)
    clinic.take(put(folder, "first", home.send().data))
    home.take(put(folder, "answer", clinic.send()[0].data))
    return folder


@pytest.fixture
def both(_know_each_other: Path, tmp_path: Path) -> tuple[Clinic, Home]:
    """A clinic and a home that know each other, to be written to."""
    shutil.copytree(_know_each_other, tmp_path, dirs_exist_ok=True)
    return the_clinic(tmp_path), the_home(tmp_path)


def refused(receiver: Machine, plan: Callable[[], TakingPlan]) -> str:
    """Why a file is refused; nothing of the receiver changes."""
    before = files_of(receiver.client), files_of(receiver.state)
    try:
        found = plan()
        assert found.came == ()
        assert not found.files
        said = "\n".join(one.what for one in found.refused)
    except FileFault as fault:
        said = str(fault)
    assert (files_of(receiver.client), files_of(receiver.state)) == before
    return said


def keys_of(machine: Machine) -> OwnKeys:
    """The private keys of a computer."""
    with machine.on():
        if isinstance(machine, Clinic):
            return unlocked(clinic_key_path(), no_passphrase)
        return unlocked(home_key_path(require_enrolment(machine.client).client), no_passphrase)


def rewritten(
    writer: Machine, reader: Machine, path: Path, signed_by: OwnKeys | None = None, /, **changes: Any
) -> Path:
    """A parcel with something else in it, signed and sealed again."""
    parcel = unpacked(path, open_sealed(read_sealed(path), keys_of(reader)).message)
    other = Parcel.model_validate(parcel.model_dump() | changes)
    data = seal(packed(other), signed_by or keys_of(writer), keys_of(reader).public)
    return put(path.parent, f"{path.stem}-rewritten", data)


def test_a_file_that_was_taken_is_known_and_nothing_happens(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic = both[0]
    before = files_of(clinic.client)
    plan = clinic.take(tmp_path / "first.sealed")
    assert (plan.came, plan.refused, plan.known) == ((), (), (tmp_path / "first.sealed",))
    assert files_of(clinic.client) == before


def test_a_file_of_another_clinic_is_for_another_key(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, _ = both
    _, foreign_home = clinic_and_home(tmp_path / "elsewhere", records=True)
    foreign = put(tmp_path, "foreign", foreign_home.send().data)
    assert "sealed for another key" in refused(clinic, lambda: clinic.take(foreign))


def test_a_file_of_another_client_is_for_another_key_at_home(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, home = both
    other_clinic = Clinic("clinic", clinic.state, new_client(tmp_path / "clinic" / "tern", records=True))
    other_home = Home("home", home.state, new_client(tmp_path / "home" / "tern", records=True))
    other_clinic.enrol(other_home)
    other_clinic.take(put(tmp_path, "theirs", other_home.send().data))
    theirs = put(tmp_path, "for-them", other_clinic.send()[0].data)
    assert "sealed for another key" in refused(home, lambda: home.take(theirs))


def test_a_letter_about_another_client_or_for_another_computer_is_refused(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    clinic, home = both
    path = put(tmp_path, "new", clinic.send()[0].data)
    for each in ({"client": "0" * 32}, {"receiver": "0" * 64}):
        forged = rewritten(clinic, home, path, **each)
        assert "for another client" in refused(home, partial(home.take, forged))
    path = put(tmp_path, "newer", home.send().data)
    forged = rewritten(home, clinic, path, receiver="0" * 64)
    assert "written for another clinic" in refused(clinic, lambda: clinic.take(forged))


def test_a_letter_that_somebody_else_signed_is_refused(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    """Also where it names the right sender, and where it names itself and a code that is none."""
    clinic, home = both
    stranger = OwnKeys.new()
    path = put(tmp_path, "new", home.send().data)
    said = refused(clinic, lambda: clinic.take(rewritten(home, clinic, path, stranger)))
    assert "another sender than the one who signed it" in said
    named = rewritten(home, clinic, path, stranger, sender=stranger.public.model_dump(), code="guessed")
    said = refused(clinic, lambda: clinic.take(named))
    assert f"signed by the computer {stranger.public.fingerprint}" in said
    path = put(tmp_path, "newer", clinic.send()[0].data)
    named = rewritten(clinic, home, path, stranger, sender=stranger.public.model_dump())
    said = refused(home, lambda: home.take(named))
    assert f"not signed by your clinic, but by the keys {stranger.public.fingerprint}" in said


def test_a_code_is_good_for_one_computer(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    """A folder that was copied to a second computer before it was used."""
    clinic = both[0]
    first = Home("one", tmp_path / "one_state", new_client(tmp_path / "one" / "curlew"))
    second = Home("two", tmp_path / "two_state", new_client(tmp_path / "two" / "curlew"))
    clinic.enrol(first)
    (second.client / "enrolment.toml").write_bytes((first.client / "enrolment.toml").read_bytes())
    clinic.take(put(tmp_path, "one", first.send().data))
    late = put(tmp_path, "two", second.send().data)
    assert "its code was used before by" in refused(clinic, lambda: clinic.take(late))


def test_a_folder_that_was_copied_to_a_computer_without_keys_says_where_they_are(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    home = both[1]
    copied = Home("copied", tmp_path / "other_state", home.client)
    with pytest.raises(FileFault) as refusal:
        copied.send()
    said = str(refusal.value)
    assert "has no keys for this client; the code was used on the computer" in said
    assert keys_of(home).public.fingerprint in said
    assert "ask the clinic for a new enrolment.toml" in said


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("instructions/2026-12-01T120000p0100-KB.toml", FORGED, "does not go this way"),
        ("programme/0009.toml", FORGED, "does not go this way"),
        ("profile.toml", FORGED, "does not go this way"),
        ("progress.toml", FORGED, "does not go this way"),
        ("exchange/clinic.toml", FORGED, "does not go this way"),
        ("records/../../evil.toml", FORGED, "does not go this way"),
        ("records/sub/evil.toml", FORGED, "does not go this way"),
        ("/etc/evil.toml", FORGED, "does not go this way"),
        ("records/.hidden.toml", FORGED, "does not go this way"),
        ("records/evil.sh", FORGED, "does not go this way"),
        ("records/2026-12-09T120000.toml", FORGED, "not as it was written"),
        ("records/2026-12-09T120000.toml", "x" * 2**21, "larger than 1 MiB"),
        ("measured/2026-12-09T120000-set1.toml", FORGED, "format"),
        ("records/2026-11-11T180100.toml", "other", "is another file of that name"),
        ("records/2026-11-11t180100.toml", "same", "is another file of that name"),
    ],
)
def test_files_that_do_not_belong_there_or_do_not_fit(
    name: str, text: str, said: str, both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    """Nothing of the parcel is taken, also not what is right in it."""
    clinic, home = both
    record = home.client / "records" / "2026-11-11T180100.toml"
    if text == "same":
        text = record.read_text()
    elif text == "other":  # whole, and of the same session, but something else was said
        text = (home.client / "records" / "2026-11-13T180200.toml").read_text()
    path = put(tmp_path, "new", home.send().data)
    new = (home.client / "records" / "2026-11-23T180600.toml").read_text()
    forged = rewritten(home, clinic, path, files={name: text, "records/2026-12-10T180600.toml": new})
    assert said in refused(clinic, lambda: clinic.take(forged))


def test_a_record_of_which_one_side_has_another_end_is_refused(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    """Both went on with it. A longer one of the same session is taken, a shorter one changes nothing."""
    clinic, home = both
    record = "records/2026-11-23T180600.toml"
    whole = (home.client / record).read_bytes()
    marks = [at for at in range(len(whole)) if whole.startswith(b"# whole", at)]
    shorter = whole[: whole.index(b"\n", marks[0]) + 1]
    path = put(tmp_path, "new", home.send().data)
    sent = rewritten(home, clinic, path, files={record: shorter.decode()})
    plan = clinic.take(sent)
    assert (plan.files, plan.refused, len(plan.came)) == ({}, (), 1)
    assert (clinic.client / record).read_bytes() == whole

    (clinic.client / record).write_bytes(shorter)
    path = put(tmp_path, "newer", home.send().data)
    longer = rewritten(home, clinic, path, files={record: whole.decode()})
    assert clinic.take(longer).files == {record: whole}
    assert (clinic.client / record).read_bytes() == whole


def test_a_client_of_a_newer_format_is_refused(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, home = both
    newer = (clinic.client / "programme" / "0001.toml").read_text().replace("format = 2", "format = 3", 1)
    path = put(tmp_path, "new", clinic.send()[0].data)
    forged = rewritten(clinic, home, path, files={"programme/0002.toml": newer})
    assert "format" in refused(home, lambda: home.take(forged))


def test_an_exercise_that_this_program_does_not_have_is_refused(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, home = both
    text = (clinic.client / "programme" / "0001.toml").read_text()
    path = put(tmp_path, "new", clinic.send()[0].data)
    unknown = text.replace('exercise = "external_rotation"', 'exercise = "handstand"')
    forged = rewritten(clinic, home, path, files={"programme/0002.toml": unknown})
    assert "handstand" in refused(home, lambda: home.take(forged))


def test_a_random_file_is_refused(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    """Bytes at random behind a right head, and a right file with bytes at random in it."""
    clinic, home = both
    draw = random.Random(5)
    whole = home.send().data
    head = whole[: whole.index(b"\n", 25) + 1]
    for number in range(20):
        data = bytearray(whole)
        for _ in range(draw.randint(1, 5)):
            data[draw.randrange(len(head), len(data))] ^= draw.randint(1, 255)
        other = head + draw.randbytes(draw.randint(0, 9000))
        for each in (bytes(data), other):
            path = put(tmp_path, f"random{number}", each)
            assert "torn, or was altered" in refused(clinic, partial(clinic.plan, path))


def test_an_older_letter_brings_its_files_and_no_older_profile(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    """The newest profile is that of the parcel with the highest number; the one before it is kept beside."""
    clinic, home = both
    profile, written = clinic.client / "profile.toml", []
    before = profile.read_bytes()
    for number in (2, 3):
        (clinic.client / "programme" / f"000{number}.toml").write_bytes(
            (clinic.client / "programme" / "0001.toml").read_bytes()
        )
        profile.write_text(f"# version {number}\n{before.decode()}")
        written.append(put(tmp_path, str(number), clinic.send()[0].data))
    newest = profile.read_bytes()
    home.take(written[1])
    assert (home.client / "profile.toml").read_bytes() == newest
    assert [one.read_bytes() for one in (home.client / "exchange").glob("profile_before_*.toml")] == [before]
    plan = home.take(written[0])
    assert [one.number for one in plan.came] == [2]
    assert (home.client / "profile.toml").read_bytes() == newest


def test_an_older_profile_that_was_put_back_at_home_is_told_and_the_next_answer_brings_the_newer_one(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    """As by a program that keeps folders the same; the clinic itself may go back to the words of before."""
    clinic, home = both
    at_clinic, at_home = clinic.client / "profile.toml", home.client / "profile.toml"
    before = at_clinic.read_bytes()
    at_clinic.write_bytes(b"# newer\n" + before)
    home.take(put(tmp_path, "newer", clinic.send()[0].data))
    with home.on():
        assert check_exchanged(home.client) == ()
        at_home.write_bytes(before)
        (told,) = check_exchanged(home.client)
    assert (told.path, told.line) == (at_home, 0)
    assert "as it was before the clinic sent a newer one" in told.what
    clinic.take(put(tmp_path, "question", home.send().data))
    home.take(put(tmp_path, "answer", clinic.send()[0].data))
    assert at_home.read_bytes() == at_clinic.read_bytes() != before
    clinic.take(put(tmp_path, "receipt", home.send().data))
    at_clinic.write_bytes(before)
    home.take(put(tmp_path, "again", clinic.send()[0].data))
    assert at_home.read_bytes() == before
    with home.on():
        assert check_exchanged(home.client) == ()


def test_a_side_that_was_restored_from_a_backup_is_told_and_goes_on(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    """Its numbers begin again where they were; the other side says so, and after one answer all is well."""
    clinic, home = both
    with home.on():
        book = read_home_book(require_enrolment(home.client).client)
        assert book is not None
    for number in range(3):
        clinic.take(put(tmp_path, f"n{number}", home.send().data))
    with home.on():
        save_home_book(book)
    (home.client / "records" / "2026-11-23T180600.toml").unlink()
    plan = clinic.take(put(tmp_path, "again", home.send().data))
    assert "another one with the number 2 was taken before" in plan.came[0].notes[0]
    plan = home.take(put(tmp_path, "answer2", clinic.send()[0].data))
    assert "this side was restored from a backup" in "".join(plan.came[0].notes)
    sent = home.send()
    assert sent.number == 5
    clinic.take(put(tmp_path, "then", sent.data))
    plan = home.take(put(tmp_path, "answer3", clinic.send()[0].data))
    assert list(plan.files) == ["records/2026-11-23T180600.toml"]


def test_two_folders_of_one_client_are_not_chosen_between(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, home = both
    copy = new_client(clinic.client.with_name("copy"))
    (copy / "exchange").mkdir()
    (copy / "exchange" / "clinic.toml").write_bytes((clinic.client / "exchange" / "clinic.toml").read_bytes())
    faults = list[Diagnostic]()
    with clinic.on():
        found = clinic_key_ring(no_passphrase).open(put(tmp_path, "new", home.send().data))
        by_id = clients_by_id([clinic.client, copy], faults)
        with pytest.raises(FileFault, match="several folders here are this client: curlew, copy"):
            client_of(found, by_id)
        with pytest.raises(FileFault, match="a client who is not in this folder"):
            client_of(found, {})
        assert faults == []
        (copy / "exchange" / "clinic.toml").write_text("format = 1\n")
        assert client_of(found, clients_by_id([clinic.client, copy], faults)) == clinic.client
    assert "client is missing" in faults[0].what


def test_a_gap_and_a_chain_that_does_not_fit_are_told_and_taken(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    """What is missing comes again, and another one before it says that the other side went back to a backup."""
    clinic, home = both
    home.send()
    path = put(tmp_path, "third", home.send().data)
    (came,) = clinic.plan(path).came
    assert came.notes == ("not come yet: number 2; what this side does not get, it is sent again",)
    second = rewritten(home, clinic, path, number=2, before="0" * 32)
    (came,) = clinic.plan(second).came
    assert came.notes == (
        "the one before it is another than was taken here: the other side has gone back to a backup",
    )


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size * 2 // 3])


def _circle(path: Path) -> None:
    path.unlink()
    path.symlink_to(path.name)


@pytest.mark.parametrize("damage", [_cut, _circle])
def test_what_is_damaged_of_the_exchange_is_named_with_what_to_do(
    both: tuple[Clinic, Home], damage: Callable[[Path], None], capsys: pytest.CaptureFixture[str]
) -> None:
    """Books, keys, what came and the enrolment, on the computer that has them. No private key is printed."""
    clinic, home = both
    put(clinic.client / "exchange", "left_here", b"steady-arc sealed 1\n41bd6ef8a04a41f4\nbox")
    for machine in both:
        exchanged = (*machine.state.rglob("*.toml"), *machine.client.rglob("exchange/*"))
        for file in (*exchanged, *machine.client.glob("enrolment.toml")):
            whole, secret = file.read_bytes(), keys_of(machine).signing.hex()
            damage(file)
            with machine.on():
                faults = check_exchanged(machine.client)
            assert [one.path for one in faults] == [file] or (damage, file.suffix) == (_cut, ".sealed")
            assert all(one.fix and secret[:8] not in str(FileFault([one])) for one in faults)
            if file.parent.name == "keys":
                with machine.on():
                    assert main(["keys", *([str(machine.client)] if machine is home else ())]) == 1
                assert secret[:8] not in capsys.readouterr().err
            file.unlink()
            file.write_bytes(whole)
        with machine.on():
            assert check_exchanged(machine.client) == ()


def test_what_a_newer_program_wrote_is_not_to_be_mended(both: tuple[Clinic, Home]) -> None:
    """It says so itself, whatever the words; of an older one there is something else to do."""
    clinic, home = both
    sealed = {number: b"steady-arc sealed %d\n41bd6ef8a04a41f4\nbox" % number for number in (2, 0)}
    (enrolment,) = home.client.glob("enrolment.toml")
    newer = re.sub(rb"(?m)^format = \d+", b"format = 99", enrolment.read_bytes())
    for machine, name, data, is_newer in (
        (clinic, "exchange/left_here.sealed", sealed[2], True),
        (clinic, "exchange/left_here.sealed", sealed[0], False),
        (home, "enrolment.toml", newer, True),
    ):
        (machine.client / name).write_bytes(data)
        with machine.on():
            (fault,) = check_exchanged(machine.client)
        assert fault.newer is is_newer
        assert ("newer" in fault.fix) is is_newer


def test_check_looks_at_the_exchange_of_a_client_and_of_all(
    both: tuple[Clinic, Home], capsys: pytest.CaptureFixture[str]
) -> None:
    clinic, _ = both
    _cut(book_path(clinic.client))
    for folder in (clinic.client, clinic.client.parent):
        with clinic.on():
            assert main(["check", str(folder)]) == 1
        assert f"{book_path(clinic.client)}: " in capsys.readouterr().out

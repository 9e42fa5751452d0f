"""Keys from the first to the last: enrolled, a second computer, a lost one, new keys of the clinic, a passphrase."""

import shutil
import stat
from pathlib import Path

import pytest

from coach.exchange import sending
from coach.exchange.clinic_book import Lost, read_book
from coach.exchange.clinic_side import computer_named, renew_clinic_keys, sign_lost
from coach.exchange.enrolment import new_enrolment, write_enrolment
from coach.exchange.home_book import read_home_book
from coach.exchange.home_side import require_enrolment
from coach.exchange.own_keys import clinic_key_path, read_key_file, unlocked, with_passphrase
from coach.exchange.public_keys import PublicKeys
from coach.exchange.receiving import TakingPlan
from coach.store.client_paths import MEASURED
from coach.store.client_store import ClientStore
from coach.toml.diagnostic import FileFault, Refusal
from tests.exchange.machines import (
    CURLEW,
    NOW,
    Clinic,
    Home,
    clinic_and_home,
    content,
    files_of,
    new_client,
    no_passphrase,
    put,
)

SIGNED = Lost(at=NOW, initials="KB", reason="a laptop was stolen")


@pytest.fixture
def both(tmp_path: Path) -> tuple[Clinic, Home]:
    """A clinic and a home with a code that was not used yet."""
    return clinic_and_home(tmp_path)


def reasons(plan: TakingPlan) -> str:
    """Why something was refused."""
    return "\n".join(one.what for one in plan.refused)


def train(home: Home) -> str:
    """A session at home; returns the file's name."""
    from coach.store.client_folder import records_folder
    from coach.store.records import record_file
    from tests.store.programme.test_merges import START, sessions

    path = record_file.create(records_folder(home.client), sessions()["clean"].moved_to(START))
    return f"records/{path.name}"


def test_keys_are_made_at_home_and_each_side_sees_the_numbers_of_the_other(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    clinic, home = both
    with clinic.on():
        file = read_key_file(clinic_key_path())
    assert file is not None
    assert not (home.state / "steady-arc" / "keys").exists()
    assert require_enrolment(home.client).clinic.fingerprint == file.public.fingerprint
    plan = clinic.take(put(tmp_path, "first", home.send().data))
    (key,) = (home.state / "steady-arc" / "keys").iterdir()
    own = read_key_file(key)
    assert own is not None
    assert (plan.came[0].new_computer, plan.came[0].sender) == (True, own.public)
    assert not clinic.plan(put(tmp_path, "second", home.send().data)).came[0].new_computer


def test_a_fingerprint_is_thirty_digits_and_follows_both_keys() -> None:
    keys = [PublicKeys(verify=one * 64, seal=other * 64) for one in "ab" for other in "ab"]
    assert len({one.fingerprint for one in keys}) == 4
    assert all(len(one.fingerprint.replace(" ", "")) == 30 for one in keys)
    assert all(one.fingerprint.replace(" ", "").isdecimal() for one in keys)


def test_private_keys_are_their_owners_alone_and_in_no_folder_of_a_client(both: tuple[Clinic, Home]) -> None:
    clinic, home = both
    home.send()
    private = list[str]()
    for machine in (clinic, home):
        for file in (machine.state / "steady-arc" / "keys").iterdir():
            assert stat.S_IMODE(file.stat().st_mode) == 0o600
            found = read_key_file(file)
            assert found is not None
            private += [found.signing or "", found.opening or ""]
        assert stat.S_IMODE((machine.state / "steady-arc" / "keys").stat().st_mode) == 0o700
    assert len(set(private) - {""}) == 4
    for data in (*files_of(clinic.client).values(), *files_of(home.client).values()):
        assert not any(one.encode() in data for one in private)


def test_the_code_is_gone_once_it_was_used_and_is_not_in_the_clinics_folder(both: tuple[Clinic, Home]) -> None:
    clinic, home = both
    code = require_enrolment(home.client).code
    assert code is not None
    assert not any(code.encode() in data for data in files_of(clinic.client).values())
    home.send()
    assert not any(code.encode() in data for data in files_of(home.client).values())


def test_what_the_other_side_could_not_read_is_not_sent(
    both: tuple[Clinic, Home], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is told with its file, and the next parcel has the number that this one would have had."""
    _, home = both
    number = home.send().number
    monkeypatch.setattr(sending, "heads_of", lambda _: {"no name of a writer": 1})
    with pytest.raises(FileFault, match="nothing was written, because the other side could not read it"):
        home.send()
    monkeypatch.undo()
    broken = home.client / MEASURED / "2026-11-20T181000-set1.toml"
    broken.parent.mkdir(exist_ok=True)
    broken.write_bytes(b"\xff")
    with pytest.raises(FileFault, match=r"set1\.toml:1:1: the byte 0xff, byte 0 of the file, is not UTF-8"):
        home.send()
    broken.unlink()
    assert home.send().number == number + 1


def test_what_is_not_acknowledged_is_sent_again_and_what_is_is_not(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, home = both
    record = train(home)
    assert home.send().names == home.send().names == (record,)
    clinic.take(put(tmp_path, "third", home.send().data))
    assert home.send().names == (record,)
    home.take(put(tmp_path, "answer", clinic.send()[0].data))
    assert home.send().names == ()


def test_a_second_computer_gets_the_sessions_of_the_first(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, home = both
    second = Home("second", tmp_path / "second_state", new_client(tmp_path / "second" / "curlew"))
    clinic.enrol(second)
    record = train(home)
    for number, one in enumerate((home, second)):
        clinic.take(put(tmp_path, str(number), one.send().data))
    sent = {one.to.verify: one for one in clinic.send()}
    assert len(sent) == 2
    with second.on():
        keys = {file.stem: read_key_file(file) for file in (second.state / "steady-arc" / "keys").iterdir()}
    (own,) = (one for one in keys.values() if one is not None)
    assert sent[own.verify].names == (record,)
    second.take(put(tmp_path, "answer", sent[own.verify].data))
    assert (second.client / record).read_bytes() == (home.client / record).read_bytes()


def test_a_lost_computer_is_refused_and_gets_nothing_and_a_new_one_takes_its_place(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    clinic, home = both
    record = train(home)
    clinic.take(put(tmp_path, "first", home.send().data))
    book = read_book(clinic.client)
    assert book is not None
    (computer,) = book.good
    with clinic.on(), ClientStore.locked(clinic.client, content()):
        sign_lost(clinic.client, computer_named(book, computer.fingerprint[:11]), SIGNED)
    assert clinic.send() == ()
    late = put(tmp_path, "late", home.send().data)
    assert "no longer the client's since 2026-12-01 (KB: a laptop was stolen)" in reasons(clinic.take(late))
    replaced = Home("new", tmp_path / "new_state", new_client(tmp_path / "new" / "curlew"))
    clinic.enrol(replaced)
    clinic.take(put(tmp_path, "new", replaced.send().data))
    (sent,) = clinic.send()
    replaced.take(put(tmp_path, "answer", sent.data))
    assert (replaced.client / record).read_bytes() == (home.client / record).read_bytes()


@pytest.mark.parametrize("digits", ["", "x", "12345 67890 12345"])
def test_a_computer_that_is_not_there_is_named_with_those_that_are(digits: str) -> None:
    from coach.exchange.clinic_book import ClinicBook, Computer

    each = tuple(Computer(verify=one * 64, seal=one * 64, since=NOW) for one in "abcdef0123456789")
    book = ClinicBook(client="0" * 32, clinic="0" * 64, computers=each)
    with pytest.raises(Refusal, match="the first digits of one of: "):
        computer_named(book, digits)


def test_new_keys_of_the_clinic_are_taken_where_the_keys_before_have_signed_them(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    """Twice in a row, with a file of home on its way to the first ones; the first are then no longer good."""
    clinic, home = both
    clinic.take(put(tmp_path, "first", home.send().data))
    home.take(put(tmp_path, "answer", clinic.send()[0].data))
    record = train(home)
    on_its_way = put(tmp_path, "on-its-way", home.send().data)
    before = put(tmp_path, "before", clinic.send()[0].data)
    with clinic.on():
        first = read_key_file(clinic_key_path())
        renew_clinic_keys(no_passphrase, SIGNED)
        newest = renew_clinic_keys(no_passphrase, SIGNED)
    assert first is not None
    plan = clinic.take(on_its_way)
    assert list(plan.files) == [record]
    after = put(tmp_path, "after", clinic.send()[0].data)
    plan = home.plan(after)
    assert [one.after.verify for one in plan.came[0].changes][-1] == newest.verify
    assert [one.reason for one in plan.came[0].changes] == ["a laptop was stolen"] * 2
    home.take(after)
    assert "keys of the clinic that are no longer good" in reasons(home.take(before))
    with home.on():
        book = read_home_book(require_enrolment(home.client).client)
    assert book is not None
    assert (book.clinic.verify, book.no_longer_good[0]) == (newest.verify, first.verify)
    sent = home.send()
    assert sent.to.verify == newest.verify
    assert clinic.take(put(tmp_path, "then", sent.data)).came
    new = Home("new", tmp_path / "new_state", new_client(tmp_path / "new" / "curlew"))
    clinic.enrol(new)
    assert require_enrolment(new.client).verify == newest.verify


def test_new_keys_that_the_keys_before_have_not_signed_are_refused(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, home = both
    clinic.take(put(tmp_path, "first", home.send().data))
    home.take(put(tmp_path, "answer", clinic.send()[0].data))
    with clinic.on():
        renew_clinic_keys(no_passphrase, SIGNED)
        path = clinic_key_path()
        text = path.read_text()
        path.write_text(text.replace("a laptop was stolen", "the moon was full"))
    after = put(tmp_path, "after", clinic.send()[0].data)
    assert "not signed by your clinic" in reasons(home.take(after))


def test_a_computer_of_the_clinic_without_its_keys_says_so_and_makes_no_others(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    clinic, home = both
    clinic.take(put(tmp_path, "first", home.send().data))
    other = Clinic("other", tmp_path / "other_state", clinic.client)
    with other.on(), pytest.raises(FileFault, match="copy that file from the computer of the clinic that has them"):
        new_enrolment(clinic.client, NOW)


def test_keys_with_a_passphrase_open_with_it_alone(both: tuple[Clinic, Home]) -> None:
    clinic = both[0]
    with clinic.on():
        path = clinic_key_path()
        before = unlocked(path, no_passphrase)
        with_passphrase(path, "ganz geheim", no_passphrase)
        assert before.signing.hex() not in path.read_text()
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        with pytest.raises(Refusal, match="the passphrase does not fit"):
            unlocked(path, lambda _: "ganz Geheim")
        assert unlocked(path, lambda _: "ganz geheim") == before
        new_enrolment(clinic.client, NOW)  # needs none
        with_passphrase(path, "", lambda _: "ganz geheim")
        assert unlocked(path, no_passphrase) == before


def test_a_file_of_keys_whose_halves_do_not_belong_together_is_refused(both: tuple[Clinic, Home]) -> None:
    clinic = both[0]
    with clinic.on():
        path = clinic_key_path()
        file = read_key_file(path)
        assert file is not None
        path.write_text(path.read_text().replace(file.seal, file.verify))
        with pytest.raises(FileFault, match="not those of the public ones beside them"):
            unlocked(path, no_passphrase)


def test_a_computer_that_was_found_again_gets_new_keys_with_a_new_code(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    """Its keys from before stay lost."""
    clinic, home = both
    clinic.take(put(tmp_path, "first", home.send().data))
    book = read_book(clinic.client)
    assert book is not None
    with clinic.on(), ClientStore.locked(clinic.client, content()):
        sign_lost(clinic.client, book.good[0], SIGNED)
    clinic.enrol(home)
    plan = clinic.take(put(tmp_path, "again", home.send().data))
    assert [one.new_computer for one in plan.came] == [True]
    home.take(put(tmp_path, "answer", clinic.send()[0].data))
    after = read_book(clinic.client)
    assert after is not None
    assert [one.lost is None for one in after.computers] == [False, True]


def test_the_clinics_own_folder_is_not_made_one_of_home(both: tuple[Clinic, Home]) -> None:
    clinic = both[0]
    before = files_of(clinic.client)
    with clinic.on(), pytest.raises(FileFault, match="the clinic's own folder"):
        write_enrolment(clinic.client, clinic.client.parent / "." / clinic.client.name, NOW)
    assert files_of(clinic.client) == before


def test_what_is_too_much_for_one_letter_goes_into_several(
    both: tuple[Clinic, Home], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They may come in any order."""
    clinic, home = both
    clinic.take(put(tmp_path, "first", home.send().data))
    files = [clinic.client / "programme" / f"000{number}.toml" for number in (1, 2, 3)]
    for file in files[1:]:
        file.write_bytes(files[0].read_bytes())
    monkeypatch.setattr("coach.exchange.sending._MOST_TEXT", files[0].stat().st_size + 1)
    sent = clinic.send()
    assert [(one.number, one.names) for one in sent] == [
        (1, ("programme/0002.toml",)),
        (2, ("programme/0003.toml",)),
    ]
    for number in (1, 0):
        assert home.take(put(tmp_path, str(number), sent[number].data)).refused == ()
    assert files_of(home.client / "programme") == files_of(clinic.client / "programme")


def test_a_client_of_the_format_before_is_moved_to_the_newest_on_both_sides(tmp_path: Path) -> None:
    """With a folder that was copied before the code was given."""
    tern = CURLEW.with_name("tern")
    clinic = Clinic("clinic", tmp_path / "clinic_state", Path(shutil.copytree(tern, tmp_path / "clinic" / "tern")))
    home = Home("home", tmp_path / "home_state", Path(shutil.copytree(tern, tmp_path / "home" / "tern")))
    clinic.enrol(home)
    plan = clinic.take(put(tmp_path, "first", home.send().data))
    assert (plan.refused, plan.files) == ((), {})
    assert files_of(clinic.client / "programme") == files_of(home.client / "programme") != {}

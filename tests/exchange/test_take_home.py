"""What a client takes home holds what home needs and no more, and comes onto their computer whole or not at all."""

import argparse
import io
import os
import re
import shutil
import stat
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach import __version__
from coach.cli import main
from coach.exchange.enrolment import ENROLMENT, new_enrolment, read_enrolment
from coach.exchange.own_keys import clinic_key_path, clinic_keys, home_key_path
from coach.exchange.taking_home import coming_home
from coach.exchange.taking_home.coming_home import bring_home
from coach.exchange.taking_home.going_home import packed_client
from coach.store.backups.backup import Member
from coach.store.backups.restore import packed_members
from coach.store.client_store import ClientStore
from coach.store.home.own_wheel import OwnWheel
from coach.store.home.places import clients_at_home, home_folder
from coach.store.home.taken import packed_client_in, taken_before
from coach.toml.diagnostic import FileFault
from tests.store.packed import packed

AT = datetime(2026, 11, 29, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wheel and handout in no time; tests/store/test_own_wheel.py and tests/reports have the true ones."""
    made = OwnWheel("steady_arc-0-py3-none-any.whl", b"PK")
    monkeypatch.setattr("coach.store.home.own_wheel.own_wheel", lambda: made)
    monkeypatch.setattr("coach.commands.home.take_home.printed_handout", lambda *given: given[-1].encode())


@pytest.fixture
def clinic(demo_profiles: Path) -> Path:
    """Clients of whom one has everything in the folder that a clinic may have, and the clinic's own content."""
    tern = demo_profiles / "tern"
    with ClientStore.locked(tern):
        pass
    (tern / "settings.toml").write_text("format = 1\n")
    (tern / "notes.txt").write_text("secret of the therapist")
    (tern / "letters").mkdir()
    (tern / "letters" / "report.pdf").write_text("secret of the surgeon")
    (demo_profiles / "clinic").mkdir()
    (demo_profiles / "clinic" / "limits.toml").write_text("format = 1\n[limits]\npain_max = 3\n")
    return demo_profiles


def packed_tern(clinic: Path, to: Path) -> Path:
    to.write_bytes(packed_client(clinic / "tern", new_enrolment(clinic / "tern", AT)))
    return to


def everything_below(folder: Path) -> dict[str, bytes]:
    found = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: path.read_bytes() for name, path in found.items()}


def test_it_holds_what_home_needs_and_nothing_else(
    clinic: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["take-home", str(clinic / "tern"), "--to", str(tmp_path / "home")]) == 0
    said = capsys.readouterr().out
    folder, fingerprint = tmp_path / "home", clinic_keys().public.fingerprint
    inside = everything_below(folder)
    assert set(inside) == {
        *("Read me first.txt", "Handout to print.pdf"),
        *("Start on Windows.cmd", "Start on a Mac.command", "Start on Linux.sh"),
        *("program/tern.zip", "program/steady_arc-0-py3-none-any.whl"),
        *(f"program/{name}.txt" for name in ("installing", "no_python", "not_installed", "close")),
    }
    names = [one.name for one in packed_members(folder / "program" / "tern.zip")]
    assert names == ["clinic/limits.toml", "tern/profile.toml", "tern/programme/0001.toml", "tern/settings.toml",
                     f"tern/{ENROLMENT}"]  # fmt: skip
    text = inside["Read me first.txt"].decode("utf-8")
    assert len(re.findall(r"^\d\. ", text, re.MULTILINE)) == 5
    assert text.count("\r\n") == text.count("\n")
    assert fingerprint in " ".join(text.split())
    assert fingerprint in inside["Handout to print.pdf"].decode()
    assert fingerprint in said
    assert f"Its keys are in {clinic_key_path()}" in said
    assert main(["take-home", str(clinic / "plover"), "--to", str(tmp_path / "other")]) == 0
    assert "Its keys are in" not in capsys.readouterr().out
    assert "not encrypted" in said
    spilt = [name for name, data in inside.items() for word in (b"heron", b"secret", b"plover") if word in data]
    assert spilt == []
    assert stat.S_IMODE((folder / "Start on Linux.sh").stat().st_mode) == 0o700
    assert stat.S_IMODE((folder / "Start on a Mac.command").stat().st_mode) == 0o700
    assert stat.S_IMODE((folder / "program" / "tern.zip").stat().st_mode) == 0o600


def test_private_keys_and_the_clinics_book_stay(clinic: Path, tmp_path: Path) -> None:
    zipped = packed_tern(clinic, tmp_path / "tern.zip")
    keys, book = clinic_keys(), (clinic / "tern" / "exchange" / "clinic.toml").read_text()
    held = b"".join(one.data for one in packed_members(zipped)).decode()
    assert keys.verify in held
    assert keys.signing is not None
    assert [one for one in (keys.signing, keys.opening, *re.findall(r'digest = "(\w+)"', book)) if one in held] == []


def test_in_german_everything_is(clinic: Path, tmp_path: Path) -> None:
    profile = clinic / "tern" / "profile.toml"
    text = profile.read_text("utf-8")
    profile.write_text(
        re.sub(r'language = "\w+"\n', "", text).replace("format = 1\n", 'format = 1\nlanguage = "de"\n', 1)
    )
    assert main(["take-home", str(clinic / "tern"), "--to", str(tmp_path / "home")]) == 0
    inside = everything_below(tmp_path / "home")
    assert {"Zuerst lesen.txt", "Start unter Windows.cmd", "Blatt zum Ausdrucken.pdf"} <= set(inside)
    assert "Häkchen" in inside["Zuerst lesen.txt"].decode("utf-8")
    assert "drücken Sie Enter" in inside["program/close.txt"].decode("utf-8")


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda tern: (tern / "records" / "a.toml").symlink_to("/etc/passwd"), "link, or not an ordinary file"),
        (lambda tern: (tern / "records" / "a: b.toml").touch(), "cannot be put in a backup"),
        (lambda tern: os.mkfifo(tern / "settings.toml"), "link, or not an ordinary file"),
        (lambda tern: (tern.parent / "clinic" / "x.toml").symlink_to("/etc/passwd"), "link, or not an ordinary file"),
        (lambda tern: (tern / "measured").symlink_to("/etc"), "link, or not an ordinary file"),
    ],
)  # fmt: skip
def test_what_is_no_plain_file_is_not_taken_along(
    spoil: Callable[[Path], object], says: str, clinic: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is left out in silence where home would need it, and no code is spent."""
    (clinic / "tern" / "settings.toml").unlink()
    (clinic / "tern" / "records").mkdir(exist_ok=True)
    spoil(clinic / "tern")
    assert main(["take-home", str(clinic / "tern"), "--to", str(tmp_path / "home")]) == 1
    assert says in capsys.readouterr().err
    assert not (tmp_path / "home").exists()
    assert not (clinic / "tern" / "exchange").exists()


def test_a_folder_that_is_there_is_not_written_into(clinic: Path, tmp_path: Path) -> None:
    (tmp_path / "home").mkdir()
    assert main(["take-home", str(clinic / "tern"), "--to", str(tmp_path / "home")]) == 1
    assert list((tmp_path / "home").iterdir()) == []
    assert not (clinic / "tern" / "exchange").exists()


def test_where_no_session_may_start_there_is_no_handout_and_the_rest(
    clinic: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("coach.commands.home.take_home.printed_handout", lambda *_: 3)
    assert main(["take-home", str(clinic / "tern"), "--to", str(tmp_path / "home")]) == 0
    assert "no handout" in capsys.readouterr().err
    assert not (tmp_path / "home" / "Handout to print.pdf").exists()
    assert (tmp_path / "home" / "program" / "tern.zip").exists()


def test_taken_once_it_stays_at_home(clinic: Path, tmp_path: Path) -> None:
    """With the clinic's limits, and with keys of its own; the folder is no longer needed, nor looked into again."""
    zipped = packed_tern(clinic, tmp_path / "tern.zip")
    assert taken_before(zipped) is None
    home = bring_home(zipped)
    assert home == home_folder() / "tern" / "tern"
    assert clients_at_home() == {"tern": home}
    store = ClientStore.read(home)
    assert store.content.limit_values({})["pain_max"] == 3
    enrolment = read_enrolment(home)
    assert enrolment is not None
    assert enrolment.code is None
    assert home_key_path(enrolment.client).exists()
    assert taken_before(zipped) == home
    before = everything_below(home_folder())
    assert bring_home(zipped) == home
    assert {name: data for name, data in everything_below(home_folder()).items() if name != "tern/.taken"} == {
        name: data for name, data in before.items() if name != "tern/.taken"
    }
    zipped.unlink()
    assert ClientStore.read(home).profile.name == store.profile.name


def test_what_was_done_at_home_is_not_undone_by_opening_the_folder_again(clinic: Path, tmp_path: Path) -> None:
    zipped = packed_tern(clinic, tmp_path / "tern.zip")
    home = bring_home(zipped)
    (home / "settings.toml").write_text("format = 1\nvoice = true\n")
    shutil.copy(zipped, tmp_path / "copied.zip")
    (home.parent / ".taken").unlink()
    assert bring_home(tmp_path / "copied.zip") == home
    assert "voice" in (home / "settings.toml").read_text()


def test_what_the_clinic_signed_later_is_not_passed_over(clinic: Path, tmp_path: Path) -> None:
    """A second folder holds an instruction: no session goes on without it, and none is taken without its seal."""
    home = bring_home(packed_tern(clinic, tmp_path / "first.zip"))
    given = ["steer", str(clinic / "tern"), "freeze_load", "--initials", "KB", "--reason", "sore", "--yes"]
    if main(given) != 0:
        assert main(["steer", str(clinic / "tern"), "freeze", "--initials", "KB", "--reason", "sore", "--yes"]) == 0
    before = everything_below(home_folder())
    with pytest.raises(FileFault, match=r"something new from the clinic.*instructions/"):
        bring_home(packed_tern(clinic, tmp_path / "second.zip"))
    assert everything_below(home_folder()) == before
    assert list((home / "instructions").glob("*")) == []


def test_another_client_of_the_same_name_is_another(clinic: Path, tmp_path: Path) -> None:
    bring_home(packed_tern(clinic, tmp_path / "one.zip"))
    shutil.rmtree(clinic / "tern" / "exchange")
    before = everything_below(home_folder())
    with pytest.raises(FileFault, match="another client of the name tern"):
        bring_home(packed_tern(clinic, tmp_path / "other.zip"))
    assert everything_below(home_folder()) == before


def test_two_of_a_household(clinic: Path, tmp_path: Path) -> None:
    bring_home(packed_tern(clinic, tmp_path / "tern.zip"))
    shutil.copytree(clinic / "tern", clinic / "wren", ignore=shutil.ignore_patterns("exchange"))
    (tmp_path / "wren.zip").write_bytes(packed_client(clinic / "wren", new_enrolment(clinic / "wren", AT)))
    bring_home(tmp_path / "wren.zip")
    assert list(clients_at_home()) == ["tern", "wren"]


def members_with(clinic: Path, tmp_path: Path, *others: Member, without: str = "") -> bytes:
    inside = packed_members(packed_tern(clinic, tmp_path / "good.zip"))
    every = [*(one for one in inside if one.name != without), *others]
    return packed(sorted(every, key=lambda one: one.name))


@pytest.mark.parametrize(
    ("others", "without", "says"),
    [
        ((Member("wren/profile.toml", b"format = 1\n"),), "", "it holds 2 clients"),
        ((Member("tern/../../x.toml", b""),), "", "would lead out of the folder"),
        ((Member("tern/records/\x1b[2J.toml", b""),), "", "would lead out of the folder"),
        ((Member("tern/records/nul.toml", b""),), "", "would lead out of the folder"),
        ((Member("tern/records/x.toml", b"\xff\x00"),), "", "x.toml"),
        ((), f"tern/{ENROLMENT}", "not made to be taken home"),
        ((), "tern/profile.toml", "profile.toml"),
        ((Member("clinic/en/form.toml", b"format = 1\n[x]\n"),), "", "form.toml"),
    ],
)
def test_a_folder_that_somebody_has_altered_changes_nothing(
    others: tuple[Member, ...], without: str, says: str, clinic: Path, tmp_path: Path
) -> None:
    path = tmp_path / "altered.zip"
    path.write_bytes(members_with(clinic, tmp_path, *others, without=without))
    with pytest.raises(FileFault, match=says) as raised:
        bring_home(path)
    assert "\x1b" not in str(raised.value)
    assert everything_below(home_folder()) == {}
    assert clients_at_home() == {}
    assert bring_home(tmp_path / "good.zip").exists()


def test_one_that_was_not_copied_to_its_end_is_refused_until_it_is_whole(clinic: Path, tmp_path: Path) -> None:
    whole, path = packed_tern(clinic, tmp_path / "good.zip").read_bytes(), tmp_path / "torn.zip"
    for length in range(0, len(whole), len(whole) // 40):
        path.write_bytes(whole[:length])
        with pytest.raises(FileFault):
            bring_home(path)
        assert clients_at_home() == {}
    path.write_bytes(whole)
    assert bring_home(path).exists()


def test_ctrl_c_while_it_is_taken_leaves_nothing(
    clinic: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    zipped = packed_tern(clinic, tmp_path / "tern.zip")

    def interrupted(_: Path) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(coming_home, "enrolled", interrupted)
        with pytest.raises(KeyboardInterrupt):
            bring_home(zipped)
    assert clients_at_home() == {}
    assert bring_home(zipped).exists()


def test_a_place_that_leads_elsewhere_is_not_written_through(clinic: Path, tmp_path: Path) -> None:
    """Somebody has put a link where the client would stand."""
    home_folder().mkdir(parents=True)
    (tmp_path / "elsewhere").mkdir()
    (home_folder() / "tern").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(FileFault, match="exists already"):
        bring_home(packed_tern(clinic, tmp_path / "tern.zip"))
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_a_folder_without_one_client_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "program").mkdir()
    for given in (tmp_path, tmp_path / "none"):
        with pytest.raises(FileFault, match="no file of one client"):
            packed_client_in(given)
        assert main(["begin", str(given)]) == 1
    for name in ("a.zip", "b.zip"):
        (tmp_path / "program" / name).touch()
    assert main(["begin", str(tmp_path)]) == 1
    assert "copy that folder again" in capsys.readouterr().err


def test_begin_says_where_the_answers_are(
    clinic: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Once; and then it is today's session."""
    assert main(["take-home", str(clinic / "tern"), "--to", str(tmp_path / "folder")]) == 0
    capsys.readouterr()
    opened = sessions_opened(monkeypatch)
    for said in (True, False):
        assert main(["begin", str(tmp_path / "folder")]) == 0
        assert ("Your exercises are on this computer now" in capsys.readouterr().out) == said
    assert opened == [clients_at_home()["tern"]] * 2


def with_version(folder: Path, version: str) -> None:
    (wheel,) = (folder / "program").glob("*.whl")
    wheel.rename(wheel.with_name(f"steady_arc-{version}-py3-none-any.whl"))


def test_another_version_of_the_program_is_said_and_the_session_goes_on(
    clinic: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A newer one each time, with how it is installed; an older one once, and one of the same not at all."""
    folder = tmp_path / "folder"
    assert main(["take-home", str(clinic / "tern"), "--to", str(folder)]) == 0
    opened = sessions_opened(monkeypatch)
    said = list[tuple[bool, bool]]()
    for version in ("0.0.9", "0.0.9", "0.10.0", "0.10.0", __version__):
        with_version(folder, version)
        capsys.readouterr()
        assert main(["begin", str(folder)]) == 0
        told = " ".join(capsys.readouterr().out.split())
        said.append(
            (
                f"newer version of the program ({__version__}) than" in told,
                "newer version of the program (0.10.0) than" in told,
            )
        )
    assert said == [(True, False), (False, False), (False, True), (False, True), (False, False)]
    assert len(opened) == len(said)
    with_version(folder, "1.0")
    monkeypatch.setattr("sys.prefix", str(home_folder().parent / "program"))
    assert main(["begin", str(folder)]) == 0
    assert f"remove the folder {sys.prefix}" in " ".join(capsys.readouterr().out.split())


def test_what_only_a_newer_program_can_read_is_refused_and_it_is_named(
    clinic: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is left of it, so that it can be taken with the newer program."""
    folder = tmp_path / "folder"
    assert main(["take-home", str(clinic / "tern"), "--to", str(folder)]) == 0
    with_version(folder, "7.0.0")
    (zipped,) = (folder / "program").glob("*.zip")
    text = (clinic / "tern" / "profile.toml").read_bytes().replace(b"format = 1", b"format = 9")
    members = tuple(packed_members(zipped))
    newer = (Member(one.name, text) if one.name.endswith("profile.toml") else one for one in members)
    zipped.write_bytes(packed(newer))
    assert main(["begin", str(folder)]) == 1
    said = capsys.readouterr()
    assert "written by a newer Steady Arc (format 9)" in said.err
    told = " ".join(said.out.split())
    assert f"needs a newer version of the program (7.0.0) than this computer has ({__version__})" in told
    assert f"neuere Fassung des Programms (7.0.0), als dieser Computer hat ({__version__})" in told
    assert clients_at_home() == {}


def sessions_opened(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The clients whose session was opened, of which each ends at once."""
    opened: list[Path] = []

    def open_and_end(given: argparse.Namespace) -> int:
        opened.append(given.profile)
        return 0

    monkeypatch.setattr("coach.commands.home.begin.run_todays_session", open_and_end)
    return opened


class Typed(io.StringIO):
    """A keyboard."""

    def isatty(self) -> bool:
        return True


def test_files_go_to_the_clinic_and_come_from_it_without_a_command_typed(
    clinic: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Written after a session, taken before the next, each after a yes; nothing is asked where nothing lies there."""
    here, there, folder, tern = tmp_path / "here", tmp_path / "there", tmp_path / "folder", clinic / "tern"
    monkeypatch.setattr("coach.commands.home.begin.run_todays_session", lambda _: 0)

    def run(machine: Path, keys: str, *words: object) -> str:
        monkeypatch.setenv("XDG_STATE_HOME", str(machine))
        monkeypatch.setattr("sys.stdin", Typed(keys))
        assert main([str(word) for word in words]) == 0
        return capsys.readouterr().out

    run(there, "", "take-home", tern, "--to", folder)
    run(here, "\n", "begin", folder)
    assert not (folder / "For the clinic").exists()
    said = run(here, "y\n", "begin", folder)
    (letter,) = (folder / "For the clinic").glob("*.sealed")
    assert "This computer: " in said
    assert "The clinic: " in said
    run(there, "", "receive", letter, clinic, "--yes")
    run(there, "", "steer", tern, "freeze_load", "--initials", "KB", "--reason", "sore", "--yes")
    (tmp_path / "mail").mkdir()
    run(there, "", "send", tern, "--to", tmp_path / "mail")
    for file in (tmp_path / "mail").iterdir():
        shutil.copy(file, folder)
    instructions = clients_at_home()["tern"] / "instructions"
    said = run(here, "n\n\n", "begin", folder)
    assert "Take this? y takes it" in said
    assert not list(instructions.glob("*.toml"))
    run(here, "y\n\n", "begin", folder)
    assert len(list(instructions.glob("*.toml"))) == 1
    assert "Take this?" not in run(here, "\n", "begin", folder)
    assert len(list(folder.glob("*.sealed.taken"))) == 1


def test_a_file_that_is_nobodys_stops_no_session(
    clinic: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = sessions_opened(monkeypatch)
    assert main(["take-home", str(clinic / "tern"), "--to", str(tmp_path / "folder")]) == 0
    (tmp_path / "folder" / "letter.sealed").write_bytes(b"steady-arc sealed 1\n" + bytes(500))
    (tmp_path / "folder" / "other.sealed").symlink_to("/dev/zero")
    monkeypatch.setattr("sys.stdin", Typed("\n"))
    assert main(["begin", str(tmp_path / "folder")]) == 0
    assert "letter.sealed" in capsys.readouterr().err
    assert (tmp_path / "folder" / "letter.sealed").exists()
    for keys in clinic_key_path().parent.glob("home_*.toml"):
        keys.unlink()
    monkeypatch.setattr("sys.stdin", Typed("\n"))
    assert main(["begin", str(tmp_path / "folder")]) == 0
    assert "no keys for this client" in capsys.readouterr().err
    assert opened == [clients_at_home()["tern"]] * 2

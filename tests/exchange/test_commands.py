"""The commands, as people on both sides type them: the whole round, what is shown, and what is said of faults."""

import subprocess
import sys
import tomllib
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.exchange.exchanging import is_confirmed
from coach.exchange.home_side import is_home
from coach.model.answers_file import Answers
from coach.session.rehearsal import rehearse_programme
from coach.store.client_folder import records_folder
from coach.store.client_store import ClientStore
from coach.store.programme.opening import todays_exercises
from coach.store.records import record_file
from coach.toml.writer import dump
from tests.demo.pristine import TREE
from tests.exchange.machines import NOW, Clinic, Home, Machine, content, files_of, new_client

Say = Callable[..., str]


class Terminal:
    """Somebody who types these answers."""

    def __init__(self, *answers: str) -> None:
        self.answers, self.asked = list(answers), list[str]()

    def __call__(self, question: str = "") -> str:
        self.asked.append(question)
        return self.answers.pop(0)


@pytest.fixture
def world(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Clinic, Home]:
    """A caseload of two, of whom one has a computer at home; everything is typed in one folder."""
    monkeypatch.chdir(tmp_path)
    for name in ("curlew", "tern"):
        for side in ("clinic", "home"):
            with_one_exercise(new_client(Path(side) / name))
    Path("mail").mkdir()
    clinic = Clinic("clinic", tmp_path / "clinic_state", Path("clinic") / "curlew")
    return clinic, Home("home", tmp_path / "home_state", Path("home") / "curlew")


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Say:
    """Runs a command on a machine and returns what it says, with its exit code in front."""

    def run(machine: Machine, *typed: object) -> str:
        with machine.on():
            code = main([str(one) for one in typed])
        said = capsys.readouterr()
        return f"{code} {said.out}{said.err}"

    return run


def with_one_exercise(client: Path) -> None:
    """Leave only the first exercise: of four, each is planned whenever the client is summed up."""
    path = client / "programme" / "0001.toml"
    programme = tomllib.loads(path.read_text())
    path.write_text(dump({**programme, "exercises": programme["exercises"][:1]}))


def train(client: Path, **said: int | str) -> str:
    """A session at home."""
    store = ClientStore.read(client, content())
    at = NOW - timedelta(hours=3)
    session = rehearse_programme(todays_exercises(store, at).plans, Answers(answer=dict(said)), at)
    path = record_file.create(records_folder(client), session.model_copy(update={"entry": ()}))
    record_file.append(path, session.entry)
    return path.name


def test_the_whole_round(world: tuple[Clinic, Home], say: Say) -> None:
    """A code, keys, a session, an instruction, and receipts both ways."""
    clinic, home = world
    assert "no folder was made to take home" in say(clinic, "keys", "clinic/curlew")
    assert "0 Written: home/curlew/enrolment.toml" in say(clinic, "keys", "clinic/curlew", "--enrol", "home/curlew")
    assert is_home(home.client)
    assert "1 curlew: no computer at home is known yet" in say(clinic, "send", "clinic/curlew")
    train(home.client)
    first = say(home, "send", "home/curlew", "--to", "mail")
    assert "This computer now has keys of its own for curlew" in first
    assert "Compare these numbers" in first
    assert "Written for the clinic: mail/steady-arc-" in first
    assert "In it: 1 session." in first
    numbers = first.split("This computer: ")[1].splitlines()[0]
    assert f"This computer: {numbers}" in say(home, "keys", "home/curlew")

    before = files_of(Path("clinic"))
    shown = say(clinic, "receive", "mail", "clinic")
    assert shown.startswith("3 ")
    for line in (f"curlew: number 1 from the computer {numbers}", "new here: 1 session", "was not known until now"):
        assert line in shown
    assert "add --yes" in shown
    assert files_of(Path("clinic")) == before
    taken = say(clinic, "receive", "mail", "clinic", "--yes", "--answer", "mail")
    assert taken.startswith("0 ")
    assert "curlew: Taken: 1 session." in taken
    assert f"Written for curlew (computer {numbers}): mail/steady-arc-" in taken
    assert numbers in say(clinic, "keys", "clinic/curlew")
    again = say(clinic, "receive", "mail", "clinic", "--yes")
    assert "1 file was taken before" in again
    assert "sealed for another key" in again  # the answer lies there as well

    instruction = {"format": 2, "at": NOW, "initials": "KB", "what": "freeze_load", "exercise": "outward_right"}
    (clinic.client / "instructions").mkdir()
    (clinic.client / "instructions" / "a.toml").write_text(dump({**instruction, "reason": "sore"}))
    Path("back").mkdir()
    assert "In it: 1 instruction." in say(clinic, "send", "clinic", "--to", "back")
    back = say(home, "receive", "back", "home/curlew", "--yes")
    for line in ("Number 2 from the clinic", "new here: 1 instruction", "KB", "freeze the load", "sore"):
        assert line in back
    assert "answer with: coach send home/curlew" in back
    assert "nothing new, only what has come here so far" in say(home, "send", "home/curlew", "--to", "mail")
    say(clinic, "receive", *sorted(Path("mail").glob("*")), "clinic", "--yes")
    say(clinic, "send", "clinic", "--to", "back")
    assert "nothing is missing at home" in say(clinic, "send", "clinic", "--to", "back")


def test_clients_with_needs_come_first_and_the_caseload_says_once_what_came(
    world: tuple[Clinic, Home], say: Say, monkeypatch: pytest.MonkeyPatch
) -> None:
    clinic, home = world
    for name, answers in (("curlew", {}), ("tern", {"sign": "gave_way"})):
        say(clinic, "keys", f"clinic/{name}", "--enrol", f"home/{name}")
        train(Path("home") / name, **answers)
        say(home, "send", f"home/{name}", "--to", "mail")
    (Path("mail") / "torn.sealed").write_bytes(b"steady-arc sealed 1\n")
    said = say(clinic, "receive", "mail", "clinic", "--yes")
    assert said.startswith("1 ")
    assert "torn.sealed: this is no sealed file" in said
    assert "1 file was not taken" in said
    assert said.index("tern: number 1") < said.index("curlew: number 1")
    assert "needs you for: warning sign" in said
    for name in [name for name in sys.modules if name.startswith(("nacl", "coach.exchange"))]:
        monkeypatch.setitem(sys.modules, name, None)  # no other command needs them
    listed = say(clinic, "caseload", "clinic", "--plain")
    assert "Came in since you last looked: tern (1 session), curlew (1 session)." in listed
    clinic.now = clinic.now.replace(hour=13)
    assert "Came in" not in say(clinic, "caseload", "clinic", "--plain")


def test_new_keys_of_the_clinic_are_taken_by_somebody_who_types_their_numbers(
    world: tuple[Clinic, Home], say: Say, monkeypatch: pytest.MonkeyPatch
) -> None:
    clinic, home = world
    say(clinic, "keys", "clinic/curlew", "--enrol", "home/curlew")
    say(home, "send", "home/curlew", "--to", "mail")
    say(clinic, "receive", "mail", "clinic", "--yes")
    refused = say(clinic, "keys", "--renew", "--initials", "kb", "--reason", "stolen", "--yes")
    assert refused.startswith("2 ")
    assert "2 to 4 capital letters" in refused
    renewed = say(clinic, "keys", "--renew", "--initials", "KB", "--reason", "stolen", "--yes")
    digits = renewed.split("The clinic's numbers are now ")[1].split(".")[0]
    Path("back").mkdir()
    say(clinic, "send", "clinic/curlew", "--to", "back")
    shown = say(home, "receive", "back", "home/curlew", "--yes")
    assert shown.startswith("3 ")
    assert f"(KB: stolen). Take this only if the clinic says so itself, and has these numbers: {digits}" in shown
    monkeypatch.setattr("coach.commands.exchange.exchanging.has_terminal", lambda: True)
    monkeypatch.setattr("coach.commands.exchange.receive.has_terminal", lambda: True)
    for answer, code in (("y", "3 "), ("00000", "3 "), (digits.split()[0], "0 ")):
        monkeypatch.setattr("builtins.input", Terminal(answer))
        assert say(home, "receive", "back", "home/curlew", "--yes").startswith(code)
    assert f"The clinic: {digits}" in say(home, "keys", "home/curlew")


def test_a_lost_computer_is_signed_after_it_is_shown(
    world: tuple[Clinic, Home], say: Say, monkeypatch: pytest.MonkeyPatch
) -> None:
    clinic, home = world
    say(clinic, "keys", "clinic/curlew", "--enrol", "home/curlew")
    first = say(home, "send", "home/curlew", "--to", "mail")
    numbers = first.split("This computer: ")[1].splitlines()[0]
    say(clinic, "receive", "mail", "clinic", "--yes")
    lost = ("keys", "clinic/curlew", "--lost", numbers[:11], "--initials", "KB", "--reason", "left in a train")
    monkeypatch.setattr("coach.commands.exchange.exchanging.has_terminal", lambda: True)
    monkeypatch.setattr("coach.commands.exchange.keys.has_terminal", lambda: True)
    monkeypatch.setattr("builtins.input", Terminal("n"))
    assert say(clinic, *lost).startswith("3 ")
    monkeypatch.setattr("builtins.input", Terminal("y"))
    assert f"Signed by KB: the computer {numbers} is no longer the client's" in say(clinic, *lost)
    assert "(KB: left in a train)" in say(clinic, "keys", "clinic/curlew")
    say(home, "send", "home/curlew", "--to", "mail")
    assert "no longer the client's since 2026-12-01 (KB: left in a train)" in say(clinic, "receive", "mail", "clinic")


def test_a_german_client_reads_it_in_german(world: tuple[Clinic, Home], say: Say) -> None:
    clinic, home = world
    for side in ("clinic", "home"):
        profile = Path(side) / "curlew" / "profile.toml"
        profile.write_text(profile.read_text().replace('language = "en"', 'language = "de"'))
    if 'language = "de"' not in (home.client / "profile.toml").read_text():
        pytest.fail("the demo client says its language")
    say(clinic, "keys", "clinic/curlew", "--enrol", "home/curlew")
    train(home.client)
    first = say(home, "send", "home/curlew", "--to", "mail")
    assert "Darin: 1 Einheit." in first
    assert "Vergleichen Sie diese Zahlen" in first
    assert "new here: 1 session" in say(clinic, "receive", "mail", "clinic", "--yes")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("keys", "--enrol", "x"), "name the client's folder"),
        (("keys", "clinic/curlew", "--renew"), "leave the client out"),
        (("keys", "home/curlew", "--enrol", "x"), "are for the clinic"),
        (("keys", "clinic/curlew", "--lost", "123"), "no computer at home that is known here"),
        (("keys", "clinic/none"), "none"),
        (("send", "clinic/none"), "none"),
        (("receive", "x.sealed", "clinic/none"), "none"),
        (("receive", "x.sealed", "clinic"), "there is no such file"),
        (("send", "clinic/curlew", "--to", "nowhere"), "there is no such folder"),
        (("receive", "x.sealed", "clinic", "--answer", "nowhere"), "there is no such folder"),
        (("receive", "clinic/curlew/profile.toml", "home/curlew"), "has no keys for this client yet"),
        (("receive", "clinic/curlew/profile.toml", "clinic"), "this is no sealed file"),
    ],
)
def test_what_is_typed_wrongly_is_named(
    typed: tuple[str, ...], told: str, world: tuple[Clinic, Home], say: Say
) -> None:
    clinic, _ = world
    say(clinic, "keys", "clinic/tern", "--enrol", "home/curlew")
    said = say(clinic, *typed)
    assert not said.startswith("0 ")
    assert told in said


def test_the_library_is_imported_by_these_commands_alone() -> None:
    """Neither the program itself, nor a session, nor the caseload, nor the page of what came knows it."""
    code = (
        "import sys; import coach.cli; "
        "import coach.commands.exchange.send, coach.commands.exchange.receive, coach.commands.exchange.keys; "
        "import coach.store.arrivals.last_look; "
        "print([one for one in sys.modules if one.split('.')[0] in ('nacl', '_sodium') or 'coach.exchange' in one])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=TREE, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(("said", "yes"), [("y", True), ("YY", True), ("jj", True), ("", False), ("yn", False)])
def test_a_doubled_key_says_yes_too(said: str, yes: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.commands.exchange.exchanging.has_terminal", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: said)
    assert is_confirmed("Write it?", "j") is yes


def test_a_sign_after_a_discharge_is_said_when_it_is_received(world: tuple[Clinic, Home], say: Say) -> None:
    clinic, home = world
    say(clinic, "keys", "clinic/curlew", "--enrol", "home/curlew")
    clinic.now -= timedelta(days=1)
    say(clinic, "visit", "clinic/curlew", "discharge.reason=goals_met", "--initials", "KB", "--yes")
    clinic.now += timedelta(days=1)
    train(home.client, sign="numb_or_weak")
    say(home, "send", "home/curlew", "--to", "mail")
    shown = say(clinic, "receive", "mail", "clinic", "--yes")
    assert "the client needs you for: warning sign: " in shown
    assert "1 session since, discharged 2026-11-30: goals met" in shown

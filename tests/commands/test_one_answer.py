"""Whether a client may begin now is asked in one place, and every command and page says the same sentence."""

import json
import shutil
from collections.abc import Callable, Mapping
from datetime import timedelta
from pathlib import Path

import pytest
from textual.widgets import Static

from coach.cli import main
from coach.commands.support.caseload_loading import caseload_lines
from coach.commands.support.report_factories import PREVIEW_REPORTS, report_sources
from coach.model.answers_file import Answers
from coach.screens.start import DisplayMode, SessionOutcome
from coach.screens.therapist.client_screen import ClientScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.session.rehearsal import rehearse
from coach.session.state import Instant
from coach.store.records import record_file
from tests.clocks import START
from tests.demo.pristine import DEMO
from tests.plans import next_plan, shipped
from tests.plans import plan_of as first_plan_of
from tests.screens.therapist.therapist_pages import press

_BAD_DAY = """
[bad_day]
may_do = "movement"
soreness = "a dull ache for a day"
again = "in two days"
ring = "the clinic"
answered = "the same day"
"""


def condition(kind: str, days_ago: int = 35) -> str:
    """A condition as it stands in profile.toml."""
    return f'\n[[condition]]\nkind = "{kind}"\non = {START.date() - timedelta(days=days_ago)}\nby = "a letter"\n'


def did(folder: Path, answers: Answers, days_ago: float) -> None:
    """One session of the client, so many days ago."""
    record, _ = rehearse(first_plan_of("tern"), answers, START - timedelta(days=days_ago))
    (folder / "records").mkdir()
    name = f"{record.started:%Y-%m-%dT%H%M%S}.toml"
    (folder / "records" / name).write_text(record_file.as_text(record), encoding="utf-8")


def wrote(folder: Path, file: str, old: str, new: str) -> None:
    """Replace a text in a file of the client; an empty one is its end."""
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1) if old else text + new, encoding="utf-8")


def _after_pain(folder: Path) -> None:
    wrote(folder, "prescription.toml", "", _BAD_DAY)
    did(folder, Answers(answer={"set_1.pain": 9}), 2)


def _at_ninety(folder: Path) -> None:
    wrote(folder, "prescription.toml", 'positions = ["0"]', 'positions = ["90"]')
    text = (folder / "prescription.toml").read_text(encoding="utf-8").partition("[first_step]")[0]
    (folder / "prescription.toml").write_text(text, encoding="utf-8")
    wrote(folder, "profile.toml", "", condition("instability"))


_REPAIRED = f'positions = ["0"]\nrepaired_on = {START.date() - timedelta(days=35)}'

# Each kind of refusal: what is done to the files of a client who might start, and words of the sentence.
KINDS: Mapping[str, tuple[Callable[[Path], None], str]] = {
    "a warning sign": (lambda folder: did(folder, Answers(answer={"sign": "lump"}), 2), "lump"),
    "severe pain": (_after_pain, "the clinic"),
    "an operation": (lambda folder: wrote(folder, "profile.toml", "", condition("stabilisation")), "5 weeks ago"),
    "an unstable shoulder": (_at_ninety, "can slip"),
    "latex": (lambda folder: wrote(folder, "profile.toml", "", condition("latex_allergy")), "free of latex"),
    "a repair": (lambda folder: wrote(folder, "prescription.toml", 'positions = ["0"]', _REPAIRED), "week"),
    "a long gap": (lambda folder: did(folder, Answers(), 69), "measures again"),
    "no load": (
        lambda folder: wrote(folder, "profile.toml", "force_n = 52.0", "force_n = 5.0"),
        "choose a lighter step",
    ),
    "a clock set wrong": (lambda folder: did(folder, Answers(), -2), "2026-11-26"),
}
# What says the sentence: the words of the command, where they end with the client; TO is a new file.
COMMANDS: Mapping[str, tuple[str, ...]] = {
    "rehearse": ("rehearse", "CLIENT", "--plain", "--speed", "10000", "--answers", "ANSWERS"),
    "preview as text": ("preview", "CLIENT", "--text"),
    "preview as JSON": ("preview", "CLIENT", "--json"),
    "preview, what if": ("preview", "CLIENT", "--text", "--answers", "ANSWERS"),
    "preview, what if, as JSON": ("preview", "CLIENT", "--json", "--answers", "ANSWERS"),
    "preview, decisions": ("preview", "CLIENT", "--decisions"),
    "setup": ("setup", "CLIENT"),
    "setup as JSON": ("setup", "CLIENT", "--json"),
    "setup drawn": ("setup", "CLIENT", "--drawing", "TO"),
    "forecast": ("forecast", "CLIENT"),
    "handout": ("handout", "CLIENT", "--to", "TO"),
    "FHIR": ("export", "CLIENT", "--fhir", "--to", "TO"),
    "CSV": ("export", "CLIENT", "--csv", "--to", "TO"),
    "caseload": ("caseload", "CASELOAD", "--plain"),
    "progress": ("progress", "CLIENT"),
    "calendar": ("progress", "CLIENT", "--calendar", "TO"),
    "letter": ("letter", "CLIENT", "--text"),
    "results": ("letter", "CLIENT", "--text", "--for", "client"),
}


@pytest.fixture(autouse=True)
def _one_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    """Everything is asked at one moment; a session that may start, and the forecast, say nothing else."""
    monkeypatch.setattr("coach.screens.start.run_session", lambda *_: SessionOutcome())
    monkeypatch.setattr("coach.screens.start.choose_display", lambda *_, **__: DisplayMode(True, None))
    monkeypatch.setattr("coach.store.clock.now", lambda: Instant(0.0, START))
    monkeypatch.setattr("coach.reports.text.forecast.forecast_text", lambda *_, **__: "")


@pytest.fixture
def client(tmp_path: Path) -> Path:
    """A client who might start, the only one of a caseload."""
    folder = tmp_path / "caseload" / "tern"
    shutil.copytree(DEMO / "tern", folder, ignore=shutil.ignore_patterns("records", "progress*"))
    (tmp_path / "answers.toml").write_text("format = 1\n[answer]\n", encoding="utf-8")
    return folder


Run = Callable[..., tuple[int, str]]


@pytest.fixture
def run(client: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command; its exit code, and everything that it printed or wrote, as one line."""

    def ran(*words: str) -> tuple[int, str]:
        to = tmp_path / "to"
        to.unlink(missing_ok=True)
        places = {"CLIENT": client, "CASELOAD": client.parent, "ANSWERS": tmp_path / "answers.toml", "TO": to}
        code = main([str(places.get(word, word)) for word in words])
        printed = capsys.readouterr()
        written = to.read_bytes().decode(errors="replace") if to.exists() else ""
        return code, one_line(f"{printed.err} {printed.out} {written}".replace('\\"', '"'))

    return ran


def one_line(text: str) -> str:
    """The text with one space between words."""
    return " ".join(text.split())


@pytest.mark.parametrize("kind", KINDS)
def test_every_command_says_what_the_session_says(kind: str, client: Path, run: Run) -> None:
    refuse, words = KINDS[kind]
    refuse(client)
    code, sentence = run("session", "CLIENT", "--plain")
    assert code == (1 if kind == "no load" else 3)
    assert words in sentence
    silent = [name for name, command in COMMANDS.items() if sentence not in run(*command)[1]]
    assert silent == []


def test_a_client_who_may_start_is_told_nothing(run: Run) -> None:
    for name, command in COMMANDS.items():
        code, said = run(*command)
        assert (name, code) == (name, 0)
        assert '"no_session": "' not in said
        assert "statusReason" not in said
    assert "No session may start" not in run("caseload", "CASELOAD", "--plain")[1]


@pytest.mark.parametrize("kind", ["an operation", "a repair"])
def test_the_intake_promises_no_session_that_is_refused(kind: str, client: Path, tmp_path: Path, run: Run) -> None:
    KINDS[kind][0](client)
    sentence = run("session", "CLIENT", "--plain")[1]
    code, said = run("intake", str(tmp_path / "wren"), "--from", "CLIENT")
    assert code == 0
    assert sentence in said


def test_the_setup_of_another_position_says_that_it_is_closed(client: Path, run: Run) -> None:
    wrote(client, "prescription.toml", 'positions = ["0"]', 'positions = ["0", "90"]')
    wrote(client, "profile.toml", "", condition("instability"))
    assert "can slip" not in run("setup", "CLIENT")[1]
    assert "can slip" in run("setup", "CLIENT", "--position", "90")[1]


def test_what_if_says_whether_the_session_after_it_may_start(run: Run, tmp_path: Path) -> None:
    (tmp_path / "answers.toml").write_text('format = 1\n[answer]\nsign = "lump"\n', encoding="utf-8")
    said = run("preview", "CLIENT", "--json", "--answers", "ANSWERS")[1]
    found = json.loads(said)
    assert found["no_session"] is None
    text = run("preview", "CLIENT", "--text", "--answers", "ANSWERS")[1]
    assert found["what_if"]["no_session"].startswith("Stop now. Call a doctor")
    assert found["what_if"]["no_session"] in text


@pytest.mark.parametrize("kind", ["an operation", "severe pain"])
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_pages_of_the_therapist_say_it(kind: str, size: tuple[int, int], client: Path) -> None:
    KINDS[kind][0](client)
    plan = next_plan(client)
    sources = report_sources(client.parent, shipped())
    pages = (
        PreviewScreen((plan,), START, PREVIEW_REPORTS),
        ClientScreen(sources, caseload_lines(client.parent)[0]),
    )
    for page in pages:
        app = TherapistApp(page)
        async with app.run_test(size=size) as pilot:
            await press(pilot)
            # Line by line, since in a wide window the columns of two texts stand beside each other.
            shown = one_line(" ".join(str(text.render()) for text in app.screen.query(Static)))
            assert one_line(plan.no_session) in shown


def test_the_caseload_asks_again_on_another_day(client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A long gap begins without any change of the files."""
    monkeypatch.setattr("coach.files_fingerprint._SETTLED_NS", -(10**18))
    did(client, Answers(), 40)
    assert caseload_lines(client.parent)[0].client.no_session == ""
    monkeypatch.setattr("coach.store.clock.now", lambda: Instant(0.0, START + timedelta(days=29)))
    line = caseload_lines(client.parent)[0]
    assert "measures again" in line.client.no_session
    assert "may not start" in line.needs_text


def test_a_clock_set_right_is_believed_at_once(client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.files_fingerprint._SETTLED_NS", -(10**18))
    did(client, Answers(), -0.1)
    assert caseload_lines(client.parent)[0].client.obstacle == "clock"
    monkeypatch.setattr("coach.store.clock.now", lambda: Instant(0.0, START + timedelta(hours=4)))
    assert caseload_lines(client.parent)[0].client.obstacle is None

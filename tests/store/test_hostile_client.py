"""A client's folder made by somebody who means harm: nothing but text reaches the terminal, and no file is harmed."""

import csv
import io
import json
import os
import shutil
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryFile
from unittest.mock import patch

import pytest
from textual.widgets import Static

from coach.cli import main
from coach.session.state import State
from coach.store.client_folder import read_client_folder
from tests.clocks import FakeClock
from tests.journeys.walk import session_app, walk

pytestmark = pytest.mark.usefixtures("few_lives")

# What a markup, a format string, a spreadsheet or a page of the web would obey.
LOOKS = "=HYPERLINK(1) [@click=app.quit]red[/b] {0.__class__} %s <script>"
COMMANDS: tuple[tuple[str, ...], ...] = (
    ("preview",), ("preview", "--decisions"), ("history",), ("setup",), ("bands",), ("forecast",), ("check",),
    ("handout", "--to", "new.pdf"), ("export", "--fhir", "--to", "new.json"), ("export", "--csv", "--to", "new.csv"),
    ("setup", "--drawing", "new.svg"), ("backup", "--to", "new.zip"), ("session", "--plain"), ("caseload", "--plain"),
)  # fmt: skip

TYPED = "\n\n0\n1\nn\n"


@dataclass(frozen=True)
class Done:
    """What a command said, and with which code it ended."""

    code: int
    output: bytes


def coach(cwd: Path, *words: str, typed: str = TYPED) -> Done:
    """The command in this process, with streams that take no other signs than those of a terminal do."""
    output = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors="strict")
    errors = io.TextIOWrapper(output.buffer, encoding="utf-8", errors="backslashreplace", write_through=True)
    with TemporaryFile("w+", encoding="utf-8") as keys, chdir(cwd), redirect_stdout(output), redirect_stderr(errors):
        keys.write(typed)
        keys.seek(0)
        with patch("sys.stdin", keys):
            code = main(words)
        output.flush()
    assert isinstance(output.buffer, io.BytesIO)
    return Done(code, output.buffer.getvalue())


def obeyed(said: bytes) -> list[str]:
    """What a terminal would act on."""
    text = said.decode("utf-8", errors="surrogateescape")
    return [mark for mark in ("\x1b", "\x07", "\x9b", "\u202e", "\u2066", "\0") if mark in text]


@pytest.fixture
def marked(demo_profiles: Path) -> Path:
    """Plover, with such words in every text that is free."""
    folder = demo_profiles / "plover"
    profile, prescription = folder / "profile.toml", folder / "prescription.toml"
    lines = profile.read_text().split("\n")
    profile.write_text("\n".join(f"looks = '{LOOKS}'" if line.startswith("looks") else line for line in lines))
    lines = prescription.read_text().split("\n")
    prescription.write_text("\n".join(f"goal = '{LOOKS}'" if line.startswith("goal") else line for line in lines))
    return folder


async def test_marks_in_a_text_are_text_on_every_screen(marked: Path) -> None:
    """A session to its end: the words stand there as they are written, and nothing of them was run."""
    clock, seen = FakeClock(), set[str]()
    app = session_app(marked, clock)

    def looked(state: State) -> bool:
        seen.update(str(one.visual) for one in app.query(Static))
        return state.over

    async with app.run_test(size=(120, 40)) as pilot:
        await walk(pilot, app, clock, {"morning_after": 0}, until=looked)
    assert app.failed is None
    assert any(LOOKS.split()[1] in " ".join(text.split()) for text in seen)


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_marks_in_a_text_harm_no_output(marked: Path, words: tuple[str, ...]) -> None:
    where = ".." if words[0] == "caseload" else "."
    done = coach(marked, words[0], where, *words[1:])
    assert done.code in (0, 4), done.output
    assert obeyed(done.output) == []


def test_a_spreadsheet_gets_no_formula_and_the_bundle_is_whole(marked: Path) -> None:
    assert coach(marked, "export", ".", "--csv", "--to", "a.csv").code == 0
    rows = list(csv.reader(io.StringIO((marked / "a.csv").read_text(encoding="utf-8-sig"))))
    assert {cell for row in rows for cell in row if "HYPERLINK" in cell} == {f"'{LOOKS}"}
    assert not [cell for row in rows[1:] for cell in row if cell.startswith(("=", "+", "@", "\t", "\r"))]
    assert coach(marked, "export", ".", "--fhir", "--to", "a.json").code == 0
    assert LOOKS in json.dumps(json.loads((marked / "a.json").read_text()), ensure_ascii=False)


@pytest.mark.parametrize("mark", ["\\u001b[2J", "\\u0007", "\\u202e", "\\u2066", "\\u0000", "\\u2028", "\\u009b"])
@pytest.mark.parametrize(
    "words", [("preview",), ("check",), ("session", "--plain"), ("caseload", "--plain")], ids=" ".join
)
def test_a_text_that_a_terminal_would_obey_is_refused(demo_profiles: Path, mark: str, words: tuple[str, ...]) -> None:
    """Also in what says so."""
    file = demo_profiles / "plover" / "prescription.toml"
    lines = file.read_text().split("\n")
    file.write_text("\n".join(f'goal = "a{mark}b"' if line.startswith("goal") else line for line in lines))
    done = coach(demo_profiles, words[0], "." if words[0] == "caseload" else "plover", *words[1:])
    assert b"control character" in done.output or words[0] == "caseload"
    assert obeyed(done.output) == []
    assert not (demo_profiles / "plover" / ".lock").exists() or words[0] == "session"


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
@pytest.mark.parametrize("name", [b"a\x1b]0;x\x07b", "a\u202eb".encode(), b"a\xffb", b"a\nb"])
def test_a_folder_with_a_name_that_a_terminal_would_obey(
    demo_profiles: Path, name: bytes, words: tuple[str, ...]
) -> None:
    """Come with a synchronised folder: named, and nothing obeyed; no fault of the program."""
    folder = demo_profiles / os.fsdecode(name)
    (demo_profiles / "plover").rename(folder)
    with_name = [os.fsdecode(name) if words[0] != "caseload" else "."]
    done = coach(demo_profiles, words[0], *with_name, *words[1:])
    assert done.code != 70, done.output
    assert obeyed(done.output) == []


@pytest.mark.parametrize(
    "name",
    ["profile.toml", "prescription.toml", "progress.toml", "records/2026-11-21T180000.toml", ".progress.fingerprint"],
)
def test_a_pipe_a_folder_or_a_circle_in_place_of_a_file_is_named(
    demo_profiles: Path, tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """None of them is opened, so nothing hangs."""
    typed = tmp_path / "typed"
    typed.write_text(TYPED, encoding="utf-8")
    monkeypatch.chdir(demo_profiles)
    file = demo_profiles / "plover" / name
    for make in (
        os.mkfifo,
        Path.mkdir,
        lambda path: path.symlink_to(path),
        lambda path: path.symlink_to("/dev/zero"),
    ):
        file.unlink(missing_ok=True)
        make(file)
        for words in (
            ("check", "plover"),
            ("caseload", ".", "--plain"),
            ("session", "plover", "--plain"),
        ):
            with typed.open(encoding="utf-8") as keys:
                monkeypatch.setattr("sys.stdin", keys)
                assert main(words) in (0, 1, 4)
        file.rmdir() if file.is_dir() else file.unlink(missing_ok=True)
    assert name != "profile.toml" or read_client_folder(demo_profiles / "tern")


@pytest.mark.parametrize(
    "name",
    ["progress.toml", "settings.toml", "plan.toml", "../clinic", "../clinic/limits.toml", "../clinic/clinic.toml"],
)
def test_a_circle_of_links_is_no_file_that_is_not_there(
    demo_profiles: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A clinic whose limits cannot be read has not chosen those of the program."""
    file = Path(os.path.normpath(demo_profiles / "plover" / name))
    file.parent.mkdir(exist_ok=True)
    file.unlink(missing_ok=True)
    file.symlink_to(file.name)
    assert main(["check", str(demo_profiles / "plover")]) == 1
    assert f"{file}: " in capsys.readouterr().out
    assert main(["setup", str(demo_profiles / "plover")]) == ("clinic" in name)
    assert (str(file) in capsys.readouterr().err) == ("clinic" in name)


@pytest.mark.parametrize("to", ["progress.toml", "nowhere", "/dev/zero", "elsewhere.toml"])
def test_a_link_as_progress_is_moved_aside_and_nothing_is_done_to_what_it_leads_to(
    demo_profiles: Path, to: str, capsys: pytest.CaptureFixture[str]
) -> None:
    client = demo_profiles / "plover"
    elsewhere = client / "elsewhere.toml"
    elsewhere.write_text("of somebody else", encoding="utf-8")
    elsewhere.chmod(0o644)
    (client / "progress.toml").unlink()
    (client / "progress.toml").symlink_to(to)
    assert main(["history", str(client), "--rebuild"]) == 0
    assert "progress.toml" in capsys.readouterr().out
    (kept,) = client.glob("progress.kept-*")
    assert kept.is_symlink()
    assert not (client / "progress.toml").is_symlink()
    assert (elsewhere.read_text("utf-8"), elsewhere.stat().st_mode & 0o777) == ("of somebody else", 0o644)


def test_a_link_that_leads_nowhere_hides_no_client(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It is named, and the others are seen as before."""
    for other in ("avocet", "curlew", "heron", "tern"):
        shutil.rmtree(demo_profiles / other)
    (demo_profiles / "wren").symlink_to("wren")
    assert main(["caseload", str(demo_profiles), "--plain"]) == 0
    said = capsys.readouterr().out
    assert "wren: nothing in this folder can be read" in said
    assert "plover" in said
    assert main(["check", str(demo_profiles)]) == 1
    assert f"{demo_profiles / 'wren'}: nothing in this folder can be read" in capsys.readouterr().out

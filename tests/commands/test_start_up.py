"""What is imported before a command has anything to do. No times: what is not imported takes none."""

import os
import shutil
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from coach.cli import parser_of
from coach.command_table import COMMANDS, SELDOM
from tests.demo.pristine import DEMO, TREE

HEAVY = (
    "pydantic",
    "textual",
    "rich",
    "asyncio",
    "toml_rs",
    "filelock",
    "numpy",
    "coach.model.base",
    "coach.toml.reader",
)


def test_help_and_slips_import_no_model_and_no_library() -> None:
    """The list of commands, the help of each, the version, and a command that there is not, in one interpreter."""
    lines = [["--help"], ["--version"], ["sesion"], *([name, "--help"] for name in COMMANDS)]
    code = f"""
import contextlib, io, sys
from coach.cli import main
for line in {lines}:
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        with contextlib.suppress(SystemExit):
            main(line)
    print([one for one in {HEAVY} if one in sys.modules])
"""
    done = subprocess.run([sys.executable, "-c", code], cwd=TREE, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["[]"] * len(lines)


# Of the therapist, of what is wrong with a file, of files that this client does not have.
NOT_IN_A_SESSION = (
    *("numpy", "scipy", "tomlkit", "sqlite3", "fpdf", "nacl", "coach.exchange", "coach.motion_capture"),
    *("coach.toml.source_positions", "coach.toml.nearest_name", "coach.toml.syntax_faults"),
    *("coach.model.programme.visit_file", "coach.model.measured.measured_set", "coach.model.answers_file"),
    *("coach.model.messages.therapist", "coach.model.messages.coach", "coach.commands.steer"),
    *(
        "coach.screens.sound.announcer",
        "coach.screens.sound.sounder",
        "coach.screens.sound.players",
        "wave",
        "filelock",
    ),
    # Drawings, sets, lessons and the last page; files that are wrong; a rehearsal.
    *("coach.drawing.raster", "coach.drawing.scene", "coach.drawing.lesson", "coach.screens.widgets.scene_view"),
    *(
        "coach.screens.client.views.moving_views",
        "coach.screens.client.lesson_pages",
        "coach.screens.client.end_page",
    ),
    *("coach.toml.source_file", "coach.session.rehearsal", "coach.screens.plain.line_input"),
)


def test_a_session_imports_nothing_that_its_first_page_does_without(tmp_path: Path) -> None:
    """A client of this computer, opened as `coach session` opens it, up to the app that paints the first page.

    Its record is begun beside that.
    """
    client = shutil.copytree(DEMO / "tern", tmp_path / "tern")
    code = f"""
import sys
from pathlib import Path
from coach.cli import parser_of
from coach.commands.support.loading import client_store
from coach.store.clock import now
from coach.store.live_session import open_session, start_session
from coach.store.programme.upgrade import upgrade
parser_of(["session"])
upgrade(Path({str(client)!r}))
start_session(open_session(client_store(Path({str(client)!r})), now()), now)
import coach.screens.client.session_app, coach.screens.start
print([one for one in {NOT_IN_A_SESSION} if one in sys.modules])
"""
    done = subprocess.run([sys.executable, "-c", code], cwd=TREE, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_start_with_kept_content_loads_no_openssl(tmp_path: Path) -> None:
    """It is loaded where much is hashed: the content and the code that decides, once."""
    client = shutil.copytree(DEMO / "tern", tmp_path / "tern")
    code = f"""
import sys
from pathlib import Path
from coach.commands.support.loading import client_store
from coach.store.clock import now
from coach.store.live_session import open_session, start_session
store = client_store(Path({str(client)!r}))
start_session(open_session(store, now()), now)
print("hashlib" in sys.modules)
store.content.keep()
"""
    env = {**os.environ, "XDG_CACHE_HOME": str(tmp_path), "LOCALAPPDATA": str(tmp_path), "HOME": str(tmp_path)}
    command = [sys.executable, "-c", code]
    runs = [subprocess.run(command, cwd=TREE, env=env, capture_output=True, text=True, check=True) for _ in range(2)]
    assert runs[1].stdout.split() == ["False"]


def test_each_command_is_in_the_module_that_the_table_names() -> None:
    """And every command of these modules is in the table."""
    assert all(name in parser_of([name])[1] for name in COMMANDS)
    assert set(parser_of(COMMANDS)[1]) == set(COMMANDS)
    assert set(SELDOM) < set(COMMANDS)


def test_what_is_looked_for_is_there() -> None:
    """A module that was renamed would be missed by both."""
    assert [name for name in (*HEAVY, *NOT_IN_A_SESSION) if find_spec(name) is None] == []

"""What is imported before a command has anything to do. No times: what is not imported takes none."""

import subprocess
import sys

from coach.cli import parser_of
from coach.command_table import COMMANDS, SELDOM
from tests.demo.pristine import TREE

HEAVY = ("pydantic", "textual", "rich", "asyncio", "rtoml", "filelock", "numpy", "coach.model.base", "coach.toml.reader")


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


def test_each_command_is_in_the_module_that_the_table_names() -> None:
    """And every command of these modules is in the table."""
    assert all(name in parser_of([name])[1] for name in COMMANDS)
    assert set(parser_of(COMMANDS)[1]) == set(COMMANDS)
    assert set(SELDOM) < set(COMMANDS)

"""The memory that the benches print of a command is its own."""

from tests.bench.child import run
from tests.demo.pristine import TREE

_LARGE, _MIB = 300, 1024 * 1024


def test_it_is_not_that_of_the_process_that_measures() -> None:
    """The system counts to a process what its parent was when it was begun."""
    held = b"x" * (_LARGE * _MIB)
    assert run(["-c", "pass"], TREE).most_mib < _LARGE / 2
    assert len(held) == _LARGE * _MIB


def test_it_counts_the_processes_that_the_command_starts() -> None:
    starts = f"import subprocess, sys; subprocess.run([sys.executable, '-c', 'b\"x\" * ({_LARGE} * {_MIB})'])"
    assert run(["-c", starts], TREE).most_mib > _LARGE

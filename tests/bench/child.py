"""A command as a process of its own: its time, and the largest memory of it and of the processes that it starts."""

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

# The system counts to the memory of a process what it was before it became another program (getrusage(2) on Linux:
# the largest resident set is kept over execve), and that is a copy of its parent. So the parent is one that holds
# next to nothing, and not the process that runs the benches, which has every module of the program in it.
_PARENT = """
import os, resource, sys, time
begun = time.perf_counter()
child = os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ)
_, status = os.waitpid(child, 0)
took = time.perf_counter() - begun
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(os.waitstatus_to_exitcode(status), took, used.ru_utime, used.ru_stime, used.ru_maxrss, file=sys.stderr)
"""


def as_installed(environment: Mapping[str, str]) -> dict[str, str]:
    """The environment of a command whose modules are compiled, as an installation leaves them.

    Where it keeps Python from writing them, each start would compile all of our modules and none of the libraries'.
    """
    whole = {**os.environ, **environment}
    return {name: value for name, value in whole.items() if name != "PYTHONDONTWRITEBYTECODE"}


@dataclass(frozen=True)
class Used:
    """What a process and those that it started took."""

    code: int
    seconds: float
    program_s: float  # of the processor, outside the system
    system_s: float  # of the processor, in the system: opening, writing and making files
    most_mib: float

    @property
    def processor_s(self) -> float:
        """The processor time in all."""
        return self.program_s + self.system_s


def run(command: Sequence[object], cwd: Path, environment: Mapping[str, str] | None = None) -> Used:
    """Run Python with these arguments to its end; what it prints is thrown away."""
    words = [sys.executable, "-I", "-S", "-c", _PARENT, sys.executable, *map(str, command)]
    done = subprocess.run(
        words, cwd=cwd, env=as_installed(environment or {}), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
        text=True, check=True,
    )  # fmt: skip
    code, took, program, system, most = done.stderr.splitlines()[-1].split()
    unit = 1024 if sys.platform != "darwin" else 1024**2  # kilobytes; bytes on macOS
    return Used(int(code), float(took), float(program), float(system), float(most) / unit)

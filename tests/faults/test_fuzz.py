"""Spoilt files by the hundred for every reader; a hundred thousand by `python -m tests.faults.fuzz`."""

import os
import subprocess
import sys
from pathlib import Path

from coach.toml import reader
from tests.demo.pristine import TREE


def fuzzed(
    scratch: Path, *before: str, words: tuple[str, ...] = ("--inputs", "500")
) -> subprocess.CompletedProcess[str]:
    """Spoilt inputs in a process of their own, with something done to the program before."""
    code = "\n".join(("import sys, tests.faults.fuzz as fuzz", *before, "sys.exit(fuzz.main())"))
    return subprocess.run(
        [sys.executable, "-c", code, *words],
        cwd=TREE,
        env={**os.environ, "TMPDIR": str(scratch)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_every_reader_reads_or_says_what_is_wrong(tmp_path: Path) -> None:
    done = fuzzed(tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "500 inputs" in done.stdout


def test_what_is_read_is_of_use_to_whatever_uses_it(tmp_path: Path) -> None:
    """Reports, forms, drafts, a word of the therapist, a backup taken back: each what is good, and some spoilt."""
    done = fuzzed(tmp_path, words=("--inputs", "20", "--in-use"))
    assert done.returncode == 0, done.stdout + done.stderr
    assert "refused  reports, profile.toml" in done.stdout


def test_a_guard_taken_away_is_found_out(tmp_path: Path) -> None:
    """Without the look for what no parser should see, something else than a sentence comes out, or too late."""
    guard = reader._refuse_unparsable.__name__
    done = fuzzed(
        tmp_path,
        "import coach.toml.reader as toml",
        f"toml.{guard} = lambda *_: None",
        "toml.decode_text = lambda b, _: b.decode()",
    )
    assert done.returncode == 1
    assert "The input is in" in done.stdout

"""Contents with something changed at random: refused by the check, or usable by every command."""

from pathlib import Path

from tests.authoring.mutated import run


def test_a_mutated_content_is_refused_or_every_command_runs_on_it(tmp_path: Path) -> None:
    outcomes = run(8, seed=7, keep=tmp_path)
    assert outcomes["failed"] == 0
    assert outcomes["refused"] > 2
    assert outcomes["driven"] > 0

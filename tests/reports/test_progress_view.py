"""The client's own view: a dated list, curves, and what is more than at the beginning; no points and no praise."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.cli import main
from coach.commands.support.loading import client_history
from coach.reports.text.progress_view import progress_text


@pytest.mark.parametrize("name", ["plover", "heron", "avocet"])
def test_the_view_lists_sessions_with_their_days_and_draws_curves(name: str, demo_profiles: Path) -> None:
    history = client_history(demo_profiles / name)
    text = progress_text(history, None)
    last = history.trained[-1]
    assert last.started.date().isoformat() in text
    assert (
        f"{len(last.sets_done)} sets, {sum(one.repetitions for one in last.sets_done)} repetitions"
        in text.replace("\n  ", " ")
    )
    assert "└" in text
    assert max(map(len, text.splitlines())) <= 80


def test_before_the_first_session_it_says_so(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["progress", str(demo_profiles / "tern")]) == 0
    assert "No session was done yet." in capsys.readouterr().out


def test_what_is_more_than_at_the_beginning_is_said_only_where_it_is(demo_profiles: Path) -> None:
    """An activity counts by a change that matters: 2 of 10, Rysstad T et al. 2020 (abstract)."""
    history = client_history(demo_profiles / "heron")
    ratings = history.now.ratings
    assert ratings
    first = ratings[0].model_copy(update={"mean": 3.0})
    changed = history.now.model_copy(update={"ratings": (first, first.model_copy(update={"mean": 5.0}))})
    same = history.now.model_copy(update={"ratings": (first, first.model_copy(update={"mean": 4.9}))})
    assert "5.0 of 10 now, 3.0 at first" in progress_text(replace(history, now=changed), None).replace("\n  ", " ")
    assert "of 10 now" not in progress_text(replace(history, now=same), None)

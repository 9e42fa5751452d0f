"""The client's own view: a dated list, curves, and what has changed; no points and no praise."""

from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.cli import main
from coach.commands.support.loading import client_history
from coach.model.record import LoadChanged, SetDone
from coach.progression.state_machine import JudgedRecord
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


def with_sessions(folder: Path, then: tuple[int, float], now: tuple[int, float]) -> str:
    """The view of two sessions, each with so many repetitions in each set at such a share of a load."""
    history = client_history(folder)
    newest = next(one for one in reversed(history.judged) if one.record.sets_done)

    def changed(repetitions: int, share: float, days_ago: int) -> JudgedRecord:
        record, step = newest.record, newest.record.rungs.step
        entries = tuple(
            one.model_copy(update={"repetitions": repetitions}) if isinstance(one, SetDone) else one
            for one in record.entry
            if not isinstance(one, LoadChanged)
        )
        other = step.model_copy(update={"mean_nm": step.mean_nm * share})
        rungs, started = record.rungs.model_copy(update={"step": other}), record.started - timedelta(days=days_ago)
        return replace(
            newest, record=record.model_copy(update={"rungs": rungs, "entry": entries, "started": started})
        )

    unrated = history.now.model_copy(update={"ratings": ()})
    history = replace(history, judged=(changed(*then, 30), changed(*now, 0)), now=unrated)
    return progress_text(history, None).replace("\n  ", " ")


def test_more_repetitions_at_less_load_are_both_said(demo_profiles: Path) -> None:
    """It said that nothing was more, below a list that went from 24 to 45 repetitions."""
    text = with_sessions(demo_profiles / "heron", (8, 1.0), (15, 0.8))
    assert "Your load is 20 % less than on" in text
    assert "At this load: 15 repetitions in a set now, 8 at first." in text
    assert "the same as at the beginning" not in text


def test_fewer_repetitions_at_more_load_are_both_said(demo_profiles: Path) -> None:
    text = with_sessions(demo_profiles / "heron", (12, 1.0), (8, 1.25))
    assert "Your load is 25 % more than on" in text
    assert "At this load: 8 repetitions in a set now, 12 at first." in text


def test_at_the_same_load_only_the_repetitions_are_said(demo_profiles: Path) -> None:
    text = with_sessions(demo_profiles / "heron", (8, 1.0), (11, 1.0))
    assert "11 repetitions in a set now, 8 at first, at the same load." in text
    assert "Your load is" not in text


def test_where_nothing_has_changed_that_is_said(demo_profiles: Path) -> None:
    text = with_sessions(demo_profiles / "heron", (8, 1.0), (8, 1.0))
    assert "Load and repetitions are the same as at the beginning." in text


def test_in_another_position_nothing_is_compared_and_nothing_is_called_the_same(demo_profiles: Path) -> None:
    text = progress_text(client_history(demo_profiles / "heron"), None).replace("\n  ", " ")
    assert "loads and repetitions do not compare" in text
    assert "the same as at the beginning" not in text

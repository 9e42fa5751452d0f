"""After every start of a session the hidden seal is that of progress.toml, so that what is lost then is missed."""

from pathlib import Path

import pytest

from coach.store.client_store import ClientStore
from coach.store.live_session import open_session, start_session
from coach.store.records.record_damage import hash_of, read_seal
from tests.store.programme.by_hand import Clock, content, exercise_over, in_exercise, open_live, play


@pytest.mark.parametrize("minutes", [2, 600])
@pytest.mark.parametrize("left_in", ["the third", "between two"])
def test_a_session_that_is_not_gone_on_with_leaves_no_older_seal(
    demo_profiles: Path, left_in: str, minutes: int
) -> None:
    """Of several exercises: whether it is ended at the question, or is too old to be gone on with."""
    client, clock = demo_profiles / "curlew", Clock()
    upto = in_exercise(2, "set_1.work") if left_in == "the third" else exercise_over(1)
    play(open_live(client, clock), clock, upto)
    clock.move(60 * minutes)
    with ClientStore.locked(client, content()) as store:
        opening = open_session(store, clock())
        assert (opening.interrupted is None) == (minutes > 60)
        start_session(opening, clock, resume=False)
    seal = read_seal(client)
    assert seal is not None
    assert seal.progress == hash_of((client / "progress.toml").read_bytes())
    names = sorted(one.name for one in (client / "records").iterdir())
    assert sorted(seal.records) == names[:-1]
    assert ClientStore.read(client, content()).folder.damaged == ()

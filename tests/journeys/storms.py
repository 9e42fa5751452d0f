"""Key storms: random keys over every page. `python -m tests.journeys.storms --times 10000` runs many of them.

No storm may close a programme or end a session without the page that asks for confirmation, and what was chosen and
not confirmed never counts.
"""

import argparse
import random
import tempfile
from collections import Counter
from pathlib import Path

from coach.model.record import Answered, Chosen, Record, TakenBack
from coach.screens.client.key_bindings import active_bindings
from coach.screens.client.session_app import SessionApp
from coach.screens.theme import THEMES
from coach.session.answer_keys import choices, meant_key
from coach.session.plan import open_record, script_of
from coach.session.rehearsal import clean_answer
from coach.session.runner import stopped_by
from coach.session.script import Work
from coach.session.state import State
from coach.session.transitions import begin
from coach.store.client_store import ClientStore
from coach.store.live_session import LiveSession, Opening, open_session
from tests.clocks import FakeClock
from tests.demo.pristine import copy_pristine
from tests.plans import shipped

KEYS = [
    *"0123456789abcdefghijklmnopqrstuvwxyzJNYPX?",
    *("enter", "space", "escape", "up", "down", "left", "right", "tab", "question_mark", "upper_y", "f1"),
]
_KEYS_IN_A_STORM = 120
_CLIENTS = ("tern", "plover", "heron", "curlew")


def storm(seed: int, opening: Opening) -> Counter[str]:
    """One session of random keys, checked after every key; counts what happened."""
    chance, clock = random.Random(seed), FakeClock()
    plan, store = opening.plan, opening.store
    record = open_record(plan, clock().at)
    app = SessionApp(shipped(), opening, clock)
    for theme in THEMES.values():
        app.register_theme(theme)
    app._live = session = LiveSession(store, begin(plan, script_of(plan, record), record, clock()), None, clock)
    seen: Counter[str] = Counter(storms=1)
    for _ in range(_KEYS_IN_A_STORM):
        _time_passes(chance, session, clock)
        before = session.state
        if before.over:
            break
        key = chance.choice(_likely_keys(chance, app) if chance.random() < 0.85 else KEYS)
        prompt = app._open_prompt
        app._press(key)
        _check(before, key if prompt in (None, "leave") else "", session.state)
        seen.update(_happened(before, session.state))
    return seen


def _time_passes(chance: random.Random, session: LiveSession, clock: FakeClock) -> None:
    """To the end of the set or of the rest, mostly; nothing is ever closed by time alone."""
    while session.state.watch.since_s is not None and not session.state.over and chance.random() < 0.97:
        before = session.state
        clock.advance(chance.choice([0.7, 1.5, 1.9]))
        session.tick()
        _check(before, "", session.state)


def _likely_keys(chance: random.Random, app: SessionApp) -> list[str]:
    """What the page offers; now and then the answers that are not those of a good day."""
    assert app._live is not None
    state = app._live.state
    if app._open_prompt is not None:
        return ["y", "n", "n", "n", "p"]
    if state.chosen is not None:
        return ["y", "n", "n", "b", "q", "enter", "p"]
    keys = [binding.key for binding in active_bindings(state) if binding.key != "q"]
    if state.question is None:
        return [*keys, *["enter"] * 6]
    answers = choices(state.question, state.plan.content.signs)
    good = clean_answer(state.question) if state.asking is None else None
    best = [choice.key for choice in answers if choice.value == good]
    return best if best and chance.random() < 0.75 else [*keys, *(choice.key for choice in answers)]


def _check(before: State, key: str, after: State) -> None:
    """What must hold after every key and every moment."""
    ended = after.record.ended
    if ended is not None and ended.how == "stopped":
        chosen = before.chosen
        assert chosen is not None, "ended without the page that asks"
        assert meant_key(key, after.plan.content) == "y", "ended by another key than yes"
        assert after.record.answer(chosen.step) == chosen.value
    else:
        # Nothing that would end the session counts while it goes on, whatever was chosen; nor after leaving.
        assert stopped_by(after.plan, after.record) is None
    assert dict(after.record.answers) == _counted(after.record)
    assert after.over or after.chosen == after.record.unconfirmed
    type(after.record).model_validate(after.record.model_dump())


def _counted(record: Record) -> dict[str, int | str]:
    """The answers that count, written down a second time: those given and not taken back."""
    given: list[Answered] = []
    open_choice = ""
    for entry in record.entry:
        if isinstance(entry, Answered):
            given.append(entry)
            open_choice = ""
        elif isinstance(entry, Chosen):
            open_choice = entry.step
        elif isinstance(entry, TakenBack) and open_choice:
            open_choice = ""
        elif isinstance(entry, TakenBack):
            last = max(index for index, one in enumerate(given) if one.step == entry.step)
            del given[last]
    return {one.step: one.value for one in given}


def _happened(before: State, after: State) -> list[str]:
    new = after.record.entry[len(before.record.entry) :]
    names: list[str] = [entry.kind for entry in new]
    ended = after.record.ended
    if ended is not None and not before.over:
        names += [f"ended: {ended.how}", f"status: {ended.decision.status}"]
    if isinstance(after.step, Work) and after.at_step != before.at_step:
        names.append("sets begun")
    return names


def openings(folder: Path) -> tuple[Opening, ...]:
    """The next session of some demo clients, whose folders are below this one."""
    clients = [ClientStore.read(folder / name, shipped()) for name in _CLIENTS]
    return tuple(open_session(client, FakeClock()()) for client in clients)


def storms(seeds: range, folder: Path) -> Counter[str]:
    """Many storms, over the clients in turn."""
    seen, ready = Counter[str](), openings(folder)
    for seed in seeds:
        seen += storm(seed, ready[seed % len(ready)])
    return seen


def main() -> None:
    """Run so many storms and print what happened in them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=10_000)
    parser.add_argument("--from", type=int, default=0, dest="first", help="the first seed")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        seen = storms(
            range(arguments.first, arguments.first + arguments.times), copy_pristine(Path(folder) / "clients")
        )
    for name, count in sorted(seen.items()):
        print(f"{count:>9}  {name}")


if __name__ == "__main__":
    main()

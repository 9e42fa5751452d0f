"""From every screen, each warning sign, pain and failure stops the session with the right words, and nothing goes on.

Every screen of a session is visited, with a pause where one can be, and with each question that a key brings. On
each of them every way to say what is wrong is tried. After a stop the state is the same whatever is done, so it is
the same after any number of keys.
"""

from collections.abc import Callable, Iterator
from datetime import timedelta
from functools import cache
from pathlib import Path

import pytest
from textual.geometry import Size

from coach.model.record import Answered
from coach.screens.client.key_bindings import ALL_BINDINGS, WHY, binding_for
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.session_app import SessionApp
from coach.screens.client.setup_context import setup_context
from coach.screens.plain.plain_session import PlainSession
from coach.session.answer_keys import choices
from coach.session.interruptions import report_trouble
from coach.session.rehearsal import clean_answer
from coach.session.runner import answer, back, go_on, leave, pause, stop_set, tick
from coach.session.script import Rest, Work
from coach.session.state import Instant, State
from coach.store.client_store import ClientStore
from coach.store.live_session import LiveSession, Opening, open_session
from tests.clocks import START, FakeClock
from tests.journeys.test_fuzzed_keys import KEYS
from tests.plans import begun, shipped
from tests.screens.plain.output_lines import Typist

# How soon whom to see: British Elbow & Shoulder Society / BOA pathway (fracture, hot joint, mass, unrelenting night
# pain and new neurological loss urgently or the same day); JAMA 2005;294:2623 (chest pain). The last two are ours.
EMERGENCY, TODAY, THERAPIST = "local emergency number now", "urgent care service today", "Call your therapist before"
SIGNS = {
    "chest_pain": EMERGENCY,
    "injury": TODAY,
    "hot_or_fever": TODAY,
    "numb_or_weak": TODAY,
    "night_pain": TODAY,
    "lump": TODAY,
    "gave_way": THERAPIST,
    "tingling": THERAPIST,
}
IN_A_SET = ("chest_pain", "injury", "numb_or_weak", "gave_way", "tingling")
# Pain during exercise must not exceed 5 of 10: Holmgren T et al., BMJ 2012;344:e787.
LIMIT = 5
# At once 8 and more: the therapist looks before it goes on (ours).
SEVERE = 8
AFTERWARDS = {"warning_sign": "review", "equipment_failed": "paused", "pain_over_limit": "paused"}
NOW = Instant(5000.0, START + timedelta(minutes=90))
Say = Callable[[State], State]


def answered(state: State, *values: int | str) -> State:
    """One answer after the other."""
    for value in values:
        state = answer(state, value, Instant(state.seen_s, START))
    return state


def from_the_key(*values: int | str) -> Say:
    """The pain key, and these answers."""
    return lambda state: answered(report_trouble(state, Instant(state.seen_s, START)), *values)


STOPS: dict[str, tuple[Say, str, str]] = {
    **{sign: (from_the_key(sign), "warning_sign", SIGNS[sign]) for sign in IN_A_SET},
    "pain in the chest": (from_the_key("ache", "chest"), "warning_sign", EMERGENCY),
    "sharp in the chest": (from_the_key("sharp", "chest"), "warning_sign", EMERGENCY),
    "the band failed": (from_the_key("equipment"), "equipment_failed", "failed"),
    **{
        f"{kind} of {pain}": (from_the_key(kind, "side_of_shoulder", pain), "pain_over_limit", "over your limit of 5")
        for kind in ("ache", "sharp")
        for pain in range(LIMIT + 1, 11)
    },
}


@cache
def moments() -> dict[str, State]:
    """Every screen of a session with a step down in it, by the name of its step."""
    return dict(_moments())


def _moments() -> Iterator[tuple[str, State]]:
    too_heavy = {"set_1.blade": "more_than_once"}
    state = begun()
    for s in range(200):
        now = Instant(float(s), START)
        state = tick(state._replace(seen_s=now.s), now)
        name = state.step.name
        if state.over:
            return
        yield name, state
        for command in ALL_BINDINGS:
            brought = command.run(state, now) if command.fits(state) else state
            if brought.asking is not None:
                yield f"{name}, {brought.asking.name}", brought
        if isinstance(state.step, Work | Rest):
            yield f"{name}, paused", pause(state, now)
        if state.question is not None:
            wanted = too_heavy.get(state.question.name, clean_answer(state.question))
            state = answer(state, wanted, now)
        else:
            # One whole repetition: a set without one is only asked about pain.
            in_set = isinstance(state.step, Work)
            state = stop_set(state._replace(whole=1), now) if in_set else go_on(state, now)
    raise AssertionError("the session never ended")


def words_of(page: object) -> str:
    """Everything that a page says."""
    assert isinstance(page, TextPage)
    return " ".join((page.title, page.lead, page.alert, *page.lines))


def _severe(state: State) -> bool:
    """A pain of `SEVERE` and more was said."""
    pains = [entry.value for entry in state.record.entry if isinstance(entry, Answered) and "pain" in entry.step]
    return any(isinstance(pain, int) and pain >= SEVERE for pain in pains)


def stopped(state: State, rule: str, words: str) -> None:
    """It is over for this reason, says these words, and nothing that can be done changes it."""
    ended = state.record.ended
    assert ended is not None
    assert (ended.how, ended.decision.move, ended.decision.rule) == ("stopped", "stop", rule)
    assert ended.decision.status == ("review" if _severe(state) else AFTERWARDS[rule])
    page = page_at(state, setup_context(state.plan, state.record), state.seen_s)
    assert words in words_of(page)
    if rule == "warning_sign":
        assert isinstance(page, TextPage)
        assert words in page.alert  # what must not be overlooked
    for key in (
        go_on,
        back,
        pause,
        stop_set,
        report_trouble,
        leave,
        tick,
        *(command.run for command in ALL_BINDINGS),
    ):
        assert key(state, NOW)._replace(seen_s=state.seen_s) == state
    values: tuple[int | str, ...] = ("yes", "no", "none", "not_sure", 0, 10, *SIGNS)
    for value in values:
        assert answer(state, value, NOW) == state
    ended = state.record.ended
    assert ended is not None
    plan = [] if ended.decision.status == "review" else ["plan"]  # a plan is for a session that there will be
    assert [command.word for command in ALL_BINDINGS if command.fits(state)] == ["hear", *plan, "why", "quit"]


def test_every_screen_is_visited() -> None:
    """Named by hand, so that none is forgotten."""
    parts = {name.rpartition(".")[2] for name in moments()}
    read = "today cautions place arm reach setup_again"
    timed = ("work", "rest", "work, paused", "rest, paused")
    asked = "pain_now sign band_sound anchor_holds taut_at_start face_clear pain blade elbow range slack"
    brought = {"sets", "band", "skip", "trouble"}
    assert {*read.split(), *timed, *asked.split(), "effort", "two_more", *brought} <= parts


@pytest.mark.parametrize("stop", STOPS)
def test_said_by_the_pain_key_it_stops_from_every_screen(stop: str) -> None:
    say, rule, words = STOPS[stop]
    for state in moments().values():
        stopped(say(state), rule, words)


@pytest.mark.parametrize("sign", SIGNS)
def test_a_sign_at_the_check_in_stops(sign: str) -> None:
    stopped(answered(moments()["check_in.sign"], sign), "warning_sign", SIGNS[sign])


def test_not_sure_about_the_signs_is_for_the_therapist() -> None:
    """Unknown is never good."""
    stopped(answered(moments()["check_in.sign"], "not_sure"), "warning_sign", THERAPIST)


def test_every_sign_of_the_content_is_tried() -> None:
    """A new sign must be given its words here, by hand."""
    assert {sign.name for sign in shipped().signs} == set(SIGNS)
    assert {sign.name for sign in shipped().signs if "set" in sign.asked} == set(IN_A_SET)


@pytest.mark.parametrize("pain", range(11))
def test_pain_after_a_set_stops_above_the_limit(pain: int) -> None:
    """And up to it the session goes on."""
    for number in (1, 2, 3):
        after = answered(moments()[f"set_{number}.pain"], pain)
        if pain > LIMIT:
            stopped(after, "pain_over_limit", "over your limit of 5")
        else:
            assert not after.over
        from_key = from_the_key("ache", "side_of_shoulder", pain)(moments()[f"set_{number}.work"])
        assert from_key.over == (pain > LIMIT)


def test_a_failed_check_stops_before_the_first_repetition() -> None:
    """A torn band at once; what is dangerous until it is mended is asked again, and never passed over. A slack band
    is too little load and no danger: tests/session/test_checks.py."""
    stopped(answered(moments()["check.band_sound"], "no"), "equipment_failed", "damaged")
    for name in ("anchor_holds", "face_clear"):
        state = moments()[f"check.{name}"]
        for _ in range(10):
            state = answered(state, "no")
            assert state.over or state.step.name == f"check.{name}"
            assert go_on(state, NOW).step.name == state.step.name


@pytest.fixture
def client(demo_profiles: Path) -> ClientStore:
    """The client whose session it is."""
    return ClientStore.read(demo_profiles / "tern", shipped())


def keys_for(state: State, *values: int | str) -> Iterator[str]:
    """The keys that say this from here: the pain key, each answer's, and the confirmation."""
    yield "p"
    state = report_trouble(state, Instant(state.seen_s, START))
    for value in values:
        assert state.question is not None
        yield next(one.key for one in choices(state.question, shipped().signs) if one.value == value)
        state = answered(state, value)
    yield "y"


SPOKEN: tuple[tuple[tuple[int | str, ...], str], ...] = (
    *(((sign,), SIGNS[sign]) for sign in IN_A_SET),
    (("equipment",), "failed"),
    (("ache", "chest"), EMERGENCY),
    (("sharp", "side_of_shoulder", 6), "over your limit of 5"),
)


@pytest.mark.parametrize(("values", "words"), SPOKEN, ids=lambda value: str(value))
def test_by_the_keys_of_the_screens_and_of_the_plain_mode(
    client: ClientStore, values: tuple[int | str, ...], words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On each screen, and on the question whether to end: the keys that are shown lead there, no key leads away."""
    clock, content = FakeClock(), shipped()
    opening: Opening = open_session(client, clock())
    monkeypatch.setattr(SessionApp, "size", property(lambda _: Size(80, 24)))
    monkeypatch.setattr(SessionApp, "exit", lambda *_, **__: None)
    for name, start in moments().items():
        if binding_for("p", start) is None:  # one of the questions of the pain key itself: one back
            assert start.asking is not None
            continue
        for leaving in (False, True):
            clock.s = start.seen_s
            app = SessionApp(content, opening, clock)
            app._live = LiveSession(client, start, None, clock)
            for key in (*(["q"] if leaving else []), *keys_for(start, *values)):
                app._press(key)
            page, _ = app._page()
            assert words in words_of(page), name
            for key in KEYS:
                if key != WHY.key:
                    app._press(key)
            assert app._page()[0] == page
            app._press(WHY.key)
            assert words in words_of(app._page()[0]), name
            told: list[str] = []
            plain = PlainSession(content, opening, clock, Typist(clock, ["p"]), told.append)
            live = LiveSession(client, start, None, clock)
            _, *keys = keys_for(start, *values)
            for key in ("q" if leaving else "p", *keys):
                plain._press(live, key)
            plain._show_page(live)
            assert any(words in line for line in told), name
            assert live.state.over

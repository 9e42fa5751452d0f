"""By ear the essential comes first, and the key that goes on is named before what may wait."""

import re
from pathlib import Path

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model.message_format import fill
from coach.model.messages.entries import Cue, SafetyMessages
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache
from coach.screens.sound.said_so_far import SaidSoFar
from coach.screens.sound.spoken_lines import as_spoken, session_words, state_words
from coach.screens.sound.tones import tone_seconds
from coach.session.rehearsal import first_state
from tests.clocks import START
from tests.demo.pristine import copy_pristine
from tests.plans import next_plan, shipped
from tests.screens.sound.recorder import seconds_of_words
from tests.screens.sound.test_by_ear import after, said_by
from tests.screens.sound.test_spoken_session import COUNT_IN_S, KEYS, SETS, ByEar, listened

VOICE, SAFETY = shipped().messages.client.voice, shipped().messages.safety
# With the limit of pain that every demo client has.
CAUTIONS = tuple(fill(line, {"pain_max": 5}) for line in (*SAFETY.cautions_stop, *SAFETY.cautions))
GEOMETRY = (
    "Seen from above:",
    "Seen from the side:",
    "At the start your hand",
    "At the end your hand",
    "Between them",
)


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> ByEar:
    """A first session without faults."""
    return listened(copy_pristine(tmp_path_factory.mktemp("first") / "demo") / "tern", "en")


def test_the_first_thing_said_is_the_key_that_goes_on_at_any_time(first: ByEar) -> None:
    assert first.said[0] == VOICE.go_on


def test_what_holds_every_time_is_said_first_and_the_key_that_goes_on_last(first: ByEar) -> None:
    said = first.said
    at, stops = said.index(CAUTIONS[0]), len(SAFETY.cautions_stop)
    page = said[at : said.index("Check-in")]
    assert page[: 1 + len(CAUTIONS)] == [*CAUTIONS[:stops], SAFETY.cautions_at_first[0], *CAUTIONS[stops:]]
    assert page[-len(SAFETY.cautions_at_first) :] == [*SAFETY.cautions_at_first[1:], "Enter: go on"]


def test_from_the_second_session_on_the_rest_is_said_when_asked_and_stays_on_the_page(demo_profiles: Path) -> None:
    said = said_by(demo_profiles / "avocet", "", "h")
    first, again = _in_two(said, SAFETY.cautions_stop[0])
    assert VOICE.more_cautions in first
    assert not set(SAFETY.cautions_at_first) & {*first[:-2], *said[: said.index(SAFETY.cautions_stop[0])]}
    assert set(CAUTIONS) <= set(first)
    assert {*CAUTIONS, *SAFETY.cautions_at_first} <= {*first[-2:], *again}
    assert VOICE.keys not in said
    assert shipped().messages.client.today.what_follows not in said


def _in_two(said: list[str], line: str) -> tuple[list[str], list[str]]:
    """What was said from the first time of this line to the second, and from then on."""
    one, other = (index for index, each in enumerate(said) if each == line)
    return said[one:other], said[other:]


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_caution_is_in_one_of_the_two_lists_in_every_language(language: str) -> None:
    safety: SafetyMessages = load_content(content_folder(), language).messages.safety
    assert (len(safety.cautions_stop), len(safety.cautions), len(safety.cautions_at_first)) == (2, 2, 4)


def test_a_drawing_is_one_sentence_and_its_measures_are_said_when_asked(first: ByEar, demo_profiles: Path) -> None:
    assert not [line for line in first.said if line.startswith(GEOMETRY)]
    assert "The anchor is then to your left." in first.said
    line = "The load assumes that your hand moves about 53 centimetres. That is not a target."
    assert after(first.said, line, 1) == ["Enter: go on"]
    to_the_arm = KEYS[: KEYS.index("y") + 3]
    again = said_by(demo_profiles / "tern", *to_the_arm, "h")
    assert [line.split(":")[0].split(" is ")[0] for line in again if line.startswith(GEOMETRY)] == [
        "Seen from the side",
        "At the start your hand",
        "At the end your hand",
        "Between them your arm turns 92 degrees and your hand travels 53 centimetres.",
    ]


def test_before_every_set_it_is_said_what_to_do_if_it_hurts_and_after_it_where_to_come(first: ByEar) -> None:
    turns = [line for line in first.said if line == VOICE.hurts or "come to the keyboard" in line]
    assert [line == VOICE.hurts for line in turns] == [True, False] * SETS
    assert after(first.said, "Enter: start", 1) == [VOICE.hurts]  # not "go on": this key begins the count-in
    assert sum("take your place" in line for line in first.said) == SETS - 1


def test_where_a_rest_is_cut_short_it_is_said_in_the_count_in(demo_profiles: Path, first: ByEar) -> None:
    at_s = next(one.begins_s for one in first.recorder.heard if one.what == "30 seconds left")
    said = listened(demo_profiles / "tern", "en", KEYS, {at_s: ""}).said
    assert said.count(VOICE.hurts) == SETS
    first_cue = shipped().messages.exercises["external_rotation"].at("0").first_cue
    take = said.index("Band ready: 10 seconds.")
    assert said[take - 1 : take + 2] == [VOICE.hurts, said[take], first_cue]


def test_a_date_is_said_as_a_day_and_a_month(first: ByEar) -> None:
    assert [line for line in first.said if "November 26" in line]
    assert not [line for line in first.said if re.search(r"\d{4}-\d\d", line)]
    german = load_content(content_folder(), "de")
    assert as_spoken("ab 26.11.2026 oder später", german) == "ab 26. November oder später"
    assert as_spoken("ab 31.02.2026", german) == "ab 31.02.2026"


def test_until_the_check_in_by_ear(capsys: pytest.CaptureFixture[str], first: ByEar, demo_profiles: Path) -> None:
    """How long it takes to hear all that is said without a key; no limit is ours to set, so it is printed."""
    later = listened(demo_profiles / "avocet", "en", KEYS[:2])
    for name, heard in (("first session", first), ("a later one", later)):
        begins = {one.what: one.begins_s for one in reversed(heard.recorder.heard)}
        pages = (begins[line] for line in (VOICE.go_on, shipped().messages.client.today.cautions_title, "Check-in"))
        opened, cautions, asked = pages
        with capsys.disabled():
            print(f"\n{name}: {cautions - opened:.0f} s of the first page, {asked - cautions:.0f} s of cautions")
        assert begins["Check-in"] > 0


def test_lines_of_a_later_session_are_made_beforehand(demo_profiles: Path) -> None:
    plan = next_plan(demo_profiles / "avocet")
    made, state = set(session_words(plan, START)), first_state(plan, START)
    setups = SetupCache()
    said = state_words(page_at(state, setups.of(state), 0.0), state, setups, SaidSoFar())
    assert {line for line in said if line} <= made


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_cue_fits_into_the_count_in(language: str) -> None:
    """After a rest before the three that is counted; where Enter cut the rest short, with what to do if it hurts."""
    content = load_content(content_folder(), language)
    spoken, voice = content.messages.client.sound.spoken, content.messages.client.voice
    take_s = tone_seconds("rest_over") + seconds_of_words(fill(spoken["rest_over"], {"seconds": COUNT_IN_S}))
    positions = [one for exercise in content.messages.exercises.values() for one in exercise.position.values()]
    cues = [
        cue for one in positions for cue in (one.first_cue, *(text for each in one.cues for text in _texts(each)))
    ]
    longest_s = max(seconds_of_words(cue) for cue in cues)
    hurts_s = max(seconds_of_words(line) for line in (voice.hurts, voice.hurts_underfoot))
    assert take_s + longest_s < COUNT_IN_S - 3
    assert take_s + hurts_s + longest_s < content.limit_values({})["first_count_in_s"] - 1


def _texts(cue: Cue) -> tuple[str, ...]:
    return (cue.text, *cue.variants)

"""How much of what is read from the mark can be read there: three metres from a screen of 14 inches.

16 minutes of arc are needed (ISO 9241-303, from memory): at three metres letters of 14 mm. A terminal that fills the
screen has rows of 174 mm divided by their number, so a letter of one row is never enough.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.drawing.block_lines import LETTER_ROWS
from coach.model.answers_file import Answers
from coach.screens.client.page_types import MoreLines, RestPage, ScreenPage, SetPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache
from coach.screens.client.views.moving_views import RestView, SetView
from coach.screens.client.views.page_view import PageView
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.script import Rest, Work
from coach.session.state import State
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from tests.clocks import START, FakeClock
from tests.screens.gallery import SIZES, Size
from tests.screens.legibility import AWAY_M, DIAGONAL_M, HIGH, LEAST_MIN, WIDE

# What has to be read from the mark, by size, that is not drawn large there: there is no room for it, and it is said.
TOO_SMALL = {
    (60, 20): {
        *("cue of a set under way", "cue before a set", "cue in a rest"),
        *("question of pain", "answers of pain", "answers of blade", "answers of elbow"),
    },
    (80, 24): {"cue of a set under way"},
    (120, 40): {"cue of a set under way"},
}


@dataclass(frozen=True)
class Read:
    """Something to be read from the mark: what it is, and the height of its letters in rows."""

    what: str
    rows: float


def needed_mm() -> float:
    """The least height of a letter at three metres."""
    return math.tan(math.radians(LEAST_MIN / 60)) * AWAY_M * 1000


def row_mm(rows: int) -> float:
    """The height of a row of a terminal that fills the screen."""
    return DIAGONAL_M * 1000 * HIGH / math.hypot(WIDE, HIGH) / rows


def pages_from_the_mark(client: Path, language: str, at: datetime) -> Iterator[tuple[str, ScreenPage]]:
    """The pages of the second set of a session without faults, and the rest before it."""
    store = ClientStore.read(client, load_content(content_folder(), language))
    plan, setups = open_session(store, FakeClock(at)()).plan, SetupCache()

    def page(state: State, later_s: float = 0.0) -> ScreenPage:
        return page_at(state, setups.of(state), state.seen_s + later_s)

    for state in rehearsed_states(first_state(plan, at), Answers()):
        match state.step:
            case Work(number=2):
                yield "before a set", page(state)
                yield "of a set under way", page(state, state.step.time.count_in_s + 1.0)
            case Rest(before_set=2):
                yield "in a rest", page(state)
            case _ if state.question is not None and state.question.set_number == 2:
                yield f"of {state.question.question}", page(state)


def read_on(name: str, page: ScreenPage, size: Size) -> Iterator[Read]:
    """What has to be read on a page from the mark, as high as it is drawn in a window of this size."""
    if isinstance(page, SetPage):
        view = SetView(page, *size)
        yield from (Read(f"{what} {name}", view._rows) for what in ("phase", "count", "repetition"))
        yield Read(f"cue {name}", LETTER_ROWS if view._blocks(page) else 1)
    elif isinstance(page, RestPage):
        rest = RestView(page, *size)
        yield Read(f"seconds {name}", rest._rows)
        yield Read(f"cue {name}", LETTER_ROWS if rest._large else 1)
    elif isinstance(page, TextPage):
        asked = PageView(page, "", MoreLines(), *size)
        large = asked.large
        has_answers = large is not None and large.rows != asked._drawn(page.lead, len(large.rows))
        yield Read(f"question {name}", LETTER_ROWS if large else 1)
        yield Read(f"answers {name}", LETTER_ROWS if has_answers else 1)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_what_can_be_read_from_the_mark(demo_profiles: Path, size: Size, language: str) -> None:
    pages = pages_from_the_mark(demo_profiles / "tern", language, START)
    read = [one for name, page in pages for one in read_on(name, page, size)]
    large = [one for one in read if one.rows * row_mm(size[1]) >= needed_mm()]
    for one in read:
        high_mm = one.rows * row_mm(size[1])
        print(f"{size[0]}x{size[1]} {language}  {one.what:30} {high_mm:5.1f} mm  {'yes' if one in large else 'no'}")
    print(f"{size[0]}x{size[1]} {language}  readable from {AWAY_M:g} m: {len(large)} of {len(read)}")
    assert {one.what for one in read if one not in large} <= TOO_SMALL[size]
    assert len(read) >= 16


def test_what_is_needed_is_fourteen_millimetres() -> None:
    assert needed_mm() == pytest.approx(14.0, abs=0.05)
    assert row_mm(24) == pytest.approx(174.4 / 24, abs=0.05)

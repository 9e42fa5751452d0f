"""How a page is laid out: in the middle of a wide window, the first thing first, and keys drawn as keys."""

from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.geometry import Region
from textual.widgets import Static

from coach.content_files.content_folder import content_folder, load_content
from coach.drawing.block_lines import ROWS_A_LINE, block_lines
from coach.model import step_names
from coach.model.profile import SoundSettings
from coach.overview.last_sessions import last_sessions, session_lines
from coach.screens.base_app import BaseApp
from coach.screens.client import session_app as session_app_module
from coach.screens.client.exercise_lines import duration_lines, minutes_fact
from coach.screens.client.lesson_pages import lesson_page
from coach.screens.client.page_types import AnswerOption, Fact, MoreLines, Now, TextPage
from coach.screens.client.pages import page_of, set_page
from coach.screens.client.question_pages import question_page
from coach.screens.client.setup_context import setup_context
from coach.screens.client.views.moving_views import LessonView, SetView
from coach.screens.client.views.page_view import PageView
from coach.screens.widgets.bar import dot_row
from coach.session.script import Ask, Teach, Work
from coach.session.tempo import moment_at
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session, start_session
from tests.clocks import FakeClock
from tests.journeys.walk import live, session_app, walk
from tests.plans import begun, shipped
from tests.screens.capture import as_text, runs
from tests.screens.every_page import every_page
from tests.screens.therapist.therapist_pages import press

_FACTS = (
    Fact("12", "minutes", "About 12 minutes"),
    Fact("knotted", "the band"),
    Fact("85 cm", "your mark", "the mark"),
)
_PAGE = TextPage(
    "Today", "What it is for.", ("About 12 minutes", "Slowly"), listed=("the mark", "a mirror"), facts=_FACTS
)


def text_of(page: TextPage, columns: int, rows: int) -> list[str]:
    """The texts of a page in a window of this size, in their order."""
    return [
        str(one.content)
        for one in PageView(page, "", MoreLines("more"), columns, rows)._texts()
        if isinstance(one, Static)
    ]


def test_facts_take_the_place_of_their_lines_where_they_fit_and_only_there() -> None:
    shown = "\n".join(text_of(_PAGE, 80, 24))
    assert "About 12 minutes" not in shown
    assert "the mark" not in shown
    assert "a mirror" in shown
    narrow = "\n".join(text_of(_PAGE, 60, 20))
    assert "About 12 minutes" in narrow, "three facts do not fit beside one another"
    full = TextPage("Today", "For.", ("About 12 minutes", *["a line"] * 14), listed=("the mark",), facts=_FACTS)
    assert "About 12 minutes" in "\n".join(text_of(full, 80, 24)), "the text would not fit below them"


def test_blank_rows_give_way_before_a_page_has_to_be_scrolled() -> None:
    lines = tuple(f"line {number}" for number in range(11))
    assert "line 0\n\nline 1" in "\n".join(text_of(TextPage("a", "b", lines[:6]), 80, 24))
    assert "line 0\nline 1" in "\n".join(text_of(TextPage("a", "b", lines), 80, 24))


def test_what_is_done_one_after_the_other_has_its_number() -> None:
    page = TextPage("Setup", "Fix the band.", ("Put a mark " + "where it is " * 6, "Face it."), steps=True)
    (steps,) = text_of(page, 60, 20)
    assert steps.startswith("1  Fix the band.")
    assert [row[:3] for row in steps.split("\n")] == ["1  ", "2  ", "   ", "3  "]
    (airy,) = text_of(page, 80, 40)
    assert airy.count("\n\n") == 2, "as much room between all steps"
    state = begun("tern")
    shown = next(step for step in state.script.steps if step.name == step_names.PLACE)
    at_place = state._replace(at_step=state.script.steps.index(shown))
    assert page_of(at_place, setup_context(state.plan, state.record)).steps


@pytest.mark.parametrize("columns", [60, 80, 120])
def test_a_scale_is_as_wide_as_the_text_with_each_number_on_its_mark(columns: int) -> None:
    options = tuple(AnswerOption(str(number), str(number), number == 3) for number in range(11))
    page = TextPage("Pain", "How much?", choices=options, low="no pain", high="the worst you can think of")
    numbers, ruler, ends = text_of(page, columns, 24)[-1].split("\n")
    marks = [at for at, sign in enumerate(ruler) if sign in "├┼┤"]
    assert [numbers[at:].split()[0].lstrip(">") for at in marks] == [str(number) for number in range(11)]
    assert numbers.count(">3") == 1
    assert ends.startswith(" 0 = no pain")
    assert ends.endswith("10 = the worst you can think of")
    assert len(ruler) >= min(columns, 80) * 3 // 4


async def test_in_a_wide_window_a_question_stands_in_the_middle_with_its_turn_and_its_keys(
    demo_profiles: Path,
) -> None:
    app = session_app(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "enter", "enter", "0")
        choices: Region = app.query_one(".choices").region
        assert (choices.x, choices.width) == (22, 76)
        assert 8 < choices.y < 28
        assert as_text(runs(app)).split("\n")[0].strip() == "Check-in · 2 of 3"
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert app.query_one(".choices").region.x == 2


async def test_a_note_about_a_key_is_gone_with_its_page(demo_profiles: Path) -> None:
    """A set ends by itself: what a key did not do in it says nothing about the question after it."""
    clock = FakeClock()
    app = session_app(demo_profiles / "tern", clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_1.work")
        await press(pilot, "x")
        assert "x does nothing here" in app._key_note
        await press(pilot, "ctrl+c")
        assert app._key_note == "", "nor about the question whether to end"
        await press(pilot, "n", "space", "x")
        while live(app).state.question is None:
            clock.advance(1.5)
            await app._frame()
        assert app._key_note == ""


def question_about(name: str) -> TextPage:
    """The page of a form question after the first set."""
    state = begun("tern")
    asked = Ask(step_names.in_set(1, name), name, "how_often", 5.0, set_number=1)
    context = setup_context(state.plan, state.record)
    return question_page(state, asked, context.values, context.setup)


def test_the_fault_is_drawn_beside_its_question_where_the_large_letters_leave_room() -> None:
    def drawn(page: TextPage, columns: int, rows: int) -> bool:
        texts = PageView(page, "", MoreLines("more"), columns, rows)._texts()
        return any(isinstance(one, Horizontal) and one.id == "asked-about" for one in texts)

    elbow = question_about("elbow")
    assert elbow.fault is not None
    assert elbow.fault.title == f"{shipped().messages.client.lesson.wrong_beside} · from above"
    assert [drawn(elbow, *size) for size in ((120, 40), (80, 24), (60, 20))] == [True, False, False]
    assert question_about("tempo").fault is None, "how fast it goes cannot be seen where nothing moves"


def test_a_large_answer_is_not_listed_again_and_what_is_below_is_named() -> None:
    elbow = question_about("elbow")
    texts = text_of(elbow, 80, 24)
    assert not any("more than once" in text for text in texts), "it is in large letters"
    view = PageView(elbow, "", MoreLines("There is more"), 80, 24)
    assert view.more_lines[0] == "How to tell: arrow down"
    told = replace(elbow, now=Now("Press the key of your answer."))
    below = [PageView(told, "", MoreLines("There is more"), *size).more_lines[0] for size in ((80, 24), (40, 24))]
    assert below == ["Press the key of your answer. How to tell: arrow down", "How to tell: arrow down"]
    assert view.large is not None
    assert [key for *_, key in view.large.clicked] == [one.key for one in elbow.choices]
    given = replace(elbow, choices=(replace(elbow.choices[0], chosen=True), *elbow.choices[1:]))
    assert any("more than once" in text for text in text_of(given, 80, 24)), "the answer before is marked in the list"
    small = "\n".join(text_of(elbow, 60, 20))
    assert small.count("more than once") == 1


def test_before_the_first_set_the_line_is_found_in_steps_and_pain_is_in_sight() -> None:
    state = begun("tern")
    steps = [step.name for step in state.script.steps]
    page = page_of(state._replace(at_step=steps.index(step_names.REACH)), setup_context(state.plan, state.record))
    assert isinstance(page, TextPage)
    assert page.steps
    assert len(page.lines) == 2
    assert page.lines[0].startswith("Move your hand out")
    assert "20 seconds to take the band" in page.lines[1]
    assert page.remark.startswith("At pain over")
    assert any("move with me" in line for line in page.listed)


def test_the_checks_of_a_walk_are_its_last_step() -> None:
    state = begun("tern")
    steps = [step.name for step in state.script.steps]
    for name in (step_names.PLACE, step_names.ARM):
        at_page = state._replace(at_step=steps.index(name))
        page = page_of(at_page, setup_context(state.plan, state.record))
        assert page.lines[-1].endswith("on the next page.")
        assert not page.listed
    assert "taut" in page.lines[-1]


def test_the_day_of_the_next_session_stands_out() -> None:
    page = TextPage("Done", "You did it.", ("Next session: Thursday.", "Saved."), strong=("Next session: Thursday.",))
    _, lines = PageView(page, "", MoreLines("more"), 80, 24)._texts()
    assert isinstance(lines, Static)
    assert isinstance(lines.content, Content)
    assert [(span.start, span.end) for span in lines.content.spans] == [(0, len(page.strong[0]))]


def test_how_long_it_takes_is_told_for_whoever_has_it_said() -> None:
    state = begun("tern")
    minutes = round(state.script.seconds / 60)
    aloud = round(minutes * state.plan.limits["spoken_longer"])
    assert aloud > minutes + 3
    assert duration_lines(state) == (f"About {minutes} minutes; about {aloud} with the voice",)
    assert str(aloud) in minutes_fact(state).about
    quiet = state.plan.profile.model_copy(update={"sound": SoundSettings(voice=False)})
    state = state._replace(plan=replace(state.plan, profile=quiet))
    assert duration_lines(state) == (f"About {minutes} minutes",)
    assert minutes_fact(state).about == "minutes"


def test_a_large_number_of_repetitions_is_not_said_again_in_words() -> None:
    state = begun("tern")
    work = next(step for step in state.script.steps if isinstance(step, Work))
    into_s = dict(work.time.shown_moments())["out"]
    page = set_page(state, 1, work.time, moment_at(work.time, into_s), setup_context(state.plan, state.record))
    wide, narrow = SetView(page, 80, 24), SetView(replace(page, repetition="1/88888888"), 60, 20)
    assert (wide._repetition(page), wide._about_repetition(page)) == ("1/8", "repetition")
    assert (narrow._repetition(page), narrow._about_repetition(page)) == ("1", "Repetition 1 of 8")


def test_a_repetition_is_a_dot() -> None:
    assert dot_row(3, 8, 40).rstrip() == "●   ●   ●   ○   ○   ○   ○   ○"
    assert dot_row(29, 30, 56) == "●" * 29 + "○" + " " * 26
    assert dot_row(1, 3, 12, ("■", "░")) == "■   ░   ░   "


def test_the_end_lists_the_sessions_before_this_one_with_their_days(demo_profiles: Path) -> None:
    live = start_session(open_session(ClientStore.read(demo_profiles / "curlew"), FakeClock()()), FakeClock())
    assert live.earlier_records
    lines = session_lines(last_sessions(live.earlier_records, 2), shipped().messages)
    assert lines == (
        "Friday, 2026-11-20: 8 sets, 80 repetitions",
        "Monday, 2026-11-23: 8 sets, 80 repetitions",
    )


class _Lesson(BaseApp):
    """One page of a lesson, in German, whose lines are the longer ones."""

    CSS_PATH = Path(session_app_module.__file__).with_name("session.tcss")

    def compose(self) -> ComposeResult:
        state, messages = begun("tern"), load_content(content_folder(), "de")
        plan = replace(state.plan, content=messages)
        step = Teach(step_names.lesson("blade"), "blade", "blade_pulled_back", tried=True, seconds=30.0)
        page = lesson_page(state._replace(plan=plan), step, setup_context(plan, state.record).lesson("blade"), 0.0)
        yield LessonView(page, MoreLines("more", "above", "both"), *self.size)


async def test_a_lesson_that_is_longer_than_the_window_says_so_and_scrolls() -> None:
    """In the smallest window the question how the fault is told was below the window, and nothing said so."""
    app = _Lesson("dusk")
    async with app.run_test(size=(60, 17)) as pilot:
        lesson = app.query_one(LessonView)
        await pilot.pause()
        column = app.query_one("#column")
        high = app.query_one("#right").size.height
        assert high >= 4
        assert lesson.has_class("longer")
        assert app.query_one("#more").region.bottom <= 17
        assert column.size.height == 2, "the choice alone: the drawings have the rows"
        assert lesson.scroll_by_key("down")
        await pilot.pause()
        assert column.scroll_y == 0, "the first key makes room for how a fault is told"
        assert column.size.height > 2
        assert _line_of_more(app) == "more"
        assert lesson.scroll_by_key("pagedown")
        await pilot.pause()
        assert column.scroll_y > 0
        assert _line_of_more(app) == "above"
        for _ in range(3):
            assert lesson.scroll_by_key("up")
            await pilot.pause()
        assert (column.scroll_y, column.size.height) == (0, 2), "the drawings have the rows again"
        assert app.query_one("#right").size.height == high


def _line_of_more(app: BaseApp) -> str:
    return str(app.query_one("#more", Static).content)


class _LongPage(BaseApp):
    """A page that may be longer than its window."""

    CSS_PATH = Path(session_app_module.__file__).with_name("session.tcss")

    def __init__(self, page: TextPage, window: tuple[int, int] = (60, 20)) -> None:
        super().__init__("dusk")
        self._page, self._window = page, window

    def compose(self) -> ComposeResult:
        yield PageView(self._page, "", MoreLines("below", "above", "both"), *self._window)


async def test_a_long_page_says_the_way_down_and_the_way_back_up() -> None:
    app = _LongPage(TextPage("", "lead", tuple(f"line {number}" for number in range(40))))
    async with app.run_test(size=(60, 17)) as pilot:
        view, seen = app.query_one(PageView), list[str]()
        for key in (None, "down", *["down"] * 8, "up", *["pageup"] * 4):
            assert key is None or view.scroll_by_key(key)
            await pilot.pause()
            if not seen or seen[-1] != _line_of_more(app):
                seen.append(_line_of_more(app))
    assert seen == ["below", "both", "above", "both", "below"]


@pytest.mark.parametrize("language", ["en", "de"])
def test_large_numbers_of_a_scale_stand_on_one_line(language: str) -> None:
    _, _, effort = next(one for one in every_page(language) if one[0] == "tern set_3.effort")
    assert isinstance(effort, TextPage)
    numbers = " ".join(map(str, range(11)))
    for columns, rows in ((60, 20), (80, 24), (120, 40)):
        large = PageView(effort, "", MoreLines(), columns, rows).large
        assert large is not None
        lines = [block_lines([[numbers]], columns - 5, ROWS_A_LINE, (narrow,)) for narrow in (False, True)]
        assert (large.rows[-ROWS_A_LINE:] in lines) == (columns > 60)


async def test_a_short_question_in_large_letters_stands_in_the_middle() -> None:
    for name, middle in (("tern set_3.effort", True), ("tern set_1.elbow", False)):
        page = next(page for one, _, page in every_page("en") if one == name)
        assert isinstance(page, TextPage)
        app = _LongPage(page, (120, 40))
        async with app.run_test(size=(120, 38)) as pilot:
            await pilot.pause()
            assert (app.query_one("#blocks").region.y > 8) == middle


async def test_steps_below_the_window_are_counted_where_there_are_any() -> None:
    steps, few = tuple(f"step {number} " + "word " * 30 for number in range(2, 6)), ("step 2",)
    for lines, below in ((steps, "to 5"), (few, "below")):
        page = TextPage("", "step 1", lines, steps=True, more_steps="to 5", before=("session",) * 20)
        app = _LongPage(page)
        async with app.run_test(size=(60, 17)) as pilot:
            await pilot.pause()
            assert app.query_one(PageView).has_class("longer")
            assert _line_of_more(app) == below

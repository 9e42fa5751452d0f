"""The first page says what became of a session before it that was interrupted and could not be gone on with."""

import shutil
from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.record import SetDone
from coach.screens.client.live_page import live_page
from coach.screens.client.page_types import TextPage
from coach.screens.client.resume_prompts import resume_page, start_as_answered
from coach.screens.client.setup_context import SetupCache
from coach.store.client_store import ClientStore
from coach.store.live_session import LiveSession, NotAdmitted, open_session, start_session
from tests.clocks import START, FakeClock
from tests.plans import shipped
from tests.screens.plain.output_lines import CLEAN_AFTER_SET, TO_THE_FIRST_SET, told
from tests.store.programme.by_hand import Clock, exercise_over, open_live, play


def first_lines(live: LiveSession) -> tuple[str, ...]:
    """The lines of the first page."""
    page = live_page(live, SetupCache())
    assert isinstance(page, TextPage)
    return page.lines


def started_after(folder: Path, hours: float, language: str = "en") -> LiveSession:
    """A new session so long after START."""
    content, clock = load_content(content_folder(), language), FakeClock(START + timedelta(hours=hours))
    opening = open_session(ClientStore.read(folder, content), clock())
    assert opening.interrupted is None
    return start_session(opening, clock)


@pytest.mark.parametrize("hours", [2.4, 26.0])
def test_an_interrupted_session_is_named_with_what_is_kept_of_it(demo_profiles: Path, hours: float) -> None:
    folder = demo_profiles / "tern"
    assert not told(folder, [*TO_THE_FIRST_SET, *CLEAN_AFTER_SET]).finished
    when, kept = "Tuesday, November 24, 18:05", "2 sets are kept, and it counts as far as it went."
    assert first_lines(started_after(folder, hours))[0] == f"Your session of {when} was interrupted: {kept}"


def test_it_is_said_in_german_as_well(demo_profiles: Path) -> None:
    folder = demo_profiles / "tern"
    told(folder, [*TO_THE_FIRST_SET, *CLEAN_AFTER_SET])
    said, when = first_lines(started_after(folder, 26.0, "de"))[0], "Dienstag, 24. November, 18:05"
    assert said.startswith(f"Ihre Einheit vom {when} wurde unterbrochen: 2 Sätze sind gespeichert")


def test_where_no_set_was_done_nothing_is_said(demo_profiles: Path) -> None:
    folder = demo_profiles / "tern"
    told(folder, TO_THE_FIRST_SET[:4])
    assert not any("interrupted" in line for line in first_lines(started_after(folder, 26.0)))


def test_it_is_said_once(demo_profiles: Path) -> None:
    folder = demo_profiles / "tern"
    told(folder, [*TO_THE_FIRST_SET, *CLEAN_AFTER_SET])
    first_lines(started_after(folder, 26.0))
    assert not any("interrupted" in line for line in first_lines(started_after(folder, 52.0)))


def test_of_a_programme_the_sets_of_all_exercises_are_counted(demo_profiles: Path) -> None:
    folder, clock = demo_profiles / "curlew", Clock()
    live = play(open_live(folder, clock), clock, exercise_over(1))
    sets = sum(isinstance(one, SetDone) for one in live.state.file_entries)
    clock.move(26 * 3600)
    lines = first_lines(open_live(folder, clock))
    assert lines[0].startswith(f"Your session of Monday, November 30, 18:00 was interrupted: {sets} sets are kept")


def test_a_pain_left_open_is_named_and_has_lowered_the_load(demo_profiles: Path) -> None:
    """The program was closed at "Where is it?", and nobody answered it since."""
    folder = demo_profiles / "tern"
    before = ClientStore.read(folder, shipped()).progress
    told(folder, ["", "", "p", "2"])
    live = started_after(folder, 26.0)
    assert "you reported pain or trouble without saying what it was" in first_lines(live)[0]
    decision = ClientStore.read(folder, shipped()).progress_before_open_record.decision
    assert decision is not None
    assert (decision.rule, before.pain_stops) == ("pain_left_open", ())


def test_the_question_whether_to_go_on_says_what_a_pain_left_open_counts_as(demo_profiles: Path) -> None:
    """Going on asks it; ending that session is a stop for today, and so begins no other."""
    content, clock = shipped(), FakeClock(START + timedelta(minutes=9))
    for key, asked in (("y", "set_1.trouble_where"), ("n", None)):
        folder = Path(shutil.copytree(demo_profiles / "tern", demo_profiles / key))
        told(folder, ["", "", "p", "2"])
        opening = open_session(ClientStore.read(folder, content), clock())
        assert opening.interrupted is not None
        assert (
            content.messages.client.offer.resume_pain in resume_page(opening.plan, opening.interrupted.record).lines
        )
        if asked is None:
            with pytest.raises(
                NotAdmitted, match=r"^Stop for today\. Tell your therapist\. .*counts as pain over your limit"
            ):
                start_as_answered(opening, clock, key)
        else:
            asking = start_as_answered(opening, clock, key).state.asking
            assert asking is not None
            assert asking.name == asked


@pytest.mark.parametrize(("lines", "says"), [(["", "", "p", "q", "y"], True), (["", "", "p", "b", "q", "y"], False)])
def test_after_a_stop_for_pain_the_first_page_of_that_day_says_to_rest(
    demo_profiles: Path, lines: list[str], says: bool
) -> None:
    """Once the next session began at once without a word."""
    folder, rest = demo_profiles / "tern", shipped().messages.client.today.stopped_today
    told(folder, lines)
    for hours, expected in ((0.1, says), (26.0, False)):
        page = live_page(started_after(folder, hours), SetupCache())
        assert isinstance(page, TextPage)
        assert (rest in page.alert) == expected


def test_who_was_looked_at_since_is_not_told_to_rest(demo_profiles: Path) -> None:
    folder, rest = demo_profiles / "tern", shipped().messages.client.today.stopped_today
    told(folder, ["", "", "p", "q", "y"])
    store, at = ClientStore.read(folder, shipped()), START + timedelta(hours=1)
    opening = open_session(store, FakeClock(at)())
    for looked, expected in ((None, True), (START, False), (START - timedelta(days=1), True)):
        before = opening.plan.before.model_copy(update={"looked_at": looked})
        live = start_session(replace(opening, plan=replace(opening.plan, before=before)), FakeClock(at))
        page = live_page(live, SetupCache())
        assert isinstance(page, TextPage)
        assert (rest in page.alert) == expected

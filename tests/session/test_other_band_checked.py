"""A band that is taken up in mid-session is looked over before it is pulled on, as the first one was."""

from datetime import timedelta

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.model.record import LoadChanged, Record
from coach.model.step_names import check_again
from coach.reports.fhir.answers import question_text as exported_question
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.session.interruptions import skip_set
from coach.session.plan import Plan, script_of
from coach.session.rehearsal import first_state, rehearse, rehearsed_states
from coach.session.runner import answer, back
from coach.session.script import Ask, SetupAgain, remaining_script
from coach.session.state import Instant, State
from coach.session.transitions import begin
from tests.clocks import START
from tests.plans import plan_of, shipped

_HEAVY = {"set_1.blade": "more_than_once"}
_AGAIN = ("check.set_2.band_sound", "check.set_2.anchor_holds", "check.set_2.taut_at_start")


def walked(plan: Plan, given: dict[str, str | int]) -> list[State]:
    """Each state of a session with these answers that has another step than the one before."""
    found = [first_state(plan, START)]
    for state in rehearsed_states(found[0], Answers(answer=given)):
        if state.step.name != found[-1].step.name:
            found.append(state)
    return found


def names_of(plan: Plan, given: dict[str, str | int]) -> list[str]:
    return [state.step.name for state in walked(plan, given)]


def reached(plan: Plan, name: str) -> State:
    """The state at a step of a session that is too heavy in set 1."""
    return next(state for state in walked(plan, {**_HEAVY}) if state.step.name == name)


def page_of_state(state: State) -> TextPage:
    page = page_at(state, setup_context(state.plan, state.record), state.seen_s)
    assert isinstance(page, TextPage)
    return page


def test_another_band_is_looked_over_before_the_rest_and_the_set() -> None:
    names = names_of(plan_of("tern"), {**_HEAVY})
    here = names.index("set_2.setup_again")
    assert tuple(names[here + 1 : here + 5]) == (*_AGAIN, "set_2.rest")
    assert [name for name in names if name.startswith("check.set_3")] == []


def test_without_another_band_nothing_is_asked_again() -> None:
    assert [name for name in names_of(plan_of("tern"), {}) if name.startswith("check.set_")] == []


def test_another_mark_with_the_same_band_asks_nothing_again() -> None:
    """The shortest way to less load may be the mark alone: the band was looked over already."""
    state = reached(plan_of("tern"), "set_2.setup_again")
    now = state.record.rungs.step
    nearer = state.plan.rungs(now.model_copy(update={"distance_cm": now.distance_cm - 5}))
    moved = replace_last_change(state.record, LoadChanged(at=START, rule="band_too_heavy", rungs=nearer))
    following = state.script.steps[state.script.due_from(state.at_step + 1, moved)]
    assert following.name == "set_2.rest"


def replace_last_change(record: Record, changed: LoadChanged) -> Record:
    entries = tuple(changed if isinstance(one, LoadChanged) else one for one in record.entry)
    return record.model_copy(update={"entry": entries})


def test_other_strands_of_the_same_band_are_looked_over_too() -> None:
    state = reached(plan_of("tern"), "set_2.setup_again")
    strands = 3 - state.record.rungs.step.strands
    other = replace(state.record.rungs, step=state.record.rungs.step.model_copy(update={"strands": strands}))
    moved = replace_last_change(state.record, LoadChanged(at=START, rule="band_too_heavy", rungs=other))
    assert state.script.steps[state.script.due_from(state.at_step + 1, moved)].name == _AGAIN[0]


def test_the_page_of_the_change_says_what_to_look_at() -> None:
    """In the words of the first setup: who changes the band is at the anchor."""
    page = page_of_state(reached(plan_of("tern"), "set_2.setup_again"))
    stated = [
        shipped().messages.safety.check[name].stated for name in ("band_sound", "anchor_holds", "taut_at_start")
    ]
    said = " ".join((page.lead, *page.lines))
    assert page.steps
    assert all(text is not None and text in said for text in stated)
    assert said.startswith("Change only the band: knotted to striped")


def test_the_question_has_the_words_of_the_check_and_says_before_which_set() -> None:
    page = page_of_state(reached(plan_of("tern"), _AGAIN[0]))
    assert page.lead == shipped().messages.safety.check["band_sound"].ask
    assert page.title == "Another band: check before set 2"
    assert page.turn == "1 of 3"
    assert not any(option.chosen for option in page.choices)  # the answer for the other band is none for this one


def test_a_damaged_band_ends_the_session() -> None:
    record, ended = rehearse(plan_of("tern"), Answers(answer={**_HEAVY, _AGAIN[0]: "no"}), START)
    assert (ended.how, ended.decision.rule) == ("stopped", "equipment_failed")
    assert len(record.sets_done) == 1
    assert ended.decision.numbers["what"] == "band_sound"


def test_a_slack_band_goes_on_after_the_second_no_and_moves_nothing_up() -> None:
    record, ended = rehearse(plan_of("tern"), Answers(answer={**_HEAVY, _AGAIN[2]: "no"}), START)
    assert len(record.sets_done) == 3
    assert record.answer("check.taut_at_start") == "yes"
    assert record.answer(_AGAIN[2]) == "no"
    assert ended.decision.move != "progress"
    assert plan_of("tern").book.unmet_check(record.answers) == "taut_at_start"


def test_an_anchor_that_does_not_hold_is_mended_first() -> None:
    state = reached(plan_of("tern"), _AGAIN[1])
    state = answer(state, "no", Instant(state.seen_s, START))
    assert state.step.name == _AGAIN[1]
    assert page_of_state(state).alert == shipped().messages.safety.check["anchor_holds"].mend


def test_back_leads_from_the_rest_to_the_last_check_and_not_past_the_change() -> None:
    plan = plan_of("tern")
    rest = reached(plan, "set_2.rest")
    now = Instant(rest.seen_s, START)
    at_last = back(rest, now)
    assert at_last.step.name == _AGAIN[2]
    assert back(back(back(at_last, now), now), now).step.name == _AGAIN[0]


def test_a_skipped_set_asks_nothing_about_the_band_for_it() -> None:
    state = reached(plan_of("tern"), "set_2.setup_again")
    now = Instant(state.seen_s, START)
    state = answer(skip_set(state, now), "no_time", now)
    assert state.step.name == "set_3.setup_again"


def test_an_interrupted_session_makes_every_check_once_and_no_check_twice() -> None:
    state = reached(plan_of("tern"), _AGAIN[1])
    script = remaining_script(script_of(state.plan, state.record), state.record)
    later = begin(state.plan, script, state.record, Instant(0.0, START + timedelta(minutes=5)))
    asked = [step.name for step in later.script.steps if isinstance(step, Ask) and step.group == "check"]
    assert [name for name in asked if name.startswith("check.set_2")] == []
    assert {"check.band_sound", "check.anchor_holds", "check.taut_at_start"} <= set(asked)


def test_a_record_without_these_answers_is_read_as_before() -> None:
    """Records of earlier versions changed the band and asked nothing."""
    record, _ = rehearse(plan_of("tern"), Answers(answer={**_HEAVY}), START)
    entries = tuple(one for one in record.entry if not getattr(one, "step", "").startswith("check.set_"))
    older = record.model_copy(update={"entry": entries})
    assert len(older.entry) == len(record.entry) - 3
    assert plan_of("tern").book.failed_check(older.answers) is None
    assert older.current_rungs == record.current_rungs


def test_the_answers_are_exported_with_their_question() -> None:
    record, _ = rehearse(plan_of("tern"), Answers(answer={**_HEAVY}), START)
    asked = shipped().messages.safety.check["band_sound"].ask
    assert exported_question(_AGAIN[0], record, shipped()) == asked


def test_the_band_is_checked_underfoot_too() -> None:
    """Where the client stands on the band, it has to stay under the shoe."""
    names = [name for name in plan_of("tern").content.checks if not plan_of("tern").content.checks[name].once]
    assert names == ["band_sound", "anchor_holds", "taut_at_start", "band_underfoot", "taut_underfoot"]


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_title_names_the_set_in_each_language(language: str) -> None:
    assert "{set}" in load_content(content_folder(), language).messages.client.setup.check_again_title


def test_the_name_of_the_step_says_the_set() -> None:
    assert check_again("band_sound", 2) == _AGAIN[0]


def test_the_planned_time_is_that_of_a_session_without_another_band() -> None:
    plan = plan_of("tern")
    state = first_state(plan, START)
    planned = [step for _, step in state.script.scheduled_steps()]
    assert not any(isinstance(step, SetupAgain) for step in planned)
    assert not any(isinstance(step, Ask) and step.before_set for step in planned)

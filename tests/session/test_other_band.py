"""Deviations from the plan: a skipped set, another band, less time. They are recorded and never count as progress."""

import json

import pytest
from msgspec.structs import replace

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.prescription import Dose
from coach.model.record import BandAtHand, Ended, LoadChanged, Record, SetDone
from coach.progression.state_machine import advance
from coach.screens.client.key_bindings import ALL_BINDINGS, SESSION_BINDINGS, active_bindings, binding_for
from coach.session.answer_keys import choices
from coach.session.interruptions import SKIP_REASONS, change_band, fewer_sets, skip_set
from coach.session.plan import Plan, open_record, script_of
from coach.session.rehearsal import rehearse, rehearsed_states
from coach.session.runner import answer, back, go_on
from coach.session.script import Rest, Work, remaining_script
from coach.session.state import Instant, State
from coach.session.transitions import begin
from tests.clocks import START
from tests.plans import plan_of

NOW = Instant(0.0, START)


def done(plan: Plan, **given: int | str) -> tuple[Record, Ended]:
    """A session with these answers; a double underscore in a name stands for its dot."""
    return rehearse(plan, Answers(answer={name.replace("__", "."): value for name, value in given.items()}), START)


def state_at(plan: Plan, name: str) -> State:
    """A state at a step of a new session."""
    record = open_record(plan, START)
    script = script_of(plan, record)
    index = [step.name for step in script.steps].index(name)
    return begin(plan, script, record, NOW)._replace(at_step=index)


def with_least(plan: Plan, sets_least: int | None) -> Plan:
    """The plan with a dose that allows a short session."""
    dose = plan.prescription.dose.model_copy(update={"sets_least": sets_least})
    return replace(plan, prescription=plan.prescription.model_copy(update={"dose": dose}))


def ready(plan: Plan) -> Plan:
    """One clean session away from more load: at the top, one ready session behind, the first weeks over."""
    top = plan.prescription.dose.repetitions_max
    before = plan.before.model_copy(
        update={
            "repetitions": top,
            "ready_sessions": 1,
            "sessions": 12,
            "load": plan.step,
            "first_session": START.replace(month=10),
            "last_session": START.replace(day=22),
        }
    )
    return replace(plan, before=before)


@pytest.mark.parametrize("reason", SKIP_REASONS)
@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_skipped_set_is_recorded_with_its_reason_and_never_progress(number: int, reason: str) -> None:
    """Nothing is asked about what was not done; the session is not whole, so nothing rises."""
    record, ended = done(ready(plan_of("tern")), **{f"set_{number}__skip": reason})
    assert record.skipped == {number: reason}
    assert [one.number for one in record.sets_done] == [one for one in (1, 2, 3) if one != number]
    assert [step for step in record.answers if step.startswith(f"set_{number}.")] == [f"set_{number}.skip"]
    assert (ended.decision.move, ended.decision.rule) == ("hold", "unclean")
    assert ended.decision.numbers["missing"] == 1
    assert ended.decision.load == record.rungs.step


def test_without_the_skip_the_same_session_is_progress() -> None:
    """So that the tests above and below hold back something that was there."""
    _, ended = done(ready(plan_of("tern")))
    assert (ended.decision.rule, ended.decision.move) == ("load_up", "progress")


def test_all_sets_skipped_is_no_session() -> None:
    plan = plan_of("tern")
    record, ended = done(plan, set_1__skip="no_time", set_2__skip="no_time", set_3__skip="no_time")
    assert record.sets_done == ()
    assert ended.decision.move == "hold"
    assert advance(plan.before, record, plan.book).after.sessions == 0


def test_no_rest_after_a_skipped_first_set() -> None:
    """The page before the sets stays, where the next set can be started or skipped as well, without a rest."""
    state = answer(skip_set(state_at(plan_of("tern"), step_names.REACH), NOW), "not_usable", NOW)
    assert (state.step.name, state.set_number) == (step_names.REACH, 2)
    assert go_on(state, NOW).step.name == "set_2.work"
    both = answer(skip_set(state, NOW), "not_usable", NOW)
    assert both.record.skipped == {1: "not_usable", 2: "not_usable"}
    assert go_on(both, NOW).step.name == "set_3.work"
    assert answer(skip_set(both, NOW), "not_usable", NOW).over


def test_rest_after_a_later_skipped_set() -> None:
    """The client recovers from the set done before."""
    record, _ = done(plan_of("tern"))
    first = next(entry for entry in record.entry if isinstance(entry, SetDone))
    resting = state_at(plan_of("tern"), "set_2.rest")
    resting = resting._replace(record=resting.record.with_entry(first))
    assert answer(skip_set(resting, NOW), "too_tired", NOW).step.name == "set_3.rest"


def test_no_rest_at_the_start_of_a_continued_session_after_a_skipped_set() -> None:
    """The interruption was rest enough: the set after the skipped one can follow at once."""
    plan = plan_of("tern")
    record = open_record(plan, START)
    record = record.with_entry(SetDone(at=START, number=1, repetitions=8, under_load_s=64.0, end="done"))
    script = remaining_script(script_of(plan, record), record)
    index = [step.name for step in script.steps].index(step_names.REACH)
    state = begin(plan, script, record, NOW)._replace(at_step=index)
    skipped = answer(skip_set(state, NOW), "too_tired", NOW)
    assert skipped.step.name == step_names.REACH
    assert go_on(skipped, NOW).step.name == "set_3.work"
    interrupted_again = remaining_script(script_of(plan, skipped.record), skipped.record)
    assert [type(step) for step in interrupted_again.steps].count(Rest) == 0


def test_the_skip_question_can_be_left_again_and_pain_has_its_own_key() -> None:
    """One back: nothing is written; the rest stands still until the client goes on."""
    resting = state_at(plan_of("tern"), "set_2.rest")
    asking = skip_set(resting, NOW)
    assert asking.question is not None
    assert [one.value for one in choices(asking.question, ())] == list(SKIP_REASONS)
    left = back(asking, NOW)
    assert (left.question, left.record.entry, left.paused) == (None, (), True)
    assert isinstance(go_on(left, NOW).step, Rest)
    assert binding_for("p", resting) is not None


def test_a_set_that_has_begun_is_stopped_and_not_skipped() -> None:
    working = state_at(plan_of("tern"), "set_1.work")
    assert skip_set(working, NOW) == working
    assert binding_for("k", working) is None


def test_an_interrupted_session_does_not_offer_a_skipped_set_again() -> None:
    plan = plan_of("tern")
    resting = state_at(plan, "set_2.rest")
    record = answer(skip_set(resting, NOW), "too_tired", NOW).record
    left = remaining_script(script_of(plan, record), record)
    assert not any(step.name.startswith("set_2.") for step in left.steps)
    assert any(isinstance(step, Work) and step.number == 3 for step in left.steps)


def test_another_band_is_never_heavier_and_keeps_the_place_on_the_ladder() -> None:
    """The nearest step of that band with neither mean nor peak above, and surely lighter; then the planned one."""
    plan = ready(plan_of("tern"))
    record, ended = done(plan, setup__band="striped")
    swaps = [entry for entry in record.entry if isinstance(entry, BandAtHand)]
    assert len(swaps) == 1
    step = swaps[0].rungs.step
    assert step.grade == "striped" != plan.step.grade
    assert step.mean_nm <= plan.step.mean_nm
    assert step.peak_nm <= plan.step.peak_nm
    nearer = [
        other
        for other in plan.ladder.steps
        if other.grade == "striped" and step.mean_nm < other.mean_nm <= plan.step.mean_nm
    ]
    surely = plan.limits["easier_surely"]
    assert all(
        other.peak_nm > plan.step.peak_nm or plan.ladder.comparison.chance_heavier(plan.step, other) < surely
        for other in nearer
    )
    assert (ended.decision.rule, ended.decision.move, ended.decision.load) == ("other_band", "hold", plan.step)
    assert advance(plan.before, record, plan.book).after.ready_sessions == 0


@pytest.mark.parametrize("name", ["tern", "plover", "heron", "avocet"])
def test_no_band_stands_in_with_more_torque_from_any_step(name: str) -> None:
    """Every step of every demo ladder; and the lightest step of all has nothing below it."""
    plan = plan_of(name)
    for step in plan.ladder.steps:
        for grade, other in plan.substitute_steps(step).items():
            assert other.grade == grade != step.grade
            assert other.mean_nm <= step.mean_nm
            assert other.peak_nm <= step.peak_nm
    assert plan.substitute_steps(plan.ladder.steps[0]) == {}


def test_faults_with_another_band_are_faults() -> None:
    """Too heavy with the band that stood in: the load goes down from there, within the session."""
    plan = plan_of("tern")
    record, ended = done(plan, setup__band="striped", set_1__range="no", set_1__range_often="yes")
    assert any(isinstance(entry, LoadChanged) for entry in record.entry)
    assert ended.decision.rule == "band_too_heavy"
    assert ended.decision.load.mean_nm < plan.step.mean_nm


def test_another_band_starts_the_setup_again() -> None:
    """Chosen while holding the band: back to where the client stands, so that its checks come again."""
    asking = change_band(state_at(plan_of("tern"), step_names.ARM), NOW)
    assert asking.question is not None
    assert answer(asking, "striped", NOW).step.name == step_names.PLACE
    at_first = answer(change_band(state_at(plan_of("tern"), step_names.TODAY), NOW), "striped", NOW)
    assert at_first.step.name == step_names.TODAY


def test_choosing_the_programmes_own_band_again_undoes_a_mistake() -> None:
    """To another band and back gives exactly the load step of the programme, and the session counts again."""
    plan = ready(plan_of("tern"))
    own = plan.step.grade
    state = state_at(plan, step_names.TODAY)
    away = answer(change_band(state, NOW), "striped", NOW)
    assert away.record.other_band
    asking = change_band(away, NOW)
    assert asking.question is not None
    assert asking.question.options == (own,)
    returned = answer(asking, own, NOW)
    assert returned.record.current_rungs == state.record.rungs
    assert not returned.record.other_band
    kept = Record.model_validate(json.loads(returned.record.model_dump_json()), dates=False)
    assert kept.current_rungs == state.record.rungs
    assert not kept.other_band
    for following in rehearsed_states(returned, Answers()):
        returned = following
    assert returned.record.ended is not None
    assert returned.record.ended.decision.rule == "load_up"


def test_a_set_done_with_another_band_still_counts_as_such_after_going_back() -> None:
    """Not all sets were done at the load of the programme, so the session does not count towards more load."""
    plan = plan_of("tern")
    stand_in = BandAtHand(at=START, rungs=plan.rungs(plan.substitute_steps(plan.step)["striped"]))
    done_with_it = SetDone(at=START, number=1, repetitions=8, under_load_s=64.0, end="done")
    record = open_record(plan, START).with_entry(stand_in, done_with_it)
    back_again = record.with_entry(BandAtHand(at=START, rungs=record.programme_rungs))
    assert back_again.current_rungs == record.rungs
    assert back_again.other_band
    assert back_again.model_copy(update={}).other_band


def test_every_other_band_is_compared_with_the_load_of_the_programme() -> None:
    """The band chosen before makes no difference to the load step of the next one."""
    plan = plan_of("heron")
    plan = replace(plan, step=plan.ladder.steps[-1])
    stand_ins = plan.substitute_steps(plan.step)
    first, second = list(stand_ins)[:2]
    state = answer(change_band(state_at(plan, step_names.PLACE), NOW), first, NOW)
    assert answer(change_band(state, NOW), second, NOW).record.current_rungs.step == stand_ins[second]


def test_where_no_band_can_stand_in_the_key_is_not_there() -> None:
    plan = plan_of("tern")
    lowest = replace(plan, step=plan.ladder.steps[0])
    state = state_at(lowest, step_names.TODAY)
    assert binding_for("o", state) is None
    assert change_band(state, NOW) == state
    assert binding_for("o", state_at(plan, step_names.TODAY)) is not None


@pytest.mark.parametrize(
    ("sets_least", "today", "missing"), [(None, 2, 1), (None, 1, 2), (2, 2, 0), (2, 1, 2), (1, 1, 0), (2, 3, 0)]
)
def test_fewer_sets_are_whole_only_where_the_prescription_allows(
    sets_least: int | None, today: int, missing: int
) -> None:
    """The questions of the last set come after the last one of today; what is not allowed counts as missing."""
    plan = with_least(ready(plan_of("tern")), sets_least)
    record, ended = done(plan, today__sets=today)
    assert record.sets_today == len(record.sets_done) == today
    assert record.answer(f"set_{today}.two_more") == "yes"
    if missing:
        assert (ended.decision.rule, ended.decision.numbers["missing"]) == ("unclean", missing)
    else:
        assert ended.decision.rule == "load_up"


def test_the_choice_of_sets_can_be_changed_before_the_session_begins() -> None:
    plan = plan_of("tern")
    state = state_at(plan, step_names.TODAY)
    short = answer(fewer_sets(state, NOW), 1, NOW)
    assert sum(isinstance(step, Work) for step in short.script.steps) == 1
    again = answer(fewer_sets(short, NOW), 3, NOW)
    assert again.script == state.script
    assert again.record.sets_due == 3


def test_an_interrupted_short_session_stays_short() -> None:
    plan = plan_of("tern")
    record = answer(fewer_sets(state_at(plan, step_names.TODAY), NOW), 2, NOW).record
    left = remaining_script(script_of(plan, record), record)
    assert [step.number for step in left.steps if isinstance(step, Work)] == [1, 2]


def test_a_dose_cannot_ask_for_less_time_with_more_sets() -> None:
    dose = plan_of("tern").prescription.dose
    with pytest.raises(ValueError, match="sets_least is above sets"):
        Dose.model_validate({**dose.model_dump(), "sets_least": dose.sets + 1})


def test_answers_that_cannot_be_given_are_named() -> None:
    plan = plan_of("tern")
    with pytest.raises(ValueError, match=r"setup\.band does not take 'dotted': answer one of striped"):
        done(plan, setup__band="dotted")
    with pytest.raises(ValueError, match=r"setup\.band cannot be answered: there is nothing to choose from today"):
        done(replace(plan, step=plan.ladder.steps[0]), setup__band="striped")


def test_one_key_has_one_meaning_at_every_step() -> None:
    """No key twice among those that work at a step, no answer's key among the commands, at most five shown."""
    plan = plan_of("tern")
    for step in script_of(plan, open_record(plan, START)).steps[:-1]:
        state = state_at(plan, step.name)
        keys = [command.key for command in ALL_BINDINGS if command.fits(state)]
        assert len(keys) == len(set(keys)), (step.name, keys)
        assert len(active_bindings(state)) <= 5, step.name
        answers = choices(state.question, plan.content.signs) if state.question is not None else ()
        assert not {one.key for one in answers} & set(keys), step.name


def test_every_command_has_its_word() -> None:
    messages = plan_of("tern").content.messages.client.keys.model_dump()
    assert all(messages[command.word] for command in SESSION_BINDINGS)

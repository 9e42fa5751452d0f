"""The quick way through a session gives what the whole way gives: the same record, decision and life."""

from datetime import timedelta
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from coach.model.answers_file import Answers
from coach.model.progress import PainOn, Progress
from coach.model.record import Answered, Ended, Entry, Record
from coach.progression.facts import extract_facts
from coach.progression.session_conditions import CONDITIONS, SET_CONDITIONS
from coach.progression.state_machine import advance
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse
from coach.session.session_cache import SessionCache
from coach.session.simulation.forecast import simulate_sessions
from coach.session.simulation.virtual_client import VirtualClient
from tests.plans import plan_of
from tests.progression.records import START
from tests.session.whole import Whole

DAYS = st.integers(0, 60)
BEFORE = st.fixed_dictionaries(
    {
        "last_session": st.one_of(st.none(), DAYS.map(lambda days: START - timedelta(days=days))),
        "first_session": st.one_of(st.none(), DAYS.map(lambda days: START - timedelta(days=days))),
        "pains": st.lists(
            st.builds(
                lambda days, pain: PainOn(on=(START - timedelta(days=days)).date(), pain=pain),
                st.integers(0, 14),
                st.integers(0, 4),
            ),
            max_size=8,
        ).map(tuple),
        "eased": st.booleans(),
        "ready_sessions": st.integers(0, 3),
        "under_sessions": st.integers(0, 2),
        "repetitions": st.sampled_from((8, 9, 12)),
        "repaired_on": st.one_of(st.none(), DAYS.map(lambda days: (START - timedelta(days=2 * days)).date())),
    }
)
IN_A_SET = {
    "blade": ("yes", "not_sure"),
    "blade_often": ("yes", "no"),
    "range": ("no",),
    "range_often": ("yes",),
    "pain": (3, 6),
    "skip": ("no_time",),
}
SAID = [(f"set_{number}.{name}", value) for number in (1, 2, 3) for name, of in IN_A_SET.items() for value in of]
SAID += [("check_in.pain_now", 1), ("check_in.pain_now", 7), ("check_in.sign", "lump"), ("check.band_sound", "no")]
SAID += [("two_more", "no"), ("today.sets", 2), ("blade", "yes")]
ANSWERS = st.builds(
    lambda said, done: Answers(answer=dict(said), repetitions=done),
    st.lists(st.sampled_from(SAID), max_size=3),
    st.dictionaries(st.sampled_from("123"), st.integers(1, 7), max_size=1),
)


def without_times(entries: tuple[Entry, ...]) -> list[dict[str, Any]]:
    """What the entries say, but for when, and for what was decided at the end."""
    return [one.model_dump(exclude={"at", "decision"}) for one in entries]


def standing(plan: Plan, before: dict[str, Any]) -> Plan:
    """The plan of a client who stands elsewhere, with easier and heavier steps beside theirs."""
    stood = Progress.model_validate({**plan.before.model_dump(), **before})
    return replace(plan, before=stood, step=plan.ladder.steps[len(plan.ladder.steps) // 2])


@settings(max_examples=60)
@given(sessions=st.lists(st.tuples(BEFORE, ANSWERS, st.integers(0, 40)), min_size=2, max_size=8))
def test_a_cached_session_equals_one_rehearsed_in_full(
    sessions: list[tuple[dict[str, Any], Answers, int]],
) -> None:
    plan, cache = plan_of("tern"), SessionCache()
    for before, answers, days in sessions * 2:  # the second time round each is known
        here, at = standing(plan, before), START + timedelta(days=days)
        quick, (whole, ended) = cache.rehearse(here, answers, at), rehearse(here, answers, at)
        assert without_times(quick.entry) == without_times(whole.entry)
        assert quick.model_copy(update={"entry": ()}) == whole.model_copy(update={"entry": ()})
        judged = advance(here.before, quick, here.book)
        assert judged.decision == ended.decision
        assert judged.after == advance(here.before, whole, here.book).after


def test_a_life_is_the_same_whether_or_not_its_sessions_were_known() -> None:
    plan, known, rules = plan_of("tern"), SessionCache(), set[str]()
    for seed in range(3):
        assumed = VirtualClient.assumed(plan.step.mean_nm * 1.6, 1.0, plan.limits)
        client = replace(assumed, unsettled=0.1, missed=0.1 * seed)
        quick, whole = (
            list(simulate_sessions(plan, client, 8, Random(seed).random, START, way)) for way in (known, Whole())
        )
        assert quick == whole
        rules |= {one.rule for one in whole}
    assert {"not_settled", "unclean", "repetitions_up", "otherwise"} <= rules


@settings(max_examples=80)
@given(before=BEFORE, other=BEFORE, answers=ANSWERS)
def test_the_rules_of_a_set_look_at_nothing_before_the_session(
    before: dict[str, Any], other: dict[str, Any], answers: Answers
) -> None:
    plan = plan_of("tern")
    record, _ = rehearse(standing(plan, before), answers, START)
    for number, name in ((number, name) for number in (1, 2, 3) for name in SET_CONDITIONS):
        stood = [standing(plan, one).before for one in (before, other)]
        found = [CONDITIONS[name](extract_facts(one, record, plan.book, "set", number)) for one in stood]
        assert found[0] == found[1]


@settings(max_examples=60)
@given(before=BEFORE, answers=ANSWERS)
def test_entries_summed_up_one_by_one_equal_those_summed_up_at_once(before: dict[str, Any], answers: Answers) -> None:
    record, _ = rehearse(standing(plan_of("tern"), before), answers, START)
    read = Record.model_validate(record.model_dump())
    kept_up = (record.answers, record.sets_done, record.current_rungs, record.programme_rungs, record.other_band)
    assert kept_up == (read.answers, read.sets_done, read.current_rungs, read.programme_rungs, read.other_band)
    assert record.answers == {one.step: one.value for one in record.entry if isinstance(one, Answered)}
    assert record == read
    assert record.model_copy(update={"entry": ()}).answers == {}
    assert isinstance(record.entry[-1], Ended)

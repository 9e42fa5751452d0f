"""The key presses of a clean session of three sets, counted in the script itself."""

from collections import Counter
from dataclasses import replace
from datetime import timedelta

import pytest

from coach.model import step_names
from coach.screens.client.key_bindings import active_bindings
from coach.session.plan import Plan, open_record, script_of
from coach.session.script import Ask, SetupAgain, Show, is_due
from tests.clocks import START
from tests.plans import plan_of

_PAIN = (
    *(step_names.within_group(name) for name in (step_names.PAIN_NOW, step_names.MORNING_AFTER)),
    step_names.PAIN,
)


def presses(plan: Plan) -> Counter[str]:
    """One press for a page that is read or a question, by what it is for. Time ends the sets and the rests."""
    record = open_record(plan, START)
    counted: Counter[str] = Counter()
    for step in script_of(plan, record).steps:
        if not is_due(step, record):
            continue
        if isinstance(step, Show | SetupAgain):
            counted["pages to read"] += 1
        elif isinstance(step, Ask) and step.question in _PAIN:
            counted["pain"] += 1
        elif isinstance(step, Ask) and step.name == step_names.SIGN:
            counted["warning signs"] += 1
        elif isinstance(step, Ask) and step.group == step_names.CHECK:
            counted["equipment and setup"] += 1
        elif isinstance(step, Ask):
            counted["form and effort" if step.set_number else "activities"] += 1
    return counted


def walks(plan: Plan) -> list[str]:
    """The places that the client is sent to before the first set, in order."""
    checks, found = plan.content.checks, list[str]()
    for step in script_of(plan, open_record(plan, START)).steps:
        if isinstance(step, Ask) and step.group == step_names.CHECK:
            where = checks[step.question].where
            if found[-1:] != [where]:
                found.append(where)
    return found


@pytest.mark.parametrize("later", [False, True])
def test_presses_of_a_session(later: bool, capsys: pytest.CaptureFixture[str]) -> None:
    """Pain, warning signs and equipment are asked in full always; of the rest at most twenty."""
    plan = plan_of("tern")
    if later:
        plan = replace(plan, before=plan.before.model_copy(update={"last_session": START - timedelta(days=2)}))
    counted = presses(plan)
    always = counted["pain"] + counted["warning signs"] + counted["equipment and setup"]
    with capsys.disabled():
        print(
            f"\n{'a later' if later else 'a first'} session: {counted.total()} presses, {always} of them asked always"
        )
        for what, count in counted.items():
            print(f"  {count:>3}  {what}")
    assert counted.total() - always <= 20


def test_the_checks_of_one_place_are_asked_together() -> None:
    """One walk to the anchor and one to the mark do for all of them."""
    assert walks(plan_of("tern")) == ["anchor", "mark"]


def test_the_footer_stays_within_five_keys() -> None:
    from tests.journeys.test_every_stop import moments

    assert max(len(active_bindings(state)) for state in moments().values()) <= 5

"""The key presses of a clean session of three sets, counted in the script itself."""

from collections import Counter
from datetime import timedelta

import pytest
from msgspec.structs import replace

from coach.model import step_names
from coach.model.progress import Rating
from coach.screens.client.key_bindings import active_bindings
from coach.session.plan import Plan, open_record, script_of
from coach.session.script import Ask, SetupAgain, Show, Step, Teach, Trial, is_due
from tests.clocks import START
from tests.plans import plan_of, shipped

# What is asked in full always: pain and what can mask it, warning signs, and the equipment.
ALWAYS = ("pain", "warning signs", "equipment and setup")
_PAIN = (step_names.PAIN_NOW, step_names.SETTLED, step_names.RELIEF, step_names.GAP)


def presses(plan: Plan) -> Counter[str]:
    """The presses of a clean session, by what they are for. Time ends the sets and the rests."""
    record = open_record(plan, START)
    counted: Counter[str] = Counter()
    for step in script_of(plan, record).steps[:-1]:  # the end is only read
        if is_due(step, record):
            counted[_purpose(step)] += 3 if isinstance(step, Trial) else step_presses(step)
    return counted


def step_presses(step: Step) -> int:
    """One press for a page that is read or a question."""
    return int(isinstance(step, Show | SetupAgain | Teach | Ask))


def _purpose(step: Step) -> str:
    if isinstance(step, Teach):
        return "lessons"
    if isinstance(step, Trial):
        return "own tempo: start, end, and its result"
    if not isinstance(step, Ask):
        return "pages to read"
    if step.name in _PAIN or step.question == step_names.PAIN:
        return "pain"
    if step.name == step_names.SIGN:
        return "warning signs"
    if step.group == step_names.CHECK:
        return "equipment and setup"
    if not step.set_number:
        return "own activities"
    return "form" if step.scale == "how_often" else "effort and reserve"


def walks(plan: Plan) -> list[str]:
    """The places that the client is sent to before the first set, in order."""
    checks, found = plan.content.checks, list[str]()
    for step in script_of(plan, open_record(plan, START)).steps:
        if isinstance(step, Ask) and step.group == step_names.CHECK and not step.before_set:
            where = checks[step.question].where
            if found[-1:] != [where]:
                found.append(where)
    return found


def _session(name: str, kind: str) -> Plan:
    plan = plan_of(name)
    update: dict[str, object] = {"taught": {}, "form_asked": {}} if kind == "first" else {"trial_ago": 0}
    if kind != "first":
        update["last_session"] = START - timedelta(days=2)
        update["ratings"] = (Rating(on=START.date() - timedelta(days=2), mean=5.0),)
    if kind == "with own tempo":
        update["trial_ago"] = 3
    return replace(plan, before=plan.before.model_copy(update=update))


@pytest.mark.parametrize(("kind", "most"), [("first", 20), ("later", 16), ("with own tempo", 16)])
@pytest.mark.parametrize("name", ["tern", "avocet"])
def test_presses_of_a_clean_session_of_three_sets(
    name: str, kind: str, most: int, capsys: pytest.CaptureFixture[str]
) -> None:
    """Pain, warning signs and equipment are asked in full always; the client's own activities every second week."""
    plan = _session(name, kind)
    assert plan.prescription.dose.sets == 3
    counted = presses(plan)
    rest = {what: count for what, count in counted.items() if what not in ALWAYS and count}
    with capsys.disabled():
        print(f"\n{name}, {kind}: {sum(rest.values())} presses of at most {most}, and {counted.total()} in all")
        for what, count in counted.items():
            print(f"  {count:>3}  {what}{' (always)' if what in ALWAYS else ''}")
    assert sum(rest.values()) <= most


def test_no_more_than_two_walks_from_the_mark_to_the_keyboard_before_the_first_set(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """For each kind of anchor: to the anchor and back, then to the mark and back."""
    found: dict[str, list[str]] = {name: walks(plan_of(name)) for name in ("tern", "avocet", "heron", "plover")}
    foot = shipped().exercise("raise").positions[0]
    on_foot = list(dict.fromkeys(shipped().checks[name].where for name in foot.checks))
    with capsys.disabled():
        print("\n" + "\n".join(f"{name}: {' and '.join(places)}" for name, places in found.items()))
        print(f"standing on the band: {' and '.join(on_foot)}")
    assert max(len(places) for places in [*found.values(), [str(place) for place in on_foot]]) <= 2


def test_the_checks_of_one_place_are_asked_together() -> None:
    """One walk to the anchor and one to the mark do for all of them."""
    assert walks(plan_of("tern")) == ["anchor", "mark"]


def test_the_footer_stays_within_five_keys() -> None:
    from tests.journeys.test_every_stop import moments

    assert max(len(active_bindings(state)) for state in moments().values()) <= 5

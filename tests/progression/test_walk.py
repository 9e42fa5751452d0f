"""What must hold for every class of state and every class of answers: walked, not hoped.

There are 18 pairs of a load step and a goal with a way on, 1,120 classes of state in each, 3,916 classes of answers:
78,946,560 together. The walk of the test run takes every 3761st, in which each class of state and of answers is met;
WALK in the environment is another stride, and WALK=1 walks them all.
"""

import os
from itertools import islice, product
from math import gcd

import pytest

from coach.model.progress import Progress
from coach.progression.state_machine import JudgedRecord, advance
from tests.progression.records import DOSE, STEPS, book
from tests.progression.walk import GOALS, GOES_ON, LOADS, Class, answers, states

# Coprime to the numbers of classes, so that the walk comes through all of both.
_EVERY = int(os.environ.get("WALK", "3761"))
_RISE_MAX = 1.10  # ACSM position stand, Med Sci Sports Exerc 2009;41(3):687-708 (abstract)


def check(before: Progress, given: Class, judged: JudgedRecord) -> None:
    """Every property of the design for one step."""
    decision, after, step = judged.decision, judged.after, given.record.rungs.step
    at = given.record.rungs
    assert not given.bad or decision.move != "progress"
    if before.injection_on is not None or before.repaired_on is not None:
        assert decision.move != "progress", "masked pain, and an operation without permission, never lead to a rise"
    assert not before.frozen or decision.load.mean_nm <= step.mean_nm
    assert decision.load in {at.step, at.easier, at.next_step}, "never further than the neighbouring step"
    assert decision.repetitions <= DOSE.repetitions_max
    if decision.load.mean_nm > step.mean_nm:
        assert (decision.move, decision.rule) == ("progress", "load_up")
        assert decision.load == at.next_step
        assert decision.load.mean_nm <= step.mean_nm * _RISE_MAX
        assert decision.repetitions <= given.record.repetitions, "never two variables up at once"
    if decision.repetitions > given.record.repetitions:
        assert (decision.move, decision.variable, decision.load) == ("progress", "repetitions", step)
    assert after.position == before.position, "never a position without its unlock"
    assert before.status != "review" or after.status == "review", "only the therapist ends a review"
    if given.names[3].startswith("a sign"):
        assert (decision.move, after.status) == ("stop", "review")
    if given.names[5] == "an event" and not given.names[3].startswith("a sign"):
        assert (decision.move, after.status) == ("stop", "review")
    if given.over and before.pain_stops:
        assert after.status == "review", "a second stop for pain is looked at"
    if given.over:
        assert decision.move == "stop"
        assert decision.load.mean_nm <= step.mean_nm
    assert decision.reason
    assert "{" not in decision.reason, "every place of the sentence is filled"
    assert decision.source
    assert (decision.variable is None) == ((decision.load, decision.repetitions) == (step, given.record.repetitions))


PAIRS = list(product(LOADS, GOALS, GOES_ON))


@pytest.mark.parametrize("pair", range(len(PAIRS)))
def test_every_state_with_every_answer(pair: int) -> None:
    """The stride goes on from one pair to the next, as in one long walk."""
    load, goal, goes_on = PAIRS[pair]
    given, stood = list(answers(load, goal, **goes_on)), list(states(load, goal))
    every = len(given) * len(stood)
    walked = 0
    for before, one in islice(product(stood, given), -pair * every % _EVERY, None, _EVERY):
        check(before, one, advance(before, one.record, book()))
        walked += 1
    assert walked >= every // _EVERY


def test_the_classes_are_as_many_as_said_and_all_met_by_the_shorter_walk() -> None:
    """A stride that shares no factor with the number of answers comes to each of them in turn."""
    given, stood = len(list(answers(0, 8))), len(list(states(0, 8)))
    assert (given, stood, len(PAIRS)) == (3916, 1120, 18)
    assert gcd(3761, given) == 1
    assert 3761 < given <= len(PAIRS) * given * stood // 3761


def test_from_every_state_some_answers_lead_on() -> None:
    """Clean sessions lead to more repetitions, more load, the therapist or the end, unless a word forbids."""
    for load, goal, goes_on in product(LOADS, GOALS, GOES_ON):
        clean = next(one for one in answers(load, goal, **goes_on) if not one.bad)
        for before in states(load, goal):
            barred = before.frozen or before.repaired_on or before.position_cap or before.injection_on
            if barred or before.status == "review":
                continue
            progress, led = before, False
            for number in range(1, 25):
                at = clean.record.started.replace(month=4, day=1 + number)
                made = clean.record.model_copy(update={"started": at, "repetitions": progress.repetitions})
                sets = tuple(
                    entry.model_copy(update={"repetitions": progress.repetitions}) if entry.kind == "set" else entry
                    for entry in made.entry
                )
                judged = advance(progress, made.model_copy(update={"entry": sets}), book())
                led = judged.decision.move == "progress" or judged.after.status in ("review", "complete")
                if led:
                    break
                progress = judged.after
                if judged.decision.load != STEPS[load]:
                    led = True  # a step down first; from there the walk of that step counts
                    break
            assert led, before

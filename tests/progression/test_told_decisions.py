"""An upgrade or an edit of the rules never moves a client: the fold takes the decisions that were told."""

import os
from random import Random
from typing import Any

import pytest
from msgspec.structs import replace

from coach.model.content import Content
from coach.model.record import Ended, Record
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import advance, fold, initial_progress
from tests.progression.records import DOSE, STEPS, book, prescription, session
from tests.progression.walk import DONE, FORM, NAMED, PAIN, SINCE, TWO_MORE

HISTORIES = int(os.environ.get("UPGRADES", "40"))  # UPGRADES=500 in a long run


def history(seed: int, sessions: int = 20) -> list[Record]:
    """Sessions of every kind, each closed with the decision that its client was told."""
    chance, progress, records = Random(seed), initial_progress(prescription()), list[Record]()
    load, day = chance.randrange(len(STEPS)), 0
    for _ in range(sessions):
        day += chance.choice((1, 2, 2, 3, 16))
        given: dict[str, Any] = {
            **SINCE[chance.choice(("settled", "settled", *SINCE))],
            **FORM[chance.choice(("clean", "clean", *FORM))],
            **PAIN[chance.choice(("none", "none", *PAIN))],
            **NAMED[chance.choice(("nothing", "nothing", "nothing", *NAMED))],
            "two_more": chance.choice(("yes", *TWO_MORE)),
        }
        last, goal = DONE[chance.choice(("all", "all", *DONE))], progress.repetitions
        sets = [goal] * 3 if last is None else [goal] * last if last >= 0 else [goal, goal, max(goal + last, 3)]
        made = session(days=day, goal=goal, load=load, done=sets, given=given)
        judged = advance(progress, made, book())
        ended = Ended(at=made.last_at, how="finished", decision=judged.decision)
        records.append(made.with_entry(ended))
        progress = judged.after.model_copy(update={"status": "active"})
        load, goal = STEPS.index(judged.decision.load), progress.repetitions
    return records


def other_rules(seed: int) -> Content:
    """The content after an upgrade: every limit at one of its bounds, and half of the holding rules gone."""
    chance, content = Random(seed), book().content
    limits = tuple(one.model_copy(update={"value": chance.choice((one.low, one.high))}) for one in content.limits)
    rules = tuple(
        rule for rule in content.rules if rule.then != "hold" or chance.random() < 0.5 or rule.name == "otherwise"
    )
    return replace(content, limits=limits, rules=rules)


def stands(records: list[Record], rules: RuleBook) -> tuple[object, ...]:
    """Where the client stands, as a setup."""
    progress = fold(prescription(), records, rules)[0]
    load = progress.load
    setup = None if load is None else (load.grade, load.strands, load.distance_cm)
    return progress.position, setup, progress.repetitions


@pytest.mark.parametrize("seed", range(HISTORIES))
def test_nobody_stands_on_another_setup_after_an_upgrade(seed: int) -> None:
    records = history(seed)
    assert stands(records, RuleBook(other_rules(seed))) == stands(records, book())
    last = records[-1].ended
    assert last is not None
    assert stands(records, book())[2] == last.decision.repetitions


def test_a_review_outlasts_a_decision_that_was_told_without_it() -> None:
    """Two devices: one session ended in review, the next was begun on the other before that was known."""
    sign = session(days=1, given={"sign": "lump"}, done=())
    judged = advance(initial_progress(prescription()), sign, book())
    first = sign.with_entry(Ended(at=sign.last_at, how="stopped", decision=judged.decision))
    clean = session(days=2, goal=DOSE.repetitions_min)
    told = advance(initial_progress(prescription()), clean, book()).decision
    second = clean.with_entry(Ended(at=clean.last_at, how="finished", decision=told))
    assert told.status == "active"
    assert fold(prescription(), [first, second], book())[0].status == "review"


def test_a_rule_that_is_no_more_still_counts_as_told() -> None:
    clean = session(goal=DOSE.repetitions_min)
    told = advance(initial_progress(prescription()), clean, book()).decision.model_copy(update={"rule": "of_old"})
    closed = clean.with_entry(Ended(at=clean.last_at, how="finished", decision=told))
    progress, judged = fold(prescription(), [closed], book())
    assert judged[0].decision.rule == "of_old"
    assert progress.repetitions == told.repetitions


def test_a_region_that_becomes_a_sign_moves_nobody() -> None:
    """Pain was told in the upper arm and the session went on; later that region counts as a warning sign."""
    told: dict[str, Any] = {"set_1.trouble": "ache", "set_1.trouble_where": "upper_arm", "set_1.trouble_pain": 1}
    made = session(goal=DOSE.repetitions_min, given=told)
    decision = advance(initial_progress(prescription()), made, book()).decision
    closed = made.with_entry(Ended(at=made.last_at, how="finished", decision=decision))
    content = book().content
    region = content.regions["upper_arm"].model_copy(update={"sign": "lump"})
    later = RuleBook(replace(content, regions={**content.regions, "upper_arm": region}))
    assert advance(initial_progress(prescription()), made, later).decision.rule == "warning_sign"
    progress, judged = fold(prescription(), [closed], later)
    assert (progress.status, judged[0].decision) == ("active", decision)
    assert stands([closed], later) == stands([closed], book())

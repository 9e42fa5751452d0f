"""What counts when several computers write: by what each had seen, never by a clock."""

import random
from datetime import timedelta
from typing import Any

import pytest

from coach.model.instruction import Instruction
from coach.model.option_names import InstructionKind
from coach.model.programme.written import Written
from coach.model.progress import PendingInstruction, Progress
from coach.model.record import Record
from coach.progression.programme.causal_order import place, releases
from coach.progression.state_machine import fold
from tests.progression.records import START, STEPS, book, instruction, prescription, session

HOME, PHONE, CLINIC, BRANCH = "hearthaa", "phonebbb", "cliniccc", "branchdd"
SIGN: Any = {"given": {"sign": "gave_way"}, "done": ()}


def done(writer: str, number: int, seen: dict[str, int] | None = None, **what: Any) -> Record:
    """A session that a computer wrote, which had seen these."""
    return session(**what).model_copy(update={"written": Written(writer=writer, number=number, seen=seen or {})})


def signed(
    what: InstructionKind, writer: str, number: int, seen: dict[str, int] | None = None, days: float = 0, **said: Any
) -> Instruction:
    """An instruction that a computer wrote, which had seen these."""
    one = instruction(what, days, **said)
    return one.model_copy(update={"written": Written(writer=writer, number=number, seen=seen or {})})


def stands(records: list[Record], *instructions: Instruction) -> Progress:
    """Where the client stands; the same in whatever order the files are read."""
    found = [
        fold(prescription(sign_offs=tuple(instructions[::step])), records[::step], book())[0] for step in (1, -1)
    ]
    assert found[0] == found[1]
    return found[0]


def test_a_sign_at_home_is_not_ended_by_a_review_that_was_ended_before_it_was_known() -> None:
    """The clinic signs two minutes later by its clock, and had not seen it."""
    stopped = done(HOME, 1, **SIGN)
    blind = signed("end_review", CLINIC, 1, days=1)
    progress = stands([stopped], blind)
    assert (progress.status, progress.pending) == ("review", (PendingInstruction(at=blind.at, what="end_review"),))
    assert stands([stopped], signed("end_review", CLINIC, 1, {HOME: 1}, days=-1)).status == "active"


def test_who_saw_a_later_session_of_another_computer_did_not_see_the_sign() -> None:
    """One head for all would say that it had: the sign is of 10:00, the session that was seen of 10:05."""
    stopped, clean = done(HOME, 1, **SIGN), done(PHONE, 1, days=0.01)
    release = signed("end_review", CLINIC, 1, {PHONE: 1}, days=0.02)
    assert stands([stopped, clean], release).status == "review"
    assert stands([stopped, clean], signed("end_review", CLINIC, 1, {PHONE: 1, HOME: 1})).status == "active"


def test_nobody_is_sent_up_who_has_just_stopped() -> None:
    """A heavier load is signed in the clinic while a session at home is stopped for pain."""
    stopped = done(HOME, 1, given={"pain": 8})
    heavier = signed("overrule", CLINIC, 1, days=1, load={"grade": "knotted", "strands": 1, "distance_cm": 90})
    progress = stands([stopped], heavier)
    assert (progress.asked, progress.pending) == (None, (PendingInstruction(at=heavier.at, what="overrule"),))
    knowing = signed("overrule", CLINIC, 1, {HOME: 1}, load={"grade": "knotted", "strands": 1, "distance_cm": 90})
    assert stands([stopped], knowing).asked is not None


def test_a_cap_of_one_clinic_is_not_lifted_by_another_that_did_not_know_it() -> None:
    capped = signed("cap_position", CLINIC, 1, position="0")
    lifted, cleared = signed("lift_caps", BRANCH, 1), signed("unlock_position", BRANCH, 2, position="45")
    progress = stands([], capped, lifted, cleared)
    assert (progress.position_cap, progress.position) == ("0", "0")
    assert [one.what for one in progress.pending] == ["lift_caps", "unlock_position"]
    again = signed("lift_caps", BRANCH, 3, {CLINIC: 1}, days=1)
    now = stands([], capped, lifted, cleared, again)
    assert (now.position_cap, [one.what for one in now.pending]) == (None, ["unlock_position"])


def test_an_instruction_that_was_not_known_is_not_swallowed_by_a_session() -> None:
    """The load is frozen and made lighter in the clinic; a session at home that ends later knew neither."""
    lighter = signed("overrule", CLINIC, 1, load={"grade": "knotted", "strands": 1, "distance_cm": 60})
    lighter = lighter.model_copy(update={"lighter": True})
    clean = done(HOME, 1, days=1)
    asked = stands([clean], lighter).asked
    assert asked is not None
    assert asked.distance_cm == 60
    assert stands([clean], signed("freeze_load", CLINIC, 1)).frozen


def test_sessions_that_did_not_know_of_each_other_make_no_streak() -> None:
    ready: Any = {"goal": 15, "done": (15, 15, 15)}
    together = [done(HOME, 1, days=30, **ready), done(PHONE, 1, {HOME: 1}, days=32, **ready)]
    apart = [done(HOME, 1, days=30, **ready), done(PHONE, 1, days=32, **ready)]
    assert stands(together).ready_sessions == 2
    assert stands(apart).ready_sessions == 1


def test_of_two_sessions_that_did_not_know_of_each_other_the_lighter_load_counts() -> None:
    eased = done(HOME, 1, days=1, given={"pain": 8}, load=3)
    held = done(PHONE, 1, days=2, load=3)
    load = stands([eased, held]).load
    assert load is not None
    assert load.mean_nm < STEPS[3].mean_nm


def test_what_is_taken_back_without_having_been_known_stays() -> None:
    frozen = signed("freeze_load", CLINIC, 1)
    blind = signed("take_back", BRANCH, 1, days=1, signed_at=frozen.at)
    knowing = signed("take_back", BRANCH, 1, {CLINIC: 1}, days=1, signed_at=frozen.at)
    assert stands([], frozen, blind).frozen
    assert not stands([], frozen, knowing).frozen
    under_it = done(HOME, 1, {CLINIC: 1})
    assert stands([under_it], frozen, knowing).frozen


def test_everything_from_before_is_known_to_everybody() -> None:
    before, after = session(days=3), done(HOME, 1, days=0)
    assert [one.event for one in place([after, before], (), book())] == [before, after]
    assert stands([session(days=3, **SIGN)], signed("end_review", CLINIC, 1, days=0)).status == "active"


def test_clocks_do_not_decide() -> None:
    """A session of the year 2036 by a wrong clock comes before the one that knew it."""
    wrong, right = done(HOME, 1, days=3650), done(HOME, 2, days=1)
    assert [one.event for one in place([right, wrong], (), book())] == [wrong, right]


def test_things_that_say_to_have_known_each_other_are_not_lost() -> None:
    one, other = done(HOME, 1, {PHONE: 1}), done(PHONE, 1, {HOME: 1})
    assert len(place([one, other], (), book())) == 2


@pytest.mark.parametrize("seed", range(30))
def test_everything_comes_after_all_that_it_knew(seed: int) -> None:
    """Computers that write and copy from each other at random, whatever their clocks say."""
    draw = random.Random(seed)
    writers = (HOME, PHONE, CLINIC, BRANCH)
    has: dict[str, list[Record | Instruction]] = {name: [] for name in writers}
    every: list[Record | Instruction] = []
    for _ in range(40):
        writer, other = draw.sample(writers, 2)
        if draw.random() < 0.5:
            has[writer] += [one for one in has[other] if one not in has[writer]]
            continue
        seen: dict[str, int] = {}
        for one in has[writer]:
            assert one.written is not None
            seen[one.written.writer] = max(seen.get(one.written.writer, 0), one.written.number)
        number, days = seen.pop(writer, 0) + 1, draw.uniform(-900, 900)
        at_home = writer in (HOME, PHONE)
        new = done(writer, number, seen, days=days) if at_home else signed("end_review", writer, number, seen, days)
        has[writer].append(new)
        every.append(new)
    draw.shuffle(every)
    records = [one for one in every if isinstance(one, Record)]
    placed = [one.event for one in place(records, [one for one in every if isinstance(one, Instruction)], book())]
    assert len(placed) == len(every)
    for index, one in enumerate(placed):
        for later in placed[index + 1 :]:
            assert one.written is not None
            assert later.written is not None
            assert not one.written.knew(later.written)


def test_a_repair_noted_elsewhere_keeps_what_was_allowed_without_knowing_it_waiting() -> None:
    day = START.date() - timedelta(days=3)
    changed = [{"key": "repaired_on", "now": day.isoformat()}]
    for writer in (CLINIC, "aaaclini"):  # whichever of the two comes first
        repair = signed("change", BRANCH, 1, changed=changed)
        blind = signed("allow_strengthening", writer, 1, days=1)
        assert not stands([done(HOME, 1)], repair, blind).strengthening_allowed
        knew = signed("allow_strengthening", writer, 2, {BRANCH: 1}, days=2)
        assert stands([done(HOME, 1)], repair, blind, knew).strengthening_allowed


def test_each_kind_restricts_releases_or_neither() -> None:
    kinds = {kind: releases(_any_of(kind)) for kind in ("freeze_load", "cap_range", "cap_position", "change")}
    assert not any(kinds.values())
    assert releases(_any_of("end_review"))
    assert releases(_any_of("lift_caps"))
    assert releases(_any_of("allow_strengthening"))
    assert not releases(_any_of("correct_date"))


def _any_of(kind: Any) -> Instruction:
    return Instruction.model_construct(at=START + timedelta(days=1), initials="AB", what=kind, reason="seen")

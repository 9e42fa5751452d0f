"""Random long lives: sessions of every kind, instructions of the therapist, gaps and clock changes, in any order."""

from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from coach.model.instruction import Instruction
from coach.model.record import Record
from coach.progression.apply_instructions import apply_instruction
from coach.progression.state_machine import JudgedRecord, advance, fold, initial_progress
from tests.progression.records import DOSE, STEPS, book, instruction, prescription, session
from tests.progression.walk import DONE, FORM, NAMED, PAIN, TWO_MORE

_POSITIONS = ("0", "45")
_RISE_MAX = 1.10  # ACSM position stand, Med Sci Sports Exerc 2009;41(3):687-708 (abstract)


class LongLife(RuleBasedStateMachine):
    """One client: where they stand is kept step by step, and must be what the fold of everything says."""

    def __init__(self) -> None:
        super().__init__()
        self.progress = initial_progress(prescription(positions=_POSITIONS))
        self.records: list[Record] = []
        self.signed: list[Instruction] = []
        self.days = 0.0
        self.unlocked = {"0"}
        self.last: JudgedRecord | None = None

    @initialize(load=st.integers(0, 9))
    def begin(self, load: int) -> None:
        self.first = load

    @rule(
        gap=st.sampled_from((0.1, 1, 2, 2, 2, 3, 16)),
        form=st.sampled_from(("clean", "clean", "clean", *FORM)),
        done=st.sampled_from(("all", "all", "all", *DONE)),
        pain=st.sampled_from(("none", "none", "none", *PAIN)),
        named=st.sampled_from(("nothing", "nothing", "nothing", "nothing", *NAMED)),
        two_more=st.sampled_from(TWO_MORE),
    )
    def a_session(self, gap: float, form: str, done: str, pain: str, named: str, two_more: str) -> None:
        self.days += gap
        load = self.first if self.progress.load is None else STEPS.index(self.progress.load)
        goal, last = self.progress.repetitions, DONE[done]
        sets = [goal] * 3 if last is None else [goal] * last if last >= 0 else [goal, goal, max(goal + last, 3)]
        given: dict[str, Any] = {**FORM[form], **PAIN[pain], **NAMED[named], "two_more": two_more}
        here = self.progress.position
        made = session(
            days=self.days, goal=goal, load=load, done=sets, given=given, position=here, positions=_POSITIONS
        )
        self.records.append(made)
        self.last = advance(self.progress, made, book())
        before, self.progress = self.progress, self.last.after
        decision = self.last.decision
        assert decision.load.mean_nm <= STEPS[load].mean_nm * _RISE_MAX
        assert before.status != "review" or self.progress.status == "review"
        bad = form != "clean" or done != "all" or "over" in pain or pain == "not said" or named != "nothing"
        assert not bad or decision.move != "progress"

    @precondition(lambda self: self.progress.status == "review")
    @rule(unlock=st.booleans())
    def the_therapist_looks(self, unlock: bool) -> None:
        self.days += 0.5
        suggested = self.progress.decision is not None and self.progress.decision.rule == "position_ready"
        if unlock:
            self.unlocked |= {"45"}
            self._say(instruction("unlock_position", self.days, position="45"))
            assert (self.progress.status == "active") == suggested
        if self.progress.status == "review":
            self.days += 0.1
            self._say(instruction("end_review", self.days))
        assert self.progress.status == "active"

    @rule(what=st.sampled_from(("freeze_load", "lift_freeze", "overrule")), repetitions=st.integers(8, 15))
    def the_therapist_says(self, what: Any, repetitions: int) -> None:
        self.days += 0.5
        before = self.progress.status
        self._say(instruction(what, self.days, **({"repetitions": repetitions} if what == "overrule" else {})))
        assert self.progress.status == before

    @rule(what=st.sampled_from(("freeze_load", "end_review", "overrule", "unlock_position", "cap_range")))
    def the_therapist_thinks_again(self, what: Any) -> None:
        """A word taken back before the next session leaves nothing behind."""
        said: dict[str, dict[str, Any]] = {
            "overrule": {"repetitions": 9},
            "unlock_position": {"position": "45"},
            "cap_range": {"position": "0", "available_deg": 30.0},
        }
        self.days += 0.5
        one = instruction(what, self.days, **said.get(what, {}))
        self.signed += [one, instruction("take_back", self.days + 0.1, signed_at=one.at)]
        self.days += 0.5

    def _say(self, one: Instruction) -> None:
        self.signed.append(one)
        self.progress = apply_instruction(self.progress, one, prescription(positions=_POSITIONS), book())

    @invariant()
    def within_the_bounds(self) -> None:
        assert DOSE.repetitions_min <= self.progress.repetitions <= DOSE.repetitions_max
        assert self.progress.position in self.unlocked
        assert self.progress.load is None or self.progress.load in STEPS

    def teardown(self) -> None:
        """The fold of all records and words, in whatever order they are given, is where the client stands."""
        signed = prescription(positions=_POSITIONS, sign_offs=tuple(reversed(self.signed)))
        assert fold(signed, reversed(self.records), book())[0] == self.progress


LongLife.TestCase.settings = settings(
    max_examples=20, stateful_step_count=40, suppress_health_check=[HealthCheck.too_slow]
)
TestLongLife = LongLife.TestCase

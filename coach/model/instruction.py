"""Instructions that the therapist signs after the prescription: one at a time, dated, with a reason."""

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Literal

from coach.frozen import AwareDatetime, Bounds, Field, check, form
from coach.model.base import POSITION_KEY, Frozen, Initials, Line, Lines, Name, PositionNameOnly, Repetitions
from coach.model.condition import Apprehension, Finding, KnownCondition
from coach.model.load_step import ChosenStep
from coach.model.option_names import InstructionKind
from coach.model.programme.written import Written

# The keys of the prescription that an instruction may change; the others are fixed once the client is taken on.
CHANGEABLE = (
    "exercise",
    "dose",
    "limits",
    "setups",
    "bands",
    "positions",
    "targets",
    "doses",
    "goal",
    "activities",
    "repaired_on",
    "bad_day",
    "measured_holds",
)
WITH_THE_EXERCISE = ("first_step", "setups", "doses", "targets")
"""The keys that belong to an exercise and are taken out with it, where an instruction sets another one."""
# Instructions for one exercise of a programme; the others are for all of them.
OF_ONE_EXERCISE: frozenset[InstructionKind] = frozenset(
    {"unlock_position", "overrule", "freeze_load", "lift_freeze", "cap_range", "cap_position", "lift_caps", "change"}
)
OF_EVERY_EXERCISE: frozenset[InstructionKind] = frozenset(
    {"begin_review", "end_review", "allow_strengthening", "know_night_pain"}
)
# The fields that an instruction of each kind must have, and those that it may have.
_REQUIRED: Mapping[InstructionKind, frozenset[str]] = {
    "unlock_position": frozenset({"position"}),
    "cap_range": frozenset({"position", "available_deg"}),
    "cap_position": frozenset({"position"}),
    "change": frozenset({"changed"}),
    "take_back": frozenset({"signed_at"}),
    "correct_date": frozenset({"right_at"}),
}
_OPTIONAL: Mapping[InstructionKind, frozenset[str]] = {
    "overrule": frozenset({"load", "repetitions"}),
    "freeze_load": frozenset({"until"}),
    "correct_date": frozenset({"record", "wrong_at"}),
    "unlock_position": frozenset({"apprehension", "despite", "conditions"}),
    "allow_strengthening": frozenset({"conditions"}),
}
OPPOSITES: Mapping[InstructionKind, InstructionKind] = {
    **dict.fromkeys(("end_review", "allow_strengthening", "know_night_pain"), "begin_review"),
    **dict.fromkeys(("cap_range", "cap_position"), "lift_caps"),
    "begin_review": "end_review",
    "freeze_load": "lift_freeze",
    "lift_freeze": "freeze_load",
    "unlock_position": "cap_position",
}
"""What is signed where an instruction cannot be taken back any more; of the others, one of the same kind."""
OPENS_CONDITIONS: frozenset[InstructionKind] = frozenset({"allow_strengthening", "unlock_position"})
"""What opens something that a condition closes: whoever signs it says which conditions they knew."""
_FIELDS = frozenset[str]().union(*_REQUIRED.values(), *_OPTIONAL.values())


class Change(Frozen):
    """One value of the prescription before and after an instruction changed it, as TOML; None where there is none."""

    key: Annotated[str, form(r"^[a-z0-9_]+(?:\.[a-z0-9_]+)*$", max_length=100)]
    was: Lines | None = Field(default=None, description="the value before, as TOML")
    now: Lines | None = Field(default=None, description="the value after, as TOML")

    @check
    def _key_is_changeable(self) -> None:
        first = self.key.partition(".")[0]
        if first not in (*CHANGEABLE, *WITH_THE_EXERCISE):
            raise ValueError(f"key {first} is not changed by an instruction; one of {', '.join(CHANGEABLE)} is")


class Instruction(Frozen):
    """One instruction that the therapist signed after the prescription, with a reason."""

    at: AwareDatetime = Field(description="when it was signed, with the offset from UTC")
    initials: Initials = Field(description="who signed")
    what: InstructionKind = Field(description="the kind of instruction")
    position: Annotated[PositionNameOnly | None, POSITION_KEY] = Field(
        default=None, description="the position that it applies to, if it applies to one"
    )
    available_deg: Annotated[float, Bounds(ge=0, le=120)] | None = Field(
        default=None, description="cap_range: no further than this in that position"
    )
    load: ChosenStep | None = Field(default=None, description="overrule: the load step to go on with")
    repetitions: Repetitions | None = Field(default=None, description="overrule: the repetitions to go on with")
    until: date | None = Field(default=None, description="freeze_load: the last day; without it, until lifted")
    changed: tuple[Change, ...] = Field(
        default=(), description="change: the values that were changed in the prescription"
    )
    signed_at: AwareDatetime | None = Field(
        default=None, description="take_back: when the instruction to take back was signed"
    )
    record: Annotated[str, form(r"^[^/\\\x00-\x1f]+\.toml$", max_length=200)] | None = Field(
        default=None, description="correct_date: the file in records/ that was written under a wrong clock"
    )
    wrong_at: AwareDatetime | None = Field(
        default=None, description="correct_date: when an instruction was signed under a wrong clock, as it says"
    )
    right_at: AwareDatetime | None = Field(
        default=None, description="correct_date: when that session began, or that instruction was signed"
    )
    apprehension: Apprehension | None = Field(default=None, description="unlock_position: the finding on testing")
    despite: tuple[Finding, ...] = Field(
        default=(), description="unlock_position: what is missing and is waived, for the reason given"
    )
    conditions: tuple[KnownCondition, ...] | None = Field(
        default=None,
        description="allow_strengthening, unlock_position: every condition that was known, each with its day; "
        "it opens nothing that another one closes. The program writes them",
    )
    exercise: Name | None = Field(
        default=None, description="the exercise of the programme that it applies to; without it, all of them"
    )
    lighter: Literal[True] | None = Field(
        default=None, description="overrule: the load was below that of the day when it was signed"
    )
    written: Written | None = Field(default=None, description="by which computer, and what that had seen")
    reason: Line = Field(description="why, for whoever reads it later")

    @property
    def changes_repair(self) -> bool:
        """Whether it changes the day of a repair, which is the client's and so that of every exercise."""
        return any(one.key == "repaired_on" for one in self.changed)

    @property
    def notes_repair(self) -> bool:
        """Whether it notes a day of a repair: strengthening is allowed for one repair, and closed by another."""
        return any(one.key == "repaired_on" and one.now is not None for one in self.changed)

    @check
    def _has_a_reason(self) -> None:
        if not self.reason.strip():
            raise ValueError("reason is empty: say in a few words why")

    @check
    def _has_the_fields_of_its_kind(self) -> None:
        required = _REQUIRED.get(self.what, frozenset())
        allowed = required | _OPTIONAL.get(self.what, frozenset())
        given = {name for name in _FIELDS if getattr(self, name) not in (None, ())}
        for name in sorted(required - given):
            raise ValueError(f'what = "{self.what}" needs {name}: add it')
        for name in sorted(given - allowed):
            raise ValueError(
                f'{name} does not go with what = "{self.what}": take it out, or write another instruction'
            )
        if self.what == "correct_date" and len(given) != 2:
            raise ValueError('what = "correct_date" needs record or wrong_at, one of the two: name what has the date')
        if self.what == "overrule" and not given:
            raise ValueError('what = "overrule" needs load or repetitions, or both: add what to go on with')

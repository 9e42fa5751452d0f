"""What the therapist signed after the prescription: one word at a time, dated, with a reason."""

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Literal, Self

from pydantic import AwareDatetime, Field, model_validator

from coach.model.base import Frozen, Initials, Line, Lines, PositionDeg, Repetitions
from coach.model.condition import Finding
from coach.model.load_step import ChosenStep

Word = Literal[
    "end_review",
    "unlock_position",
    "overrule",
    "freeze_load",
    "lift_freeze",
    "cap_range",
    "cap_position",
    "lift_caps",
    "allow_strengthening",
    "know_night_pain",
    "change",
    "take_back",
]
# What a word may change in the prescription; the rest is what the client was taken on with.
CHANGEABLE = ("dose", "limits", "setups", "bands", "positions", "targets", "goal", "activities", "repaired_on", "bad_day")
# What each word must say, and what it may say.
_MUST_SAY: Mapping[Word, frozenset[str]] = {
    "unlock_position": frozenset({"position_deg"}),
    "cap_range": frozenset({"position_deg", "available_deg"}),
    "cap_position": frozenset({"position_deg"}),
    "change": frozenset({"changed"}),
    "take_back": frozenset({"signed_at"}),
}
_MAY_SAY: Mapping[Word, frozenset[str]] = {
    "overrule": frozenset({"load", "repetitions"}),
    "freeze_load": frozenset({"until"}),
    "unlock_position": frozenset({"apprehension", "despite"}),
}
_SAYABLE = frozenset[str]().union(*_MUST_SAY.values(), *_MAY_SAY.values())


class Change(Frozen):
    """One value of the prescription before and after a word changed it, as TOML; None: it was, or is, not there."""

    key: Annotated[str, Field(pattern=r"^[a-z0-9_]+(\.[a-z0-9_]+)*$", max_length=100)]
    was: Lines | None = Field(default=None, description="the value before, as TOML")
    now: Lines | None = Field(default=None, description="the value after, as TOML")

    @model_validator(mode="after")
    def _may_be_changed(self) -> Self:
        first = self.key.partition(".")[0]
        if first not in CHANGEABLE:
            raise ValueError(
                f"key {first} is not changed by a word of the therapist; one of {', '.join(CHANGEABLE)} is"
            )
        return self


class SignOff(Frozen):
    """One word of the therapist after the prescription: dated, signed, with a reason."""

    at: AwareDatetime = Field(description="when it was signed, with the offset from UTC")
    initials: Initials = Field(description="who signed")
    what: Word = Field(description="the word itself")
    position_deg: PositionDeg | None = Field(
        default=None, description="the position that the word is about, where it is about one"
    )
    available_deg: Annotated[float, Field(ge=5, le=120)] | None = Field(
        default=None, description="cap_range: no further than this in that position"
    )
    load: ChosenStep | None = Field(default=None, description="overrule: the load step to go on with")
    repetitions: Repetitions | None = Field(default=None, description="overrule: the repetitions to go on with")
    until: date | None = Field(default=None, description="freeze_load: the last day; without it, until lifted")
    changed: tuple[Change, ...] = Field(default=(), description="change: what stands in the prescription now")
    signed_at: AwareDatetime | None = Field(
        default=None, description="take_back: when the word was signed that is taken back"
    )
    apprehension: Literal["absent", "present"] | None = Field(
        default=None, description="unlock_position: the finding on testing"
    )
    despite: tuple[Finding, ...] = Field(
        default=(), description="unlock_position: what is missing and is waived, for the reason given"
    )
    reason: Line = Field(description="why, for whoever reads it later")

    @model_validator(mode="after")
    def _says_why(self) -> Self:
        if not self.reason.strip():
            raise ValueError("reason is empty: say in a few words why")
        return self

    @model_validator(mode="after")
    def _says_what_it_must(self) -> Self:
        must = _MUST_SAY.get(self.what, frozenset())
        may = must | _MAY_SAY.get(self.what, frozenset())
        said = {name for name in _SAYABLE if getattr(self, name) not in (None, ())}
        for name in sorted(must - said):
            raise ValueError(f'what = "{self.what}" needs {name}: add it')
        for name in sorted(said - may):
            raise ValueError(f'{name} does not go with what = "{self.what}": take it out, or write another word')
        if self.what == "overrule" and not said:
            raise ValueError('what = "overrule" needs load or repetitions, or both: add what to go on with')
        return self

"""en/steering.toml: the words of the therapist, and what they change, before they are signed."""

from typing import Literal

from pydantic import Field

from coach.model.base import Frozen, Line, Name
from coach.model.instruction import Word
from coach.model.messages.base_messages import PageWords
from coach.model.record import Status
from coach.model.step_names import StepName


class OneWord(Frozen):
    """A word of the therapist: what it is called, and what it does."""

    name: Line
    how: Line


class StateWords(Frozen):
    """Where the client stands, a line each."""

    position: Line
    load: Line
    dose: Line
    tempo: Line
    frozen: Line
    frozen_open: Line
    range_cap: Line
    position_cap: Line
    allowed: Line
    limit: Line
    bands: Line
    goal: Line


class SteeringWords(PageWords):
    """The words of the therapist, and what they change."""

    file = "steering.toml"

    title: Line
    choose: Line
    before: Line
    after: Line
    nothing: Line
    alike: Line
    standing: Line
    script: Line
    leads: Line
    none_while_in_review: Line
    no_session: Line
    sign: Line
    initials: Line
    reason: Line
    reason_how: Line
    signed: Line
    not_signed: Line
    ask: Line
    needs_yes: Line
    history: Line
    no_history: Line
    change_line: Line
    nothing_there: Line
    taken_back: Line
    no_effect: Line
    may_take_back: Line
    reading: Line
    leave: Line
    leave_yes: Line
    leave_no: Line
    saved_note: Line
    limit_how: Line
    at_position: Line
    checked: Line
    status: dict[Status, Line]
    state: StateWords
    word: dict[Word, OneWord]
    part: dict[Literal["dose", "limits", "setups", "programme"], OneWord]
    field: dict[StepName, Line] = Field(description="what a field is called, by its key")
    keys: dict[Name, Line]

"""The section [visit] of LANGUAGE/therapist.toml: one visit, from what was done since to the signature."""

from typing import Literal

from coach.frozen import Field
from coach.model.base import Complete, Frozen, Line
from coach.model.condition import IrritabilityLevel
from coach.model.content_entries import HowOften
from coach.model.exercise import Coordinate
from coach.model.option_names import ContactKind, DischargeReason, NeedOutcome

VisitPart = Literal["measured", "strength", "judged", "form", "goal", "notes", "need", "next", "discharge", "sign"]
VisitField = Literal[
    "active_deg",
    "passive_deg",
    "force_n",
    "lever_m",
    "pain",
    "irritability",
    "condition_kind",
    "condition_on",
    "condition_by",
    "condition_over",
    "goal_what",
    "goal_measure",
    "goal_today",
    "goal_target",
    "goal_by",
    "note",
    "agreed",
    "need_what",
    "need_on",
    "need_how",
    "next_visit",
    "discharge_reason",
    "discharge_what",
    "kind",
    "initials",
]
VisitHint = Literal[
    "choices",
    "kinds",
    "before",
    "before_goal",
    "never",
    "said",
    "client",
    "lever",
    "text",
    "goes_home",
    "initials",
    "day",
]
VisitKey = Literal["line", "part", "since", "show", "steer", "leave", "forget"]


class SinceMessages(Frozen):
    """What was done since the client was last seen."""

    title: Line
    from_start: Line
    nothing: Line
    measured: Line
    kept: Line
    pain: Line
    no_pain: Line
    activities: Line
    exercise: Line
    load: Line
    load_alike: Line
    at_tempo: Line
    faults: Line
    fault: Line
    no_faults: Line
    sign: Line
    stop: Line
    tell: Line
    agreed: Line
    next_visit: Line


class VisitMessages(Frozen):
    """The page of a visit, its checks and its signature."""

    title: Line
    signed_as: Line
    draft: Line = Field(description="that what was typed earlier and not signed is here again")
    left_over: Line = Field(description="what was typed earlier into a field that is no longer there")
    since: SinceMessages
    heading: Complete[VisitPart, Line]
    field: Complete[VisitField, Line]
    unit: Complete[Coordinate, Line] = Field(description="the unit of a range, by what the motion is counted in")
    hint: Complete[VisitHint, Line]
    checked: Line
    not_yet: Line
    before: Line = Field(description="above the column with what was known")
    today: Line = Field(description="above the column with what is known after the visit")
    alike: Line
    nothing_follows: Line = Field(description="that the visit changes nothing in the next session")
    part: Complete[Literal["measured", "found", "needs", "next"], Line]
    line: Complete[
        Literal[
            "range",
            "passive",
            "strength",
            "test_pain",
            "irritability",
            "condition",
            "over",
            "discharge",
            "readmitted",
        ],
        Line,
    ]
    value: Line = Field(description="a value with its unit and its day")
    change: Line = Field(description="a value of today with its change")
    change_first: Line = Field(description="a value of today where there was none before")
    beyond: Complete[Literal["beyond", "within", "unknown"], Line]
    form: Line
    form_agrees: Complete[Literal["agrees", "differs", "unknown"], Line]
    agreement: Line = Field(description="in how many form checks client and therapist say the same")
    goal: Line
    need: Line
    irritability: Complete[IrritabilityLevel, Line]
    how_often: Complete[HowOften, Line]
    outcome: Complete[NeedOutcome, Line]
    kind: Complete[ContactKind, Line]
    reason: Complete[DischargeReason, Line]
    signed: Line
    not_signed: Line
    ask: Line
    needs_yes: Line
    forget: Line = Field(description="the question before what was typed is thrown away")
    forget_yes: Line
    forget_no: Line
    draft_left: Line = Field(description="that the file with what was typed cannot be deleted, and why")
    draft_left_yes: Line
    draft_left_no: Line
    contacts: Line = Field(description="above the list of visits and contacts")
    no_contact: Line
    keys: Complete[VisitKey, Line]

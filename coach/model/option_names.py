"""Names that the command line offers as choices. `coach --help` imports this module, so it must import no model."""

from typing import Literal, get_args

ThemeName = Literal["dusk", "day", "contrast"]
SignSetName = Literal["halves", "quadrants", "sextants", "octants"]
SignChoice = Literal["auto", "halves", "quadrants", "sextants", "octants"]
CaseloadOrder = Literal["need", "client", "seen", "load", "pain", "kept"]
CaseloadColumn = Literal["seen", "at", "load", "mean", "pain", "kept"]
Direction = Literal["external", "internal", "raise", "lower", "pull", "press"]  # what the arm does against the band
TellBy = Literal["hand", "mirror", "watched"]  # how the client can tell what the form was
TELL_BY: tuple[TellBy, ...] = get_args(TellBy)
InstructionKind = Literal[
    "end_review",
    "begin_review",
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
    "correct_date",
]
ContactKind = Literal["visit", "phone", "video", "message"]
AnsweringPage = Literal["visit", "steering", "bands", "check"]  # of a client, the one on which a need is answered
NeedOutcome = Literal["answered", "ask_again", "not_reached", "discharged"]
DischargeReason = Literal["goals_met", "no_further_change", "own_wish", "not_reached", "referred", "moved", "other"]

UNKNOWN_PAIN = "unknown"
"""Stands among the numbers of a decision for a pain whose size was not said."""

"""The messages of the way home: what the program says when it is opened, and what a client takes home."""

from pydantic import Field

from coach.model.base import Frozen, Line


class FrontDoorMessages(Frozen):
    """What is said when the program is opened without a command."""

    who: Line = Field(description="above the list of the clients of this computer")
    number: Line = Field(description="that a number is to be typed")
    again: Line = Field(description="after something else was typed")
    by_name: Line = Field(description="how to open a session where nothing can be typed")
    nobody: Line = Field(description="that there is no client on this computer")
    at_home: Line = Field(description="then, what to do at home")
    in_clinic: Line = Field(description="then, what to do in a clinic")
    all_commands: Line


class WhereMessages(Frozen):
    """Where the clients of this computer are."""

    named: Line
    at_home: Line
    none: Line = Field(description="in the place of names where there are none")

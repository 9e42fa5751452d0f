"""The messages of the way home: what the program says when it is opened, and what a client takes home."""

from typing import Annotated

from coach.frozen import Bounds, Field, form
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


FileName = Annotated[str, form(r"^[A-Za-z0-9][A-Za-z0-9 _-]{0,40}$")]


class TakeHomeMessages(Frozen):
    """The folder that a client takes home: names of its files, and the texts in them."""

    read_first: FileName
    handout: FileName
    start_windows: FileName
    start_mac: FileName
    start_linux: FileName
    to_clinic: FileName = Field(description="the folder for what the clinic is to have")
    title: Line
    steps: Annotated[tuple[Line, ...], Bounds(min_length=5, max_length=5, description="how to install it")]
    warned: Line = Field(description="what to do where the system warns of the start file")
    never_run: Line = Field(description="what was tried of it, and what was not")
    mail: Line = Field(description="how files go to the clinic and come from it")
    ask_write: Line = Field(description="after a session, whether to write a file for the clinic")
    kept: Line = Field(description="where the answers are kept")
    key: Line
    installing: Line = Field(description="before the program is installed")
    no_python: Line
    not_installed: Line
    close: Line = Field(description="that a key closes the window")
    taken: Line = Field(description="once, after the client was taken to this computer")
    newer_folder: Line = Field(description="that the folder brings a newer program, which is not used")
    needs_newer: Line = Field(description="that the folder brings a newer program, without which it cannot be read")
    renew: Line = Field(description="then, how to install it")
    older_folder: Line = Field(description="once, that the folder was made by an older program")


class TakeHomeReportMessages(Frozen):
    """What the therapist reads after a folder to take home was made."""

    written: Line
    from_tree: Line = Field(description="that the program comes from a source tree and not from a release")
    no_handout: Line
    key: Line
    not_encrypted: Line

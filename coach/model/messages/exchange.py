"""The messages of the files between home and clinic."""

from typing import Literal

from coach.frozen import Field
from coach.model.base import Complete, Frozen, Line
from coach.model.option_names import InstructionKind

PartName = Literal["records", "measured", "instructions", "visits", "programme", "profile"]


class ExchangeMessages(Frozen):
    """What is said on both sides, in the language of who is there."""

    part: Complete[PartName, Line] = Field(description="how many of each there are in a file")
    instruction: Complete[InstructionKind, Line] = Field(description="what the client is told of an instruction")
    this_computer: Line = Field(description="the numbers of this computer's keys")
    clinic: Line = Field(description="the numbers of the clinic's keys")
    compare: Line = Field(description="what the numbers are for")
    keys_made: Line = Field(description="that keys were made at the first sending")
    for_clinic: Line = Field(description="for whom a file is: the clinic")
    for_computer: Line = Field(description="for whom a file is: a computer at home")
    written: Line = Field(description="where a file is, for whom, and what is in it")
    nothing_new: Line = Field(description="what is in a file that only says what has come")
    how_to_give: Line = Field(description="how a file gets to the other side")
    nothing_to_send: Line = Field(description="that nobody lacks anything")
    no_computer: Line = Field(description="that no computer at home is known yet")
    from_clinic: Line = Field(description="above a parcel: from the clinic")
    from_computer: Line = Field(description="above a parcel: from a computer at home")
    brings: Line = Field(description="what in it is new here")
    brings_nothing: Line
    new_computer: Line = Field(description="that it is from a computer that was not known until now")
    new_clinic_keys: Line = Field(description="that the clinic has new keys, and who signed that")
    needs: Line = Field(description="what the client needs the therapist for once it is taken")
    note: Line = Field(description="something that is odd and keeps nothing from being taken")
    known: Line = Field(description="how many were taken before")
    profile_kept: Line = Field(description="where the profile is that was here before")
    ask: Line
    ask_digits: Line = Field(description="before new keys of the clinic are taken")
    needs_yes: Line
    needs_digits: Line
    not_taken: Line
    taken: Line
    answer: Line = Field(description="how to say that it has come")
    refused: Line = Field(description="how many were refused, each named above")
    arrived: Line = Field(description="on the first page of the next session: what came from the therapist")


class KeysMessages(Frozen):
    """What the therapist reads of the keys of the clinic and of a client's computers."""

    clinic: Line
    file: Line = Field(description="where the clinic's keys are")
    locked: Line = Field(description="whether they have a passphrase")
    unlocked: Line
    none: Line = Field(description="that this computer has no keys of a clinic")
    nothing_handed_out: Line = Field(description="that a client has no code yet")
    computer: Line = Field(description="a computer at home: its numbers, since when, and the newest parcel of it")
    lost: Line = Field(description="a computer that is no longer the client's")
    codes: Line = Field(description="how many codes were not used yet")
    enrolled: Line = Field(description="where the file is that the client takes home")
    lose: Line = Field(description="before it is signed that a computer is lost")
    renew: Line = Field(description="before new keys are signed")
    signed_lost: Line
    renewed: Line
    passphrase: Line = Field(description="asked for; nothing typed takes it away")
    again: Line
    differ: Line = Field(description="that the two passphrases differ")
    asked: Line = Field(description="the passphrase of a file of keys")
    passphrase_set: Line
    passphrase_removed: Line

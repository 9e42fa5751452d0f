"""instructions/SIGNED.toml: one instruction of the therapist, in a file of its own that is never changed."""

from typing import Literal

from coach.model.instruction import Instruction


class InstructionFile(Instruction):
    """One instruction as a file."""

    format: Literal[2]

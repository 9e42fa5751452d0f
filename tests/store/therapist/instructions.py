"""An instruction on a copy of a demo client, as the command and the screen give it."""

from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from coach.store.therapist.steering import (
    InstructionRequest,
    ProposedInstruction,
    propose_instruction,
    read_snapshot,
    sign_instruction,
)
from tests.plans import shipped

AT = datetime(2026, 11, 25, 9, 30, tzinfo=timezone(timedelta(hours=1)))


def proposed(
    client: Path, what: str, *, at: Any = AT, initials: str = "KB", reason: str = "seen today", **said: str
) -> ProposedInstruction:
    """The instruction, not signed yet; a __ in a key stands for its dot."""
    typed = {key.replace("__", "."): value for key, value in said.items()}
    asked = InstructionRequest(what, initials, reason, **{"values" if what == "change" else "fields": typed})
    return propose_instruction(read_snapshot(client), asked, shipped(), at)


def signed(client: Path, what: str, *, at: Any = AT, **said: str) -> ProposedInstruction:
    """The instruction, signed."""
    seen, made = read_snapshot(client), proposed(client, what, at=at, **said)
    sign_instruction(seen, made)
    return made

"""A word of the therapist on a copy of a demo client, as the command and the screen give it."""

from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from coach.store.therapist.steering import Asked, Proposed, look, propose, sign
from tests.plans import shipped

AT = datetime(2026, 11, 25, 9, 30, tzinfo=timezone(timedelta(hours=1)))


def proposed(
    client: Path, what: str, *, at: Any = AT, initials: str = "KB", reason: str = "seen today", **said: str
) -> Proposed:
    """The word, not signed yet; a __ in a key stands for its dot."""
    typed = {key.replace("__", "."): value for key, value in said.items()}
    asked = Asked(what, initials, reason, **{"values" if what == "change" else "said": typed})
    return propose(look(client), asked, shipped(), at)


def signed(client: Path, what: str, *, at: Any = AT, **said: str) -> Proposed:
    """The word, signed."""
    seen, made = look(client), proposed(client, what, at=at, **said)
    sign(seen, made)
    return made

"""Where the client stands now: derived from the records, never the truth itself."""

from typing import Annotated, Literal

from pydantic import AwareDatetime, Field

from coach.model.base import Frozen, Name, Pain, PositionDeg
from coach.model.load import LoadStep
from coach.model.record import Decision, Status


class Progress(Frozen):
    """progress.toml. `load` is None until the first session in a position: then the ladder gives it."""

    format: Literal[1] = 1
    exercise: Name
    position_deg: PositionDeg
    load: LoadStep | None = None
    repetitions: Annotated[int, Field(ge=1, le=30)]
    status: Status = "active"
    ready_sessions: Annotated[int, Field(ge=0)] = 0
    under_sessions: Annotated[int, Field(ge=0)] = 0
    sessions: Annotated[int, Field(ge=0)] = 0
    first_session: AwareDatetime | None = None
    last_session: AwareDatetime | None = None
    pain_before_last: Pain | None = None
    decision: Decision | None = None

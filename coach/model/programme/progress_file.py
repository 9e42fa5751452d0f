"""progress.toml of format 2: where each exercise of the programme stands."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from coach.frozen import Bounds
from coach.model.base import Frozen
from coach.model.progress import Progress


class ProgressFile(Frozen):
    """Where each exercise stands. What belongs to the client, such as pain and reviews, stands with each of them."""

    format: Literal[2]
    exercises: Annotated[tuple[Progress, ...], Bounds(min_length=1)]

    @classmethod
    def as_read(cls, given: Any) -> Any:
        """Without the keys of an exercise that an older program wrote and no rule reads any more."""
        if not isinstance(given, Mapping) or not isinstance(given.get("exercises"), list | tuple):
            return given
        return {**given, "exercises": tuple(map(Progress.as_read, given["exercises"]))}

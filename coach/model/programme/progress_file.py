"""progress.toml of format 2: where each exercise of the programme stands."""

from typing import Annotated, Literal

from coach.frozen import Bounds
from coach.model.base import Frozen
from coach.model.progress import Progress


class ProgressFile(Frozen):
    """Where each exercise stands. What belongs to the client, such as pain and reviews, stands with each of them."""

    format: Literal[2]
    exercises: Annotated[tuple[Progress, ...], Bounds(min_length=1)]

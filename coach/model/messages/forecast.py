"""en/forecast.toml: where a client may be in some weeks, by simulation."""

from typing import Annotated

from pydantic import Field

from coach.model.base import Line
from coach.model.messages.base_messages import PageWords


class ForecastWords(PageWords):
    """Where a client may be in some weeks, by simulation."""

    file = "forecast.toml"

    title: Line
    simulation: Line
    assumed: Line
    columns: Annotated[tuple[Line, ...], Field(min_length=5, max_length=5)]
    over: Line
    speed: Line

"""en/pictures.toml: a client's history as pictures."""

from typing import Literal

from coach.model.base import Line
from coach.model.messages.base_messages import PageWords

PictureName = Literal["load", "repetitions", "pain", "faults", "range", "strength", "adherence", "activities"]
ErrorName = Literal["pain", "range", "strength", "activities"]
LaneName = Literal["before", "during", "morning_after"]
SeriesName = Literal[
    "goal",
    "least",
    "most",
    "before",
    "during",
    "morning_after",
    "sets",
    "not_sure",
    "trained",
    "prescribed",
    "rating",
]


class PicturesWords(PageWords):
    """A client's history as pictures."""

    file = "pictures.toml"

    title: Line
    none: Line
    day: Line
    at_position: Line
    since_first: Line
    real: Line
    noise: Line
    letters: Line
    source: Line
    error: dict[ErrorName, Line]
    weeks: Line
    computed: Line
    answered: Line
    shared: Line
    picture: dict[PictureName, Line]
    series: dict[SeriesName, Line]
    lane: dict[LaneName, Line]

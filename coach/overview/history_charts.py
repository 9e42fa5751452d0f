"""A client's past as pictures: what was done, said and measured, day by day. Drawn elsewhere."""

from collections.abc import Callable

from coach.overview.history_chart import Past, Picture
from coach.overview.measurement_charts import activities_picture, pain_picture, range_picture, strength_picture
from coach.overview.training_charts import adherence_picture, faults_picture, load_picture, repetitions_picture

_PICTURES: tuple[Callable[[Past], Picture], ...] = (
    load_picture,
    repetitions_picture,
    pain_picture,
    faults_picture,
    range_picture,
    strength_picture,
    adherence_picture,
    activities_picture,
)


def pictures(past: Past) -> tuple[Picture, ...]:
    """Every picture, in the order in which they are shown; one of which nothing is known has no series."""
    return tuple(made(past) for made in _PICTURES)

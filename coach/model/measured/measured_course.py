"""How much of a course was measured with a sensor, what it received, and how the answers agreed."""

from coach.frozen import Field
from coach.model.base import Frozen
from coach.model.measured.tempo_kept import Compared


class Agreement(Frozen):
    """In how many of the sets in which both are known the answer and the sensor said the same."""

    same: int = 0
    of: int = 0


class MeasuredCourse(Frozen):
    """One exercise as far as it was measured. Without a measured set everything is 0."""

    sessions: int = Field(default=0, description="sessions with a set that was measured")
    of_sessions: int = Field(default=0, description="sessions with a set")
    sets: int = 0
    repetitions: int = Field(default=0, description="repetitions that the sensor saw")
    at_tempo: int = Field(default=0, description="the dose received: those at tempo")
    agreement: dict[Compared, Agreement] = {}
    unlike: tuple[Compared, ...] = Field(
        default=(), description="what was answered otherwise than measured too often to rely on the answers alone"
    )

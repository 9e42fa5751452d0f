"""The client's own tempo, timed without guidance and compared with the tempo of the programme."""

from collections.abc import Mapping

from coach.model.record import OwnTempo


def timing_is_off(trial: OwnTempo | None, limits: Mapping[str, float]) -> bool:
    """Whether the repetitions took too long or too short; False where none were timed."""
    if trial is None:
        return False
    return abs(trial.took_s - trial.right_s) > limits["timing_error_max"] * trial.right_s

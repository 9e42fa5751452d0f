"""Orientation of the sensor over time, by the filter VQF (Laidig D, Seel T, Inf Fusion 2023;91:187-204)."""

import numpy as np
from msgspec import Struct
from scipy.signal import butter, sosfiltfilt
from scipy.spatial.transform import Rotation
from vqf import offlineVQF

from coach.motion_capture.recording import Recording
from coach.motion_capture.results import Array

_SMOOTH_HZ = 3.0  # a voluntary movement has little above
_SMOOTH_ORDER = 2


class Oriented(Struct, frozen=True):
    """A recording with the orientation of the sensor in a frame whose third axis is up, and the bias taken away."""

    recording: Recording
    rotation: Rotation
    turning: Array
    """Turning rate in rad/s about the axes of the sensor, without its bias, smoothed without delay."""
    noise_rad_s: float
    """The scatter of the turning rate above the movement."""

    @property
    def time_s(self) -> Array:
        """The time of each row from 0."""
        return np.arange(len(self.turning)) / self.recording.rate_hz


def orient(recording: Recording) -> Oriented:
    """The orientation of the sensor at each row, relative to gravity; its heading is arbitrary."""
    turning, step = np.ascontiguousarray(recording.turning), 1 / recording.rate_hz
    found = offlineVQF(turning, np.ascontiguousarray(recording.acceleration), None, step)
    smoother = butter(_SMOOTH_ORDER, _SMOOTH_HZ, fs=recording.rate_hz, output="sos")
    free = turning - found["bias"]
    smooth = np.asarray(sosfiltfilt(smoother, free, axis=0))
    noise = float(np.median(np.abs(free - smooth))) * 1.4826  # the standard deviation of a normal distribution
    return Oriented(recording, Rotation.from_quat(found["quat6D"][:, [1, 2, 3, 0]]), smooth, noise)


def inclination_deg(rotation: Rotation) -> Array:
    """The angle between the third axis of the sensor and the vertical."""
    up = rotation.apply(np.array([0.0, 0.0, 1.0]))
    return np.asarray(np.degrees(np.arccos(np.clip(up[:, 2], -1, 1))))

"""The pull in the flat: cases that a ruler and a protractor can check."""

import bisect

import pytest
from msgspec.structs import replace

from coach.mechanics.arm import pose, raise_arm
from coach.mechanics.body import Body, body_of
from coach.mechanics.torque import LineOfPull, line_of_pull
from coach.mechanics.vector import plus, times
from tests.mechanics.clients import profile
from tests.published.tables import FLAT_BAND_N

REST_M = 0.800


def _planar(rotations: tuple[float, ...]) -> LineOfPull:
    """Arm at the side, lever 0.349 m; anchor level with the elbow, 1.000 m to the medial side and 0.349 m ahead."""
    body: Body = replace(body_of(profile()), grip_lever_m=0.349)
    arm = raise_arm(body, 0.0, 0.0, "external")
    return line_of_pull(arm, plus(arm.elbow_m, (0.349, -1.0, 0.0)), rotations)


def _flat_band_n(elongation: float) -> float:
    """The published points joined by straight lines: Uchida MC et al., J Phys Ther Sci 2016;28(4):1266-1271."""
    percents = [0, *FLAT_BAND_N]
    forces = [0.0, *FLAT_BAND_N.values()]
    right = bisect.bisect_left(percents, elongation * 100)
    share = (elongation * 100 - percents[right - 1]) / (percents[right] - percents[right - 1])
    return forces[right - 1] + share * (forces[right] - forces[right - 1])


@pytest.mark.parametrize(
    ("rotation_deg", "length_m", "moment_arm_m"),
    [
        (-30.0, 0.8268, 0.2919),
        (0.0, 1.0000, 0.3490),
        (30.0, 1.1754, 0.3089),
        (60.0, 1.3139, 0.2131),
        (90.0, 1.3934, 0.0874),
    ],
)
def test_length_and_moment_arm(rotation_deg: float, length_m: float, moment_arm_m: float) -> None:
    """Worked by plane geometry."""
    pull = _planar((rotation_deg,))
    assert pull.length_m[0] == pytest.approx(length_m, rel=1e-3)
    assert pull.per_newton[0] == pytest.approx(moment_arm_m, rel=1e-3)


@pytest.mark.parametrize(("rotation_deg", "torque_nm"), [(0.0, 3.937), (30.0, 4.946), (45.0, 4.729), (90.0, 1.822)])
def test_torque_of_a_flat_band(rotation_deg: float, torque_nm: float) -> None:
    """Plane geometry with the published points of one flat band, joined by straight lines."""
    pull = _planar((rotation_deg,))
    force_n = _flat_band_n(pull.length_m[0] / REST_M - 1)
    assert pull.per_newton[0] * force_n == pytest.approx(torque_nm, rel=1e-3)


@pytest.mark.parametrize("rotation_deg", [-30.0, 0.0, 40.0])
@pytest.mark.parametrize("plane_deg", [0.0, 30.0])
def test_a_pull_in_line_with_the_forearm_has_no_moment_arm(rotation_deg: float, plane_deg: float) -> None:
    """Geometry: at the side, a level anchor straight ahead of the forearm."""
    body = body_of(profile())
    arm = raise_arm(body, 0.0, plane_deg, "external")
    there = pose(arm, rotation_deg)
    anchor = plus(there.elbow_m, times(1.5, there.forearm))
    pull = line_of_pull(arm, anchor, (rotation_deg,))
    assert pull.per_newton[0] == pytest.approx(0.0, abs=1e-12)
    assert pull.length_m[0] == pytest.approx(1.5 - body.grip_lever_m)

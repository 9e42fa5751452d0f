"""The client's figure as round limbs in the body frame.

Only the shoulders, the arm and the feet have the client's own lengths. The other proportions are our own choice, and
nothing is computed from them.
"""

from msgspec import Struct

from coach.drawing.projection import Projection
from coach.drawing.shapes import Role, Stroke
from coach.mechanics.motion.motion import Pose
from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector, plus

# Fractions of shoulder height.
_HEAD, _HIP, _HEAD_WIDTH = 1.14, 0.65, 0.13
_CHEST_WIDTH_M, _NECK_WIDTH_M, _LEG_WIDTH_M, _FOOT_WIDTH_M, _ARM_WIDTH_M = 0.18, 0.09, 0.11, 0.07, 0.05
_HAND_WIDTH_M, _UPPER_ARM_WIDTH_M = 0.09, 0.10
_HIP_HALF_M, _STANCE_HALF_M = 0.09, 0.11
_OTHER_ARM_OUT_M, _OTHER_ARM_WIDTH_M = 0.06, 0.06
# How much of the foot lies behind the ankle.
_HEEL = 0.3


class Limb(Struct, frozen=True):
    """A round limb between two points of the body frame, in metres."""

    role: Role
    ends: tuple[Vector, Vector]
    width_m: float


def _head_centre_m(setup: Setup) -> Vector:
    """The centre of the head."""
    return (0.0, 0.0, _HEAD * setup.motion.shoulder_m[2])


def _head_width_m(setup: Setup) -> float:
    """The drawn width of the head."""
    return _HEAD_WIDTH * setup.motion.shoulder_m[2]


def upper_body(setup: Setup) -> tuple[Limb, ...]:
    """The trunk, the neck, and the head with a nose."""
    half, height = setup.motion.shoulder_m[1], setup.motion.shoulder_m[2]
    hip, chest = _HIP * height, height - _CHEST_WIDTH_M / 2
    inner = max(half - _CHEST_WIDTH_M / 2, 0.0)
    head, width = _head_centre_m(setup), _head_width_m(setup)
    nose = plus(head, (0.62 * width, 0.0, 0.0))
    return (
        *(
            Limb("trunk", ((0.0, share * inner, chest), (0.0, share * _HIP_HALF_M, hip)), _CHEST_WIDTH_M)
            for share in (-1.0, -0.5, 0.0, 0.5, 1.0)
        ),
        Limb("trunk", ((0.0, -inner, chest), (0.0, inner, chest)), _CHEST_WIDTH_M),
        Limb("trunk", ((0.0, 0.0, chest), head), _NECK_WIDTH_M),
        Limb("head", (head, head), width),
        Limb("head", (head, nose), width / 4),
    )


def trunk_half_m(setup: Setup, height_m: float) -> float:
    """Half the drawn width of the trunk at a height between the hips and the shoulders."""
    half, height = setup.motion.shoulder_m[1], setup.motion.shoulder_m[2]
    hip, chest = _HIP * height, height - _CHEST_WIDTH_M / 2
    share = min(max((height_m - hip) / (chest - hip), 0.0), 1.0)
    return _CHEST_WIDTH_M / 2 + _HIP_HALF_M + share * (max(half - _CHEST_WIDTH_M / 2, 0.0) - _HIP_HALF_M)


def other_arm(setup: Setup) -> tuple[Limb, ...]:
    """The arm that does not exercise, hanging at the side."""
    body, (_, half, height) = setup.motion.body, setup.motion.shoulder_m
    out = -(half + _OTHER_ARM_OUT_M)
    shoulder, hand = height - _ARM_WIDTH_M, height - body.upper_arm_m - body.forearm_m
    return (Limb("trunk", ((0.0, out + _ARM_WIDTH_M, shoulder), (0.0, out, hand)), _OTHER_ARM_WIDTH_M),)


def legs(setup: Setup) -> tuple[Limb, ...]:
    """Both legs, standing on the floor mark."""
    hip = _HIP * setup.motion.shoulder_m[2]
    return tuple(
        Limb(
            "trunk", ((0.0, share * _HIP_HALF_M, hip), (0.0, share * _STANCE_HALF_M, _LEG_WIDTH_M / 2)), _LEG_WIDTH_M
        )
        for share in (-1.0, 1.0)
    )


def feet(setup: Setup) -> tuple[Limb, ...]:
    """Both feet, pointing in the direction that the client faces."""
    length, half = setup.motion.body.foot_m, _FOOT_WIDTH_M / 2
    heel, toe = half - _HEEL * length, (1 - _HEEL) * length - half
    return tuple(
        Limb("feet", ((heel, share * _STANCE_HALF_M, half), (toe, share * _STANCE_HALF_M, half)), _FOOT_WIDTH_M)
        for share in (-1.0, 1.0)
    )


def limb_strokes(limbs: tuple[Limb, ...], page: Projection) -> tuple[Stroke, ...]:
    """Limbs as strokes on the page."""
    return tuple(Stroke(limb.role, (page(limb.ends[0]), page(limb.ends[1])), limb.width_m) for limb in limbs)


def arm_stroke(pose: Pose, role: Role, page: Projection) -> Stroke:
    """The arm from the hand to the shoulder, so that a dashed line starts with a full dash at the hand."""
    return Stroke(role, (page(pose.hand_m), page(pose.elbow_m), page(pose.shoulder_m)), _ARM_WIDTH_M)


def hand_stroke(pose: Pose, role: Role, page: Projection) -> Stroke:
    """The closed hand at the end of the arm."""
    hand = page(pose.hand_m)
    return Stroke(role, (hand, hand), _HAND_WIDTH_M)


def arm_and_hand(pose: Pose, page: Projection) -> tuple[Stroke, ...]:
    """The arm now, with a thicker upper arm that shows the shoulder even where the arm points away."""
    upper = Stroke("arm_now", (page(pose.elbow_m), page(pose.shoulder_m)), _UPPER_ARM_WIDTH_M)
    return arm_stroke(pose, "arm_now", page), upper, hand_stroke(pose, "arm_now", page)

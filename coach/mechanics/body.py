"""The client's lengths and masses: measured where the therapist measured, else published fractions."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from coach.model.exercise import Landmark
from coach.model.profile import Profile


class Fractions(Struct, frozen=True):
    """Lengths as fractions of stature, and the forearm's mass and balance."""

    shoulder_height: float
    half_biacromial: float
    upper_arm: float
    grip_lever: float
    forearm: float = 0.146
    foot: float = 0.152
    forearm_mass: float = 0.022
    forearm_balance: float = 0.682
    upper_arm_mass: float = 0.028
    upper_arm_balance: float = 0.436


# Shoulder (acromion) height, half biacromial breadth, upper arm and elbow to grip: computed from the ANSUR II
# public data, 4,082 men and 1,986 women (Gordon CC et al., NATICK/TR-15/007, 2014).
# Forearm: Drillis R, Contini R, Body segment parameters, 1966, in Winter DA, Biomechanics and Motor Control of
# Human Movement (second hand); foot length from the same figure, from memory.
# Forearm and hand 0.022 of body mass, centre of mass at 0.682 of the forearm from the elbow: Winter after Dempster.
# Upper arm 0.028 of body mass, centre of mass at 0.436 of its length from the shoulder: the same table, from memory.
_WOMEN = Fractions(shoulder_height=0.820, half_biacromial=0.112, upper_arm=0.191, grip_lever=0.1951)
_MEN = Fractions(shoulder_height=0.820, half_biacromial=0.118, upper_arm=0.191, grip_lever=0.1987)
_BOTH = Fractions(
    shoulder_height=0.820,
    half_biacromial=(_WOMEN.half_biacromial + _MEN.half_biacromial) / 2,
    upper_arm=0.191,
    grip_lever=(_WOMEN.grip_lever + _MEN.grip_lever) / 2,
)
FRACTIONS: Mapping[Literal["women", "men", "both"], Fractions] = MappingProxyType(
    {"women": _WOMEN, "men": _MEN, "both": _BOTH}
)

# Heights as fractions of stature, from memory of the figure after Drillis & Contini 1966 in Winter: knee joint,
# hip (greater trochanter), eye. They only name an anchor height in words a client knows.
_KNEE, _HIP, _EYE = 0.285, 0.530, 0.936


class Body(Struct, frozen=True):
    """Lengths in metres, and the masses of the upper arm and of forearm with hand in kilograms."""

    shoulder_height_m: float
    half_biacromial_m: float
    upper_arm_m: float
    grip_lever_m: float
    forearm_m: float
    foot_m: float
    forearm_mass_kg: float
    forearm_balance: float
    upper_arm_mass_kg: float
    upper_arm_balance: float

    @property
    def arm_lever_m(self) -> float:
        """From the shoulder to the grip of the straight arm."""
        return self.upper_arm_m + self.grip_lever_m

    @property
    def arm_mass_moment_kg_m(self) -> float:
        """The masses of the straight arm, each times its distance from the shoulder."""
        upper = self.upper_arm_mass_kg * self.upper_arm_balance * self.upper_arm_m
        return upper + self.forearm_mass_kg * (self.upper_arm_m + self.mass_lever_m)

    @property
    def foot_out_m(self) -> float:
        """From the middle of the body to the middle of the foot, standing with the feet under the hips (ours)."""
        return self.half_biacromial_m / 2

    @property
    def elbow_height_m(self) -> float:
        """Height of the elbow with the arm at the side."""
        return self.shoulder_height_m - self.upper_arm_m

    @property
    def mass_lever_m(self) -> float:
        """From the elbow to the centre of mass of forearm and hand."""
        return self.forearm_balance * self.forearm_m


def body_of(profile: Profile) -> Body:
    """The body of a client: each length as measured, else a fraction of stature."""
    fractions = FRACTIONS[profile.fractions]
    stature = profile.stature_m
    measured = profile.lengths
    return Body(
        shoulder_height_m=measured.shoulder_height_m or fractions.shoulder_height * stature,
        half_biacromial_m=measured.half_biacromial_m or fractions.half_biacromial * stature,
        upper_arm_m=measured.upper_arm_m or fractions.upper_arm * stature,
        grip_lever_m=measured.grip_lever_m or fractions.grip_lever * stature,
        forearm_m=fractions.forearm * stature,
        foot_m=measured.foot_m or fractions.foot * stature,
        forearm_mass_kg=fractions.forearm_mass * profile.mass_kg,
        forearm_balance=fractions.forearm_balance,
        upper_arm_mass_kg=fractions.upper_arm_mass * profile.mass_kg,
        upper_arm_balance=fractions.upper_arm_balance,
    )


def landmark_height_m(body: Body, profile: Profile, landmark: Landmark) -> float:
    """Height of a body landmark above the floor, in metres, standing."""
    return _landmark_heights_m(body, profile)[landmark]


def nearest_landmark(body: Body, profile: Profile, height_m: float) -> Landmark:
    """The body landmark whose height is nearest to a height above the floor."""
    heights_m = _landmark_heights_m(body, profile)
    return min(heights_m, key=lambda landmark: abs(heights_m[landmark] - height_m))


def _landmark_heights_m(body: Body, profile: Profile) -> dict[Landmark, float]:
    return {
        "floor": 0.0,
        "knee": _KNEE * profile.stature_m,
        "hip": _HIP * profile.stature_m,
        "elbow": body.elbow_height_m,
        "shoulder": body.shoulder_height_m,
        "eye": _EYE * profile.stature_m,
    }

"""Invented clients, bands and positions for the checks of the mechanics."""

from datetime import date
from typing import Literal

from coach.mechanics.anchor import Anchor
from coach.mechanics.ladder import Ladder
from coach.mechanics.load_uncertainty import Contributions, LoadUncertainty
from coach.mechanics.step_comparison import StepComparison
from coach.model.band import BandGrade, BandPoint
from coach.model.exercise import AnchorSide, Landmark, Position
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.option_names import Direction
from coach.model.prescription import Dose, FixedSetup, Prescription, Tempo
from coach.model.profile import AvailableRange, Home, Lengths, Profile, Strength
from tests.published.tables import FLAT_BAND_N

# Taut by 5 % at the start and 150 % elongation: the defaults of the project; a textbook ceiling of "250 % of resting
# length" (Page & Ellenbecker 2003, second hand) reads as 150 % elongation.
# 2-10 %: ACSM position stand, Med Sci Sports Exerc 2009;41(3):687-708 (abstract).
# 10-40 %: Bitter NL et al., J Shoulder Elbow Surg 2007 (abstract).
LIMITS: dict[str, float] = {
    "taut_at_start": 0.05,
    "elongation_max": 1.5,
    "load_rise_min": 0.02,
    "load_rise_max": 0.10,
    "first_step_low": 0.10,
    "first_step_high": 0.40,
    "point_misfit_max": 0.10,
    "kept_gain_min": 0.10,
    "strength_share_high": 0.60,
    "target_share_control": 0.25,
    "target_share_strength": 0.40,
    "heavier_same_band": 0.90,
    "heavier_other_band": 0.95,
    "easier_surely": 0.90,
    "u_scale_n": 1.0,
    "u_point_length_m": 0.005,
    "u_resting_length_m": 0.005,
    "u_mark_m": 0.01,
    "u_feet_m": 0.015,
    "u_anchor_height_m": 0.02,
    "u_body_turn_deg": 5.0,
    "u_elevation_deg": 5.0,
    "u_elbow_gap_m": 0.015,
    "u_lever_m": 0.005,
    "u_lever_from_stature_m": 0.018,
    "u_arm_mass": 0.1,
    "u_band_age": 0.055,
    "band_age_max": 0.05,
}

DAY = date(2026, 3, 4)


def grade(name: str, times: float, rest_m: float) -> BandGrade:
    """A band with the published curve of one flat band, `times` as strong and of any resting length."""
    points = tuple(
        BandPoint(length_m=rest_m * (1 + percent / 100), force_n=times * force)
        for percent, force in FLAT_BAND_N.items()
    )
    return BandGrade(name=name, looks=f"the {name} one", resting_length_m=rest_m, points=points)


def three_grades(rest_m: float) -> tuple[BandGrade, ...]:
    """Three neighbouring grades, a third apart (common practice, no source: 25-40 %)."""
    return grade("light", 0.56, rest_m), grade("medium", 0.75, rest_m), grade("heavy", 1.0, rest_m)


def profile(
    *,
    rest_m: float = 1.0,
    bands: tuple[BandGrade, ...] | None = None,
    side: Literal["left", "right"] = "left",
    fractions: Literal["women", "men", "both"] = "both",
    heights_cm: tuple[int, ...] = (0, 50, 90, 105, 140),
    nearest_cm: int = 60,
    farthest_cm: int = 260,
    strands: tuple[Literal[1, 2], ...] = (1,),
    lengths: Lengths | None = None,
    ranges: tuple[AvailableRange, ...] = (),
    strengths: tuple[Strength, ...] = (),
) -> Profile:
    """A client of 1.70 m and 70 kg."""
    home = Home(anchor_heights_cm=heights_cm, nearest_cm=nearest_cm, farthest_cm=farthest_cm, strands=strands)
    return Profile(
        format=1,
        name="invented",
        side=side,
        stature_m=1.70,
        mass_kg=70.0,
        fractions=fractions,
        lengths=lengths or Lengths(),
        home=home,
        bands=bands or three_grades(rest_m),
        ranges=ranges,
        strengths=strengths,
    )


def position(
    abduction_deg: int,
    plane_deg: float,
    arc_start_deg: float,
    available_deg: float,
    landmark: Landmark,
    body_turn_deg: float,
    direction: Direction = "external",
    anchor_side: AnchorSide = "other",
) -> Position:
    """An arm position with nothing asked."""
    return Position(
        abduction_deg=abduction_deg,
        direction=direction,
        anchor_side=anchor_side,
        plane_deg=plane_deg,
        arc_start_deg=arc_start_deg,
        available_deg=available_deg,
        available_source="invented",
        anchor_landmark=landmark,
        body_turn_deg=body_turn_deg,
        setup_source="invented",
        checks=(),
        questions=(),
    )


AT_0 = position(0, 0.0, -30.0, 77.0, "elbow", 90.0).model_copy(update={"band_runs": "level"})
INTERNAL_AT_0 = position(0, 0.0, -30.0, 60.0, "elbow", 90.0, "internal", "exercising").model_copy(
    update={"band_runs": "level"}
)
AT_0_WITH_GAP = AT_0.model_copy(update={"elbow_gap_cm": 5.0})
INTERNAL_AT_0_WITH_GAP = INTERNAL_AT_0.model_copy(update={"elbow_gap_cm": 5.0})
AT_45 = position(45, 0.0, -20.0, 77.0, "hip", 45.0)
AT_90 = position(90, 30.0, 0.0, 90.0, "hip", 0.0).model_copy(update={"band_runs": "downward"})


def prescription(*setups: FixedSetup, first_step: ChosenStep | None = None) -> Prescription:
    """All three positions, three sets of 8 to 15, three seconds out, two held, three back."""
    return Prescription(
        format=1,
        exercise="external_rotation",
        goal="reach the top shelf",
        positions=("0", "45", "90"),
        initials="AB",
        on=DAY,
        dose=Dose(
            sets=3,
            repetitions_min=8,
            repetitions_max=15,
            tempo=Tempo(out_s=3.0, hold_s=2.0, back_s=3.0, relax_s=2.0),
            rest_s=120,
            count_in_s=5,
            days_a_week=3,
        ),
        first_step=first_step,
        setups=setups,
    )


class ExactComparison(StepComparison, frozen=True):
    """Steps without any error, with the same torque all through the arc: the heavier one is heavier for certain."""

    def contributions(self, step: LoadStep) -> Contributions:
        return Contributions(step.grade, (0.0,), (0.0, 0.0, 0.0), 0.0)

    def torque_nm(self, step: LoadStep) -> tuple[float, ...]:
        return (step.mean_nm,)

    def with_interval(self, step: LoadStep) -> LoadStep:
        return step


def exact_ladder(*steps: LoadStep) -> Ladder:
    """A ladder of steps made up, whose torques are certain."""
    anchor, client = Anchor(100.0, 90.0), profile()
    uncertainty = LoadUncertainty(client, AT_0, anchor, LIMITS)
    return Ladder("0", steps, ExactComparison(client, AT_0, anchor, LIMITS, uncertainty))

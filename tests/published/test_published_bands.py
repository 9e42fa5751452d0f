"""The rubber law against measured bands and rubber."""

import pytest

from coach.mechanics.band import fit, tension_n
from coach.model.band import BandPoint
from tests.published.tables import FLAT_BAND_N, FLAT_BAND_REST_M, KGF_CM2_IN_MPA, NATURAL_RUBBER


def _flat_band_points(*percents: int) -> tuple[BandPoint, ...]:
    return tuple(
        BandPoint(length_m=FLAT_BAND_REST_M * (1 + percent / 100), force_n=FLAT_BAND_N[percent])
        for percent in percents
    )


@pytest.mark.parametrize("percent", FLAT_BAND_N)
def test_a_flat_band_fitted_on_all_its_points_is_met_within_4_2_percent(percent: int) -> None:
    """Uchida MC et al., J Phys Ther Sci 2016;28(4):1266-1271 (second hand)."""
    rubber = fit(_flat_band_points(*FLAT_BAND_N), FLAT_BAND_REST_M)
    fitted_n = tension_n(rubber, FLAT_BAND_REST_M, FLAT_BAND_REST_M * (1 + percent / 100))
    assert fitted_n == pytest.approx(FLAT_BAND_N[percent], rel=0.042)


@pytest.mark.parametrize("percent", [percent for percent in FLAT_BAND_N if percent >= 50])
def test_three_points_of_a_flat_band_give_the_others_within_2_6_percent(percent: int) -> None:
    """Uchida MC et al., J Phys Ther Sci 2016;28(4):1266-1271 (second hand)."""
    rubber = fit(_flat_band_points(50, 100, 200), FLAT_BAND_REST_M)
    fitted_n = tension_n(rubber, FLAT_BAND_REST_M, FLAT_BAND_REST_M * (1 + percent / 100))
    assert fitted_n == pytest.approx(FLAT_BAND_N[percent], rel=0.026)


@pytest.mark.parametrize("percent", [25, 200])
def test_a_spring_through_the_point_at_100_percent_is_wrong_by_more_than_40_percent(percent: int) -> None:
    """Uchida MC et al., J Phys Ther Sci 2016;28(4):1266-1271 (second hand): a band is not a spring, so one number
    for its stiffness cannot stand in for the law."""
    spring_n = FLAT_BAND_N[100] * percent / 100
    assert abs(spring_n / FLAT_BAND_N[percent] - 1) > 0.40
    law = fit(_flat_band_points(50, 100, 200), FLAT_BAND_REST_M)
    law_n = tension_n(law, FLAT_BAND_REST_M, FLAT_BAND_REST_M * (1 + percent / 100))
    assert abs(law_n / FLAT_BAND_N[percent] - 1) < abs(spring_n / FLAT_BAND_N[percent] - 1) / 3


RUBBER_UP_TO_2_2 = tuple(
    BandPoint(length_m=stretch, force_n=stress * KGF_CM2_IN_MPA)
    for stretch, stress in NATURAL_RUBBER
    if stretch <= 2.2
)


@pytest.mark.parametrize("point", RUBBER_UP_TO_2_2, ids=lambda point: str(point.length_m))
def test_natural_rubber_up_to_a_stretch_of_2_2_within_1_8_percent(point: BandPoint) -> None:
    """Treloar LRG, Trans Faraday Soc 1944;40:59-70 (second hand); stress in MPa on 1 m of rubber."""
    rubber = fit(RUBBER_UP_TO_2_2, 1.0)
    assert tension_n(rubber, 1.0, point.length_m) == pytest.approx(point.force_n, rel=0.018)


def test_the_constants_of_natural_rubber() -> None:
    """Computed for the same table in P = 2 (s - s^-2) (C10 + C01 / s): C10 = 0.0909 and C01 = 0.1251 MPa (ours)."""
    rubber = fit(RUBBER_UP_TO_2_2, 1.0)
    assert rubber.a_n / 2 == pytest.approx(0.0909, abs=0.0001)
    assert rubber.b_n / 2 == pytest.approx(0.1251, abs=0.0001)

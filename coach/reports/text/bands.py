"""The client's bands: points, fitted curve, residuals, measured range and findings."""

from collections.abc import Mapping

from coach.mechanics.band import Rubber, rubber_of, tension_n
from coach.mechanics.band_validation import (
    COMPARED_AT,
    BandFinding,
    OutlyingPoint,
    Residual,
    SinglePoint,
    residuals,
    validate_bands,
)
from coach.mechanics.torque import GRAVITY_M_S2
from coach.model.band import BandGrade
from coach.model.content import Messages
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import BandsReportMessages
from coach.model.profile import Profile
from coach.reports.text.layout import cm, columns, heading, paragraph, percent, row
from coach.reports.text.plot import SOLID, Curve, plot, sample, ticks

_PLOT_WIDTH, _PLOT_HEIGHT = 76, 16
_MARK_WIDTH = 4
_POINT, _BEYOND = "O", "."


def bands_text(profile: Profile, limits: Mapping[str, float], messages: Messages) -> str:
    """Every band of a client, at most 80 columns wide; uses the limits elongation_max and point_residual_max."""
    said = messages.therapist.bands_report
    lines = paragraph(fill(said.title, {"profile": profile.name}))
    for grade in profile.bands:
        lines += _band(grade, limits["elongation_max"], said)
    lines += heading(said.doubts_title)
    found = validate_bands(profile.bands, limits)
    for one in found:
        lines += row("-", _finding(one, said), 2)
    if not found:
        lines += paragraph(said.no_doubt)
    return "\n".join([*lines, "", *paragraph(said.how_to_add)]) + "\n"


def _band(grade: BandGrade, ceiling: float, said: BandsReportMessages) -> list[str]:
    rubber, rest = rubber_of(grade), grade.resting_length_m
    twice_m = rest * (1 + COMPARED_AT)
    twice_n = tension_n(rubber, rest, twice_m)
    at_twice = {"length_cm": cm(twice_m), "force": f"{twice_n:.1f}", "kg": f"{twice_n / GRAVITY_M_S2:.2f}"}
    constants = {"a": f"{rubber.a_n:.2f}", "b": f"{rubber.b_n:.2f}"}
    reach = {
        "measured": percent(rubber.measured_to),
        "length_cm": cm(rest * (1 + rubber.measured_to)),
    }
    return [
        *heading(fill(said.band, {"grade": grade.name, "band": grade.looks})),
        *paragraph(f"{fill(said.resting, {'resting_cm': cm(rest)})} {fill(said.twice, at_twice)}"),
        *paragraph(fill(said.law, constants)),
        *row("", fill(said.a_means, constants), _MARK_WIDTH),
        *row("", fill(said.b_means, constants), _MARK_WIDTH),
        "",
        *columns([said.columns, *(_point(residual) for residual in residuals(grade))], said.title, left=0),
        "",
        *_curve(grade, rubber, ceiling, said),
        *paragraph(fill(said.beyond, reach)),
        *paragraph(fill(said.ceiling, {"ceiling": percent(ceiling), "length_cm": cm(rest * (1 + ceiling))})),
    ]


def _point(residual: Residual) -> tuple[str, ...]:
    point = residual.point
    return (
        cm(point.length_m),
        percent(residual.elongation),
        f"{point.force_n:.1f}",
        f"{residual.fitted_n:.1f}",
        percent(residual.relative, "+"),
    )


def _curve(grade: BandGrade, rubber: Rubber, ceiling: float, said: BandsReportMessages) -> list[str]:
    """Force against elongation: the fit over the measured range, dotted up to the ceiling, and the points."""
    measured = round(rubber.measured_to * 100)
    farthest = max(measured, round(ceiling * 100))
    points = residuals(grade)
    curves = [
        _fitted(rubber, range(measured + 1), SOLID),
        _fitted(rubber, range(measured + 1, farthest + 1), _BEYOND),
        Curve(
            tuple(residual.elongation * 100 for residual in points),
            tuple(residual.point.force_n for residual in points),
            _POINT,
            joined=False,
        ),
    ]
    lines = [*paragraph(said.curve_axes), *plot(curves, _PLOT_WIDTH, _PLOT_HEIGHT, ticks(0, farthest, 8), said.title)]
    lines += row(_POINT, said.curve["measured"], _MARK_WIDTH)
    lines += row(sample(SOLID), said.curve["fitted"], _MARK_WIDTH)
    if farthest > measured:
        lines += row(sample(_BEYOND), said.curve["extrapolated"], _MARK_WIDTH)
    return [*lines, ""]


def _fitted(rubber: Rubber, percents: range, mark: str) -> Curve:
    """The fitted curve of one strand at whole percents of elongation; it does not depend on the resting length."""
    forces = tuple(tension_n(rubber, 1.0, 1 + each / 100) for each in percents)
    return Curve(tuple(float(each) for each in percents), forces, mark)


def _finding(finding: BandFinding, said: BandsReportMessages) -> str:
    """A finding as a sentence."""
    if isinstance(finding, SinglePoint):
        return fill(said.one_point, {"grade": finding.grade})
    if isinstance(finding, OutlyingPoint):
        point = finding.residual.point
        values = {
            "grade": finding.grade,
            "length_cm": cm(point.length_m),
            "measured": f"{point.force_n:.1f}",
            "fitted": f"{finding.residual.fitted_n:.1f}",
            "percent": percent(finding.residual.relative, "+"),
        }
        return fill(said.out_of_line, values)
    return fill(
        said.out_of_order,
        {
            "lighter": finding.lighter,
            "heavier": finding.heavier,
            "lighter_n": f"{finding.lighter_n:.1f}",
            "heavier_n": f"{finding.heavier_n:.1f}",
        },
    )

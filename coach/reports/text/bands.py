"""The client's bands: points, fitted curve, residuals, measured range and findings."""

from collections.abc import Mapping

from coach.drawing.plots.axes import even_ticks, numeric_axis, ticks
from coach.drawing.plots.plot import Line, Marks, Plot
from coach.drawing.plots.plot_rows import plot_lines
from coach.mechanics.band import Rubber, fit, rubber_of, tension_n
from coach.mechanics.band_uncertainty import age_uncertainty
from coach.mechanics.band_validation import (
    COMPARED_AT,
    BandFinding,
    OutlyingPoint,
    Residual,
    SinglePoint,
    residuals,
    validate_bands,
)
from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.model.band import BandGrade
from coach.model.content import Messages
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import BandsReportMessages
from coach.model.profile import Profile
from coach.overview.chart_plot import SAMPLES
from coach.overview.text_columns import text_columns
from coach.reports.text.layout import cm, columns, heading, marked, paragraph, percent
from coach.store.client_store import ClientStore

_PLOT_WIDTH, _PLOT_HEIGHT = 76, 16
_MARK_WIDTH = 4
_POINT = "●"


def bands_of_client(store: ClientStore) -> str:
    """Every band of a client; where exercises differ in a limit, the lowest, which is the strictest of each."""
    each = [store.content.limit_values(one.prescription.limits) for one in store.exercises]
    strictest = {name: min(limits[name] for limits in each) for name in each[0]}
    return bands_text(store.profile, strictest, store.content.messages, store.progress.band_use)


def bands_text(
    profile: Profile, limits: Mapping[str, float], messages: Messages, used: Mapping[str, float] | None = None
) -> str:
    """Every band of a client, at most 80 columns wide; reads elongation_max, point_misfit_max and band_age_max.

    `used` is by how many repetitions each band has aged since it was measured. Bands to measure again come first.
    """
    texts = messages.therapist.bands_report
    lines = paragraph(fill(texts.title, {"profile": profile.name}))
    ages = {name: age_uncertainty(repetitions, limits) for name, repetitions in (used or {}).items()}
    worn = [grade.name for grade in profile.bands if ages.get(grade.name, 0.0) > limits["band_age_max"]]
    for name in worn:
        values = {
            "profile": profile.name,
            "grade": name,
            "percent": percent(ages[name]),
            "limit": percent(limits["band_age_max"]),
        }
        lines += marked("-", fill(texts.to_measure, values), 2)
    for grade in profile.bands:
        lines += _band(grade, limits["elongation_max"], texts)
        lines += _age(grade, (used or {}).get(grade.name, 0.0), limits, texts)
    found = validate_bands(profile.bands, limits)
    lines += heading(texts.doubts_title) if found or not worn else []
    for one in found:
        lines += marked("-", _finding(one, texts), 2)
    if not found and not worn:
        lines += paragraph(texts.no_doubt)
    return "\n".join([*lines, "", *paragraph(texts.how_to_add)]) + "\n"


def _band(grade: BandGrade, ceiling: float, texts: BandsReportMessages) -> list[str]:
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
        *heading(fill(texts.band, {"grade": grade.name, "band": grade.looks})),
        *paragraph(f"{fill(texts.resting, {'resting_cm': cm(rest)})} {fill(texts.twice, at_twice)}"),
        *paragraph(fill(texts.law, constants)),
        *marked("", fill(texts.a_means, constants), _MARK_WIDTH),
        *marked("", fill(texts.b_means, constants), _MARK_WIDTH),
        "",
        *columns([texts.columns, *(_point(residual) for residual in residuals(grade))], texts.title, left=0),
        "",
        *_curve(grade, rubber, ceiling, texts),
        *paragraph(fill(texts.beyond, reach)),
        *paragraph(fill(texts.ceiling, {"ceiling": percent(ceiling), "length_cm": cm(rest * (1 + ceiling))})),
    ]


def _age(grade: BandGrade, repetitions: float, limits: Mapping[str, float], texts: BandsReportMessages) -> list[str]:
    """When the band was measured, how much it was used since, and how it was measured before."""
    dated = grade.measured_on is not None
    said = [fill(texts.measured_on, {"day": grade.measured_on}) if dated else texts.not_dated]
    if repetitions:
        values = {"repetitions": round(repetitions), "percent": percent(age_uncertainty(repetitions, limits))}
        said.append(fill(texts.used, values))
    lines = paragraph(" ".join(said)) if dated or repetitions else []
    for one in grade.earlier:
        force_n = tension_n(fit(one.points, one.resting_length_m), 1.0, 1 + COMPARED_AT)
        text = texts.before if one.measured_on is not None else texts.before_not_dated
        lines += paragraph(fill(text, {"day": one.measured_on, "force": f"{force_n:.1f}"}))
    return lines


def _point(residual: Residual) -> tuple[str, ...]:
    point = residual.point
    return (
        cm(point.length_m),
        percent(residual.elongation),
        f"{point.force_n:.1f}",
        f"{residual.fitted_n:.1f}",
        percent(residual.relative, "+"),
    )


def _curve(grade: BandGrade, rubber: Rubber, ceiling: float, texts: BandsReportMessages) -> list[str]:
    """Force against elongation: the fit over the measured range, dotted up to the ceiling, and the points."""
    measured = round(rubber.measured_to * 100)
    farthest = max(measured, round(ceiling * 100))
    points = residuals(grade)
    fitted = Line(_fitted(rubber, range(measured + 1)))
    beyond = Line(_fitted(rubber, range(measured, farthest + 1)), "curve_dotted")
    marks = Marks(tuple((one.elongation * 100, one.point.force_n) for one in points), _POINT)
    forces = [force for shape in (fitted, beyond, marks) for _, force in shape.points]
    up = even_ticks(min(forces), max(forces), _PLOT_HEIGHT // 3, _PLOT_HEIGHT)
    x_axis, y_axis = (numeric_axis(axis, texts.title) for axis in (ticks(0, farthest, 8), up))
    drawn = Plot(x_axis, y_axis, lines=(beyond, fitted), marks=(marks,))
    lines = [*paragraph(texts.curve_axes), *plot_lines(drawn, min(_PLOT_WIDTH, text_columns()), _PLOT_HEIGHT)]
    lines += marked(_POINT, texts.curve["measured"], _MARK_WIDTH)
    lines += marked(SAMPLES["curve"], texts.curve["fitted"], _MARK_WIDTH)
    if farthest > measured:
        lines += marked(SAMPLES["curve_dotted"], texts.curve["extrapolated"], _MARK_WIDTH)
    return [*lines, ""]


def _fitted(rubber: Rubber, percents: range) -> tuple[tuple[float, float], ...]:
    """The fitted curve of one strand at whole percents of elongation; it does not depend on the resting length."""
    return tuple((float(each), tension_n(rubber, 1.0, 1 + each / 100)) for each in percents)


def _finding(finding: BandFinding, texts: BandsReportMessages) -> str:
    """A finding as a sentence."""
    if isinstance(finding, SinglePoint):
        return fill(texts.one_point, {"grade": finding.grade})
    if isinstance(finding, OutlyingPoint):
        point = finding.residual.point
        values = {
            "grade": finding.grade,
            "length_cm": cm(point.length_m),
            "measured": f"{point.force_n:.1f}",
            "fitted": f"{finding.residual.fitted_n:.1f}",
            "percent": percent(finding.residual.relative, "+"),
        }
        return fill(texts.out_of_line, values)
    return fill(
        texts.out_of_order,
        {
            "lighter": finding.lighter,
            "heavier": finding.heavier,
            "lighter_n": f"{finding.lighter_n:.1f}",
            "heavier_n": f"{finding.heavier_n:.1f}",
        },
    )

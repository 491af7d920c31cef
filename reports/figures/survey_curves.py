"""Curves read with a gauge, beside those of the car as fitted and as the other readings alone make it."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.survey.curve_fit import CurvesFit
from kinematics.survey.curves import Curve
from kinematics.survey.fit import SurveyFit
from reports.figures.legends import legend_above
from reports.figures.style import BLACK, DASHED, MARGIN, SKY, VERMILION, WIDTH, Column, Sheet, paper
from solvers.vectors import Array

_HEAD, _HEIGHT, _BELOW, _NAMES = 0.36, 2.3, 0.55, 0.95  # in
_NOTE = (
    "Dots: as read, with two standard deviations either way. Line: the car as fitted to all that was read. Dashed: as "
    "the other readings alone make it. The gauge's zero is not known, so each line is moved up or down to fit."
)


def survey_curves(found: SurveyFit, car: str, unit: LengthUnit) -> Figure:
    """Draw every curve of a fitted survey, a panel for each. ValueError for a survey without curves."""
    if found.curved is None:
        raise ValueError("this survey has no curves that were fitted")
    with paper():
        return _draw(found, found.curved, car, unit)


def _draw(found: SurveyFit, curved: CurvesFit, car: str, unit: LengthUnit) -> Figure:
    curves = found.survey.curves
    title = f"{found.axle.name} axle: curves as read, and of the car as fitted"
    column = Column(Sheet(title, car), found.axle, [_HEAD + _HEIGHT + _BELOW] * len(curves), (_NOTE,))
    for row, (curve, before, after) in enumerate(zip(curves, curved.before, curved.after, strict=True)):
        axes = column.axes(row, _HEAD, _HEIGHT, _NAMES)
        _panel(axes, curve, before, after, unit)
        marks, words = axes.get_legend_handles_labels()
        legend_above(axes, dict(zip(words, marks, strict=True)), WIDTH - _NAMES - MARGIN, _HEIGHT)
    return column.figure


def _panel(axes: Axes, curve: Curve, before: Array, after: Array, unit: LengthUnit) -> None:
    order = np.argsort(curve.at)
    at = curve.at[order] * Dimension.LENGTH.scale(unit)
    scale = curve.dimension.scale(unit)
    axes.errorbar(
        at,
        curve.reads[order] * scale,
        yerr=2.0 * curve.doubt * scale,
        fmt="o",
        color=VERMILION,
        label="as read",
        zorder=3,
    )
    axes.plot(at, after[order] * scale, color=BLACK, label="as fitted")
    axes.plot(at, before[order] * scale, color=SKY, linestyle=DASHED, label="by the other readings alone")
    over = "rack travel" if curve.over == "rack" else "wheel travel"
    axes.set_xlabel(f"{over} [{Dimension.LENGTH.unit(unit)}]")
    axes.set_ylabel(f"{curve.of.replace('_', ' ')} [{curve.dimension.unit(unit)}]")
    axes.margins(0.03, 0.06)

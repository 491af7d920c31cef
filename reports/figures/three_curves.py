"""The three curves that decide, low enough for a report's first page: force-weighted height, camber and toe in bump."""

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit, WorkingRange
from kinematics.sweeps.body import Sweep
from reports.figures.curve_panels import BAND, LEFT_MARGIN, NO_BANDS, Bands, Panel, wheel_panel
from reports.figures.curves import fill_panel, mark_stops, shade_limit
from reports.figures.driver_axis import driver_axis
from reports.figures.legends import LOOK
from reports.figures.roll_centre_panels import weighted_panel
from reports.figures.style import Column, Sheet, paper

_HEAD, _BELOW = 0.21, 0.4  # in: a panel's line of words, what stands below the last
_HEIGHTS = (0.85, 0.5, 0.5)  # in
_WHEELS = ("camber", "toe")


def three_curves(
    sweep: Sweep,
    limits: Sequence[Limit],
    unit: LengthUnit,
    sheet: Sheet,
    working: WorkingRange,
    bands: Bands = NO_BANDS,
) -> Figure:
    """Draw a sweep in bump; limits of what is shown are shaded, bands drawn where there are some."""
    with paper():
        sweeps = [("", sweep)]
        driver = driver_axis(sweeps, unit)
        panels = [
            weighted_panel(sweep, driver, limits, unit, bands),
            *(wheel_panel(key, sweeps, driver, limits, unit, bands) for key in _WHEELS),
        ]
        rows = [_HEAD + height for height in _HEIGHTS]
        rows[-1] += _BELOW
        notes = ["Bands: 95 % of such measurements."] if bands.ends else []
        column = Column(sheet, sweep.axle, rows, notes, footed=False)
        for place, (panel, height) in enumerate(zip(panels, _HEIGHTS, strict=True)):
            axes = column.axes(place, _HEAD, height, LEFT_MARGIN)
            axes.set_xlim(*driver.span)
            axes.set_ylim(*panel.range)
            axes.tick_params(labelbottom=place == len(panels) - 1, labelsize=7.0)
            axes.locator_params(axis="y", nbins=4)
            fill_panel(axes, panel)
            mark_stops(axes, panel, sweep.axle, unit, named=place == 0)
            for limit in panel.limits:
                shade_limit(axes, limit, driver, unit, working)
            _words(axes, panel, unit, height)
        axes.set_xlabel(driver.label)
    return column.figure


def _words(axes: Axes, panel: Panel, unit: LengthUnit, height: float) -> None:
    """What a panel shows and its legend, in one line above it."""
    axes.set_ylabel(panel.quantity.label(unit), rotation=0, horizontalalignment="left", verticalalignment="bottom")
    axes.yaxis.set_label_coords(0.0, 1.0 + 0.03 / height)
    legend = {words: mark for words, mark in panel.legend.items() if words != BAND}  # a note says it
    if legend:
        axes.legend(
            list(legend.values()), list(legend), loc="lower right", bbox_to_anchor=(1.0, 1.0 + 0.03 / height),
            ncols=len(legend), borderaxespad=0.0, **LOOK,
        )  # fmt: skip

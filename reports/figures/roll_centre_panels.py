"""Panels of the roll centre: its height in all ways in bump; in roll what leans the car first, and how far aside it is.

In roll the force-weighted height says how the car leans. The kinematic roll centre then runs off sideways, and with it
its height: it is drawn pale, and not at all where it lies more than a track off the centre plane.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.artist import Artist
from matplotlib.lines import Line2D

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit
from kinematics.numbers.registry import QUANTITIES
from kinematics.numbers.roll_centre import through_infinity
from kinematics.sweeps.body import Sweep
from reports.figures import run_off
from reports.figures.curve_panels import (
    Bands,
    Curve,
    Panel,
    around,
    band_legend,
    finite_ends,
    limit_legend,
)
from reports.figures.driver_axis import DriverAxis
from reports.figures.plans import Sweeps, plan_style
from reports.figures.style import BLACK, DASHED, DOTTED, GREY, SKY, SOLID, VERMILION, Style
from solvers.vectors import Array, Flags

_LEAST = 50.0  # mm, smallest vertical span, so that nothing is blown up out of proportion
_WIDEST = 10.0  # times the frame; a wider band of offsets is no more than noise
_PALE_REACH = 50.0  # mm; how far a frame follows what is drawn pale
_PALE: Style = {"linestyle": SOLID, "linewidth": 1.1, "alpha": 0.45, "zorder": 1.8}  # under what counts
_HEIGHT, _WEIGHTED, _OFFSET = "roll_centre_height", "force_weighted_height", "roll_centre_offset"
_FAR_ASIDE = "Kinematic heights are left out where that point lies more than a track width off the centre plane."

_PALE_ARE = (
    "Pale: each plan's kinematic roll-centre height, as far as that point lies in the picture and no more than a track "
    "width off the centre plane."
)


@dataclass(frozen=True)
class _Way:
    """One way to find a roll centre, and its line; offset is empty where the height cannot run off sideways."""

    title: str
    height: str
    offset: str
    style: Style


_KINEMATIC = _Way("kinematic", _HEIGHT, _OFFSET, {"color": SKY, "linestyle": SOLID, "linewidth": 3.6})
_TEXTBOOK = _Way(
    "textbook",
    "textbook_roll_centre_height",
    "textbook_roll_centre_offset",
    {"color": BLACK, "linestyle": DASHED, "linewidth": 1.3},
)
_FORCE_WEIGHTED = _Way("force-weighted", _WEIGHTED, "", {"color": VERMILION, "linestyle": DOTTED, "linewidth": 1.8})
# The broad pale line lets the two thin ones be seen where all three coincide.
_IN_BUMP = (_KINEMATIC, _TEXTBOOK, _FORCE_WEIGHTED)
_IN_ROLL = (
    replace(_FORCE_WEIGHTED, style={"color": VERMILION, "linestyle": SOLID, "linewidth": 2.2, "zorder": 2.2}),
    replace(_KINEMATIC, style={"color": SKY, "linestyle": SOLID, "linewidth": 2.4, "alpha": 0.6}),
    replace(_TEXTBOOK, style={"color": GREY, "linestyle": DASHED, "linewidth": 0.9}),
)
_IN_BRIEF = _IN_ROLL[:1]


def roll_centre_panels(
    sweeps: Sweeps, driver: DriverAxis, limits: Sequence[Limit], unit: LengthUnit, bands: Bands
) -> tuple[Panel, ...]:
    """Heights, and in roll the offset too: of one sweep in all ways, of several as plans are told apart."""
    heights = _heights(sweeps, driver, limits, unit, bands)
    return (heights, _offset(sweeps, driver, limits, unit, bands)) if driver.part == "roll" else (heights,)


def weighted_panel(sweep: Sweep, driver: DriverAxis, limits: Sequence[Limit], unit: LengthUnit, bands: Bands) -> Panel:
    """The force-weighted height of one sweep by itself."""
    return _heights([("", sweep)], driver, limits, unit, bands, _IN_BRIEF)


def _heights(
    sweeps: Sweeps,
    driver: DriverAxis,
    limits: Sequence[Limit],
    unit: LengthUnit,
    bands: Bands,
    drawn_ways: Sequence[_Way] = (),
) -> Panel:
    single, in_roll = len(sweeps) == 1, driver.part == "roll"
    # A type without a drawing-board construction has no textbook curve.
    ways = drawn_ways or (_IN_ROLL if in_roll else _IN_BUMP)
    ways = [way for way in ways if way is not _TEXTBOOK or _known(sweeps, way.height)]
    ways = [way for way in ways if _known(sweeps, way.height) or way.height == _HEIGHT]
    if not single:
        ways = [way for way in ways if way.title != "textbook"] if in_roll else [_KINEMATIC]
    main, several = ways[0], single and len(ways) > 1
    ours, others = _limits(driver, limits, main.height)
    low, high = _window(sweeps, driver, ways, [*ours, *others])
    off = run_off.Notes(driver.decimals, driver.symbol, unit, "from the ground")
    drawn = [
        _curve(_named(sweeps, index, way, main), sweep, driver.values[index], way, _look(sweeps, index, way, main),
               (low, high), unit, off if single or way is main else None)
        for way in ways for index, (_, sweep) in enumerate(sweeps)
    ]  # fmt: skip
    notes = list(off.lines())
    if not single and in_roll:
        notes.append(_PALE_ARE)
    elif any(_runs_aside(sweep) for _, sweep in sweeps) and any(way.offset for way in ways):
        notes.append(_FAR_ASIDE)
    lines: dict[str, Artist] = {way.title: Line2D([], [], **way.style) for way in ways} if several else {}
    colours = (main.style["color"],) if single else ()
    shown = around(QUANTITIES[main.height], driver, bands, unit, colours, (high - low) / unit.in_mm)
    legend = lines | band_legend(shown) | limit_legend(ours, driver, unit)
    legend |= limit_legend(others, driver, unit, "kinematic ")
    quantity = QUANTITIES[_HEIGHT if several else main.height]
    label = f"{'kinematic ' if not single and not in_roll else ''}{quantity.axis_label(unit)}"
    edges = (low / unit.in_mm, high / unit.in_mm)
    return Panel(quantity, label, tuple(drawn), edges, (*ours, *others), legend, tuple(notes), shown)


def _limits(driver: DriverAxis, limits: Sequence[Limit], key: str) -> tuple[list[Limit], list[Limit]]:
    """Those of the height that counts, and those of the kinematic one besides, where they allow another range."""
    ours, kinematic = driver.of(limits, key), driver.of(limits, _HEIGHT)
    if not ours or key == _HEIGHT:
        return kinematic, []
    ranges = {(limit.low, limit.high) for limit in ours}
    return ours, [limit for limit in kinematic if (limit.low, limit.high) not in ranges]


def _window(sweeps: Sweeps, driver: DriverAxis, ways: Sequence[_Way], limits: Sequence[Limit]) -> tuple[float, float]:
    """Range of heights [mm]: what counts sets it, and what is drawn pale is followed a little way."""
    counts = ways[:1] if driver.part == "roll" else ways
    heights = [sweep[way.height] for _, sweep in sweeps for way in counts]
    zero = [
        _at_zero(x, sweep[way.height])
        for x, (_, sweep) in zip(driver.values, sweeps, strict=True)
        for way in counts
    ]  # fmt: skip
    core = np.array([*zero, *finite_ends(limits)])
    if driver.part != "roll":
        return run_off.window(core, np.concatenate(heights), run_off.REACH, _LEAST)
    known = core[np.isfinite(core)]
    ends = (known.min(), known.max()) if known.size else (0.0, 0.0)
    values = np.concatenate(heights)
    near = values[(values > ends[0] - run_off.REACH) & (values < ends[1] + run_off.REACH)]
    pale = [np.where(_aside(sweep, way) >= 0.0, sweep[way.height], np.nan) for _, sweep in sweeps for way in ways[1:]]
    return run_off.window(np.concatenate([core, near]), np.concatenate([near, *pale]), _PALE_REACH, _LEAST)


def _named(sweeps: Sweeps, index: int, way: _Way, main: _Way) -> str:
    if len(sweeps) == 1:
        return way.title
    return sweeps[index][0] if way is main else f"{way.title} of {sweeps[index][0]}"


def _look(sweeps: Sweeps, index: int, way: _Way, main: _Way) -> Style:
    if len(sweeps) == 1:
        return way.style
    own = plan_style(index, sweeps[index][1].shape[0])
    return own if way is main else {"color": own["color"], **_PALE}


def _curve(
    name: str,
    sweep: Sweep,
    x: Array,
    way: _Way,
    style: Style,
    frame: tuple[float, float],
    unit: LengthUnit,
    off: run_off.Notes | None,
) -> Curve:
    height, (low, high) = sweep[way.height], frame
    within, beside = run_off.margin(height, low, high), _aside(sweep, way)
    inside = np.minimum(within, beside)
    through = _through(sweep, way)
    shown_x, shown_y = run_off.broken(inside, through, x, height / unit.in_mm, cut=beside < 0.0)
    # Where it runs off sideways it does not leave by the frame's edge.
    by_edge = np.where(beside >= 0.0, within, np.nan)
    exits = [(at, _nearer_edge(at, x, height, low, high) / unit.in_mm) for at in run_off.exits(x, by_edge)]
    if off is not None:
        # Where it has run aside its height says nothing, however large it is.
        far = np.where((beside < 0.0) & np.isfinite(height), 0.0, np.abs(height))
        off.add(name, x, far, inside, through, sweep.reached)
    return Curve(name, shown_x, shown_y, style, tuple(exits))


def _offset(sweeps: Sweeps, driver: DriverAxis, limits: Sequence[Limit], unit: LengthUnit, bands: Bands) -> Panel:
    """How far aside the kinematic roll centre is, to a track either way."""
    quantity, single = QUANTITIES[_OFFSET], len(sweeps) == 1
    ours = driver.of(limits, _OFFSET)
    reach = run_off.FARTHEST_ASIDE * max(_track(sweep) for _, sweep in sweeps)
    values = np.concatenate([sweep[_OFFSET] for _, sweep in sweeps])
    low, high = run_off.window(np.array([0.0, *finite_ends(ours)]), values, reach, _LEAST)
    drawn = []
    for index, (name, sweep) in enumerate(sweeps):
        offset = sweep[_OFFSET]
        style = _IN_ROLL[1].style if single else plan_style(index, sweep.shape[0])
        inside = run_off.margin(offset, low, high)
        x, y = run_off.broken(inside, _through(sweep, _KINEMATIC), driver.values[index], offset / unit.in_mm)
        drawn.append(Curve("kinematic" if single else name, x, y, style))
    colours = (_IN_ROLL[1].style["color"],) if single else ()
    # A band that leaves the frame says that it is not known on which side the point is.
    shown = around(quantity, driver, bands, unit, colours, _WIDEST * (high - low) / unit.in_mm)
    legend = band_legend(shown) | limit_legend(ours, driver, unit)
    edges = (low / unit.in_mm, high / unit.in_mm)
    label = f"kinematic {quantity.axis_label(unit)}"
    return Panel(quantity, label, tuple(drawn), edges, tuple(ours), legend, bands=shown)


def _aside(sweep: Sweep, way: _Way) -> Array:
    if not way.offset:
        return np.full(sweep.shape, np.inf)
    return run_off.aside(sweep[way.offset], _track(sweep))


def _track(sweep: Sweep) -> float:
    return sweep.track if sweep.reached.any() else 0.0


def _runs_aside(sweep: Sweep) -> bool:
    return bool((_aside(sweep, _KINEMATIC) < 0.0).any())


def _through(sweep: Sweep, way: _Way) -> Flags:
    """Between which neighbours a height passes infinity."""
    if not way.offset:
        return np.zeros(sweep.shape[0] - 1, dtype=bool)
    return through_infinity(sweep[way.offset], sweep.track)


def _known(sweeps: Sweeps, key: str) -> bool:
    return any(key in sweep.values and np.isfinite(sweep[key]).any() for _, sweep in sweeps)


def _at_zero(x: Array, values: Array) -> float:
    return float(values[np.nanargmin(np.abs(x))])


def _nearer_edge(at: float, x: Array, height: Array, low: float, high: float) -> float:
    known = np.isfinite(height) & np.isfinite(x)
    order = np.argsort(x[known])
    return high if np.interp(at, x[known][order], height[known][order]) > 0.5 * (low + high) else low

"""Curves that run off to infinity: an axis that stays readable, the curve broken, and words for where it left.

A roll centre is the meeting of two lines; where they become parallel it goes out at one side of the
picture and comes back at the other.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from reports.figures.far_away import is_far
from reports.figures.style import number
from solvers.vectors import Array, Flags

REACH = 150.0  # mm; how far beyond limits and ride-height values an axis follows a roll centre
# A roll centre farther off the centre plane has run off, and its height says nothing.
FARTHEST_ASIDE = 1.0  # of the track
_FAR = 1000.0  # mm; a ride-height value farther off than this does not widen the axis


def window(core: Array, values: Array, reach: float, least: float) -> tuple[float, float]:
    """Range low..high of an axis [mm]: all of `core`, and `values` as far as they lie within reach of it.

    Values that are not finite, or core values that are absurdly far off, count for nothing.
    least: smallest span of the range.
    """
    near = core[np.isfinite(core) & (np.abs(core) <= _FAR)]
    near = near if near.size else np.zeros(1)
    known = np.concatenate([near, values[np.isfinite(values)]])
    low = max(float(known.min()), float(near.min()) - reach)
    high = min(float(known.max()), float(near.max()) + reach)
    pad = max(0.04 * (high - low), 0.5 * (least - (high - low)))
    return low - pad, high + pad


def aside(offset: Array, track: float) -> Array:
    """How far a roll centre's offset [mm] lies inside a track to either side, negative where it has run off."""
    return np.where(np.isfinite(offset), FARTHEST_ASIDE * track - np.abs(offset), np.inf)


def margin(values: Array, low: float, high: float) -> Array:
    """How far values lie inside a window, negative outside; minus infinity where they do not exist."""
    inside = np.minimum(values - low, high - values)
    return np.where(np.isfinite(values), inside, -np.inf)


def broken(inside: Array, through: Flags, *columns: Array, cut: Flags | None = None) -> tuple[Array, ...]:
    """Columns of a curve as they are to be drawn: with NaN wherever the pen must be lifted.

    inside: margin to the window (S,). One sample beyond the window is kept, so that the curve reaches the
    frame. through: from `roll_centre.through_infinity`; NaN is inserted there. cut: samples of which none is kept.
    """
    shown = inside >= 0.0
    shown[1:] |= inside[:-1] >= 0.0
    shown[:-1] |= inside[1:] >= 0.0
    shown &= True if cut is None else ~cut
    at = np.flatnonzero(through) + 1
    return tuple(np.insert(np.where(shown, column, np.nan), at, np.nan) for column in columns)


def spells_outside(driver: Array, inside: Array, reached: Flags) -> list[tuple[float, float]]:
    """Ranges of the driver over which a curve lies outside; infinite where such a range ends the sweep.

    Positions that the linkage does not reach are left out.
    """
    driver, inside = driver[reached], inside[reached]
    order = np.argsort(driver)
    driver, inside = driver[order], inside[order]
    out = inside < 0.0
    edges = np.diff(np.concatenate([[False], out, [False]]).astype(int))
    spells = []
    for first, behind in zip(np.flatnonzero(edges == 1).tolist(), np.flatnonzero(edges == -1).tolist(), strict=True):
        start = _crossing(driver, inside, first - 1, first) if first else -np.inf
        end = _crossing(driver, inside, behind, behind - 1) if behind < driver.size else np.inf
        spells.append((start, end))
    return spells


def exits(driver: Array, inside: Array) -> list[float]:
    """Where a curve leaves the window or comes back, as far as it is known on both sides."""
    known = np.isfinite(inside) & np.isfinite(driver)
    both = known[1:] & known[:-1] & ((inside[1:] < 0.0) != (inside[:-1] < 0.0))
    return [_crossing(driver, inside, i, i + 1) for i in np.flatnonzero(both).tolist()]


def _crossing(driver: Array, inside: Array, here: int, there: int) -> float:
    """Where the margin turns negative between a sample and its neighbour outside."""
    if not np.isfinite(inside[here]):
        return float(driver[there])
    if not np.isfinite(inside[there]):
        return float(driver[here])
    part = inside[here] / (inside[here] - inside[there])
    return float(driver[here] + part * (driver[there] - driver[here]))


@dataclass
class Notes:
    """Collects in words where curves leave the picture; curves that leave it together share a line.

    decimals, symbol: of the driver as written. origin: words after a distance. begin: the first words.
    """

    decimals: int
    symbol: str
    unit: LengthUnit
    origin: str
    begin: str = "Off the picture"
    _gone: dict[str, list[tuple[str, float]]] = field(default_factory=dict)

    def add(self, name: str, driver: Array, distance: Array, inside: Array, through: Flags, reached: Flags) -> None:
        """Note one curve: its driver in the user's unit, distance from the origin [mm], and what is told above."""
        spells = spells_outside(driver, inside, reached)
        farthest = float(np.max(distance, initial=0.0, where=np.isfinite(distance)))
        if through.any() or is_far(farthest) or not np.isfinite(distance[reached]).all():
            farthest = np.inf
        if spells:
            self._gone.setdefault(f"{self.begin} {self._places(spells)}", []).append((name, farthest))
        for i in np.flatnonzero(through & (inside[1:] >= 0.0) & (inside[:-1] >= 0.0)):
            first, last = sorted((float(driver[i]), float(driver[i + 1])))
            where = f"To infinity and back between {self._signed(first)} and {self._signed(last)} {self.symbol}"
            self._gone.setdefault(where, []).append((name, np.nan))

    def lines(self) -> tuple[str, ...]:
        """One line for each range: where, which curves, and how far they go."""
        return tuple(self._line(where, gone) for where, gone in self._gone.items())

    def _line(self, where: str, gone: Sequence[tuple[str, float]]) -> str:
        farthest = max(far for _, far in gone)
        far = (
            f"up to {number(farthest, Dimension.LENGTH, self.unit)} {self.origin}"
            if farthest < np.inf
            else "to infinity"
        )
        names = ", ".join(name for name, _ in gone)
        return f"{where}: {names}." if np.isnan(farthest) or farthest == 0.0 else f"{where} ({far}): {names}."

    def _places(self, spells: Sequence[tuple[float, float]]) -> str:
        """Ranges in words: "beyond +2.4 deg", "from +0.3 to +0.9 deg"."""
        if any(np.isinf(start) and np.isinf(end) for start, end in spells):
            return "throughout"
        ends = [self._signed(end if np.isinf(start) else start) for start, end in spells if np.isinf(end - start)]
        words = [self._between(start, end) for start, end in spells if np.isfinite(end - start)]
        if len(ends) == 2 and ends[0] == ends[1]:
            words.insert(0, f"everywhere but at {ends[0]}")
        elif ends:
            words.insert(0, f"beyond {' and '.join(ends)}")
        return f"{' and '.join(words)} {self.symbol}"

    def _between(self, start: float, end: float) -> str:
        first, last = self._signed(start), self._signed(end)
        return f"at about {first}" if first == last else f"from {first} to {last}"

    def _signed(self, value: float) -> str:
        rounded = round(value, self.decimals) + 0.0
        return f"{rounded:{'+' if rounded else ''}.{self.decimals}f}".replace("-", "\N{MINUS SIGN}")

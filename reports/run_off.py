"""Curves that run off to infinity: an axis that stays readable, the curve broken, and words for where it left.

A roll centre is the meeting of two lines; where they become parallel it goes out at one side of the
picture and comes back at the other.
"""

from collections.abc import Sequence

import numpy as np

from solvers.vectors import Array, Flags

REACH = 150.0  # mm; how far beyond limits and ride-height values an axis follows a roll centre
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


def margin(values: Array, low: float, high: float) -> Array:
    """How far values lie inside a window, negative outside; minus infinity where they do not exist."""
    inside = np.minimum(values - low, high - values)
    return np.where(np.isfinite(values), inside, -np.inf)


def passes_infinity(offset: Array, track: float) -> Flags:
    """Between which neighbours (S,) -> (S-1,) a roll centre leaves on one side and comes back on the other.

    Its offset then changes sign with a jump wider than the track.
    """
    return np.asarray((offset[1:] * offset[:-1] < 0.0) & (np.abs(np.diff(offset)) > track))


def broken(inside: Array, through: Flags, *columns: Array) -> tuple[Array, ...]:
    """Columns of a curve as they are to be drawn: with NaN wherever the pen must be lifted.

    inside: margin to the window (S,). One sample beyond the window is kept, so that the curve reaches the
    frame. through: from `passes_infinity`; NaN is inserted there.
    """
    shown = inside >= 0.0
    shown[1:] |= inside[:-1] >= 0.0
    shown[:-1] |= inside[1:] >= 0.0
    at = np.flatnonzero(through) + 1
    return tuple(np.insert(np.where(shown, column, np.nan), at, np.nan) for column in columns)


def spells_outside(driver: Array, inside: Array, reached: Flags) -> list[tuple[float, float]]:
    """Ranges of the driver over which a curve lies outside; infinite where such a range ends the sweep.

    Positions that the linkage does not reach are not outside.
    """
    order = np.argsort(driver)
    driver, inside, reached = driver[order], inside[order], reached[order]
    out = reached & (inside < 0.0)
    edges = np.diff(np.concatenate([[False], out, [False]]).astype(int))
    spells = []
    for first, behind in zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True):
        start = _crossing(driver, inside, first - 1, first) if first else -np.inf
        end = _crossing(driver, inside, behind, behind - 1) if behind < driver.size else np.inf
        spells.append((start, end))
    return spells


def _crossing(driver: Array, inside: Array, here: int, there: int) -> float:
    """Where the margin turns negative between a sample inside and its neighbour outside."""
    if not np.isfinite(inside[[here, there]]).all():
        return float(driver[here])
    part = inside[here] / (inside[here] - inside[there])
    return float(driver[here] + part * (driver[there] - driver[here]))


def places(spells: Sequence[tuple[float, float]], decimals: int, symbol: str) -> str:
    """Such ranges in words: "beyond +2.4 deg", "from +0.3 to +0.9 deg"."""
    if not spells:
        return ""
    if any(np.isinf(start) and np.isinf(end) for start, end in spells):
        return "throughout"
    words = []
    for start, end in spells:
        if np.isinf(start) or np.isinf(end):
            words.append(f"beyond {_signed(end if np.isinf(start) else start, decimals)}")
        else:
            words.append(f"from {_signed(start, decimals)} to {_signed(end, decimals)}")
    joined = " and ".join(words).replace(" and beyond", " and")
    return f"{joined} {symbol}"


def _signed(value: float, decimals: int) -> str:
    return f"{round(value, decimals) + 0.0:+.{decimals}f}".replace("-", "\N{MINUS SIGN}")

"""The one rounding of files and documents: twelve digits, so that what was asked for stands there as it was asked."""

import numpy as np
from numpy.typing import ArrayLike

from solvers.vectors import Array

DIGITS = 12  # some 1e-9 mm of a car's lengths, as far as solved positions are checked; a double has four more
_MOST_DECIMALS = 22  # ten to this power is the last that a double holds exactly
_NOTHING = 1e-12  # in the unit at the edge: rounding over rounding, and no number of a car


def decimal(values: ArrayLike) -> Array:
    """Values (...) as the nearest decimal numbers of `DIGITS` digits, zero as 0.0; what is not finite stays.

    A quotient of two whole numbers that doubles hold exactly is the double nearest to a decimal number, so that it is
    written with those digits and no more.
    """
    given = np.asarray(values, dtype=float)
    size = np.abs(given)
    usual = np.isfinite(given) & (size >= _NOTHING) & (size < 10.0**DIGITS)
    before = np.floor(np.log10(np.where(usual, size, 1.0))) + 1.0
    factor = 10.0 ** np.minimum(DIGITS - before, _MOST_DECIMALS)
    rounded = np.rint(np.where(usual, given, 0.0) * factor) / factor
    return np.asarray(np.where(usual, rounded, np.where(size < _NOTHING, 0.0, given)) + 0.0)

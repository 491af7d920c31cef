"""What a result may hold: finite numbers, and gaps that have a reason."""

import numpy as np

from kinematics.sweeps.gaps import Gaps
from solvers.vectors import Array, Flags

# mm, or mm per mm, or rad: what is farther off is at infinity. Its lines part by a rate that is nothing but rounding.
_FARTHEST = 1e9


def leave_gaps(values: Array) -> Flags | None:
    """Make a gap (NaN) of what is infinite, in place; returns where values are finite, None where all of them are."""
    if not np.iscomplexobj(values) and values.size and values.min() >= -_FARTHEST and values.max() <= _FARTHEST:
        # As good as always so; what is not a number fails either comparison.
        return None
    finite = np.isfinite(values) & (np.abs(values.real) <= _FARTHEST)
    if not finite.all():
        np.copyto(values, np.nan, where=~(np.abs(values.real) <= _FARTHEST))
    return finite


def have_reasons(finite: Flags, gaps: Gaps) -> bool:
    """Whether each state with a gap among its numbers (..., k, S) has a reason (..., S)."""
    return bool((finite.all(axis=-2) | gaps.there).all())

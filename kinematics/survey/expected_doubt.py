"""What doubt numbers would have after further readings: exact covariance, many sets of readings at once.

A set of rows with slopes A over their doubts takes v C A' (1 + A C A')^-1 A C v from the variance v C v of a number
with gradient v: for one row the formula of J. Sherman and W. Morrison (1950), for several that of M. Woodbury (1950,
both from memory). What will be read does not count, only slopes and doubts.
"""

from dataclasses import dataclass

import numpy as np

from solvers.vectors import Array, Index


@dataclass(frozen=True)
class ExpectedDoubt:
    """Variances of one number (its S sides) as they are, and all that is needed for them after any of R rows.

    own: (S,) from the readings. shown: (R, S) v C A'. between: (R, R) A C A'. K wheel angles are not fitted but stated,
    and shift the points through the track: leaning (S, K), the number's change with each; through (R, K), how far a row
    differs by it; known_to (K,). stated_again: (R, K), what a row adds to one over an angle's variance.
    """

    own: Array
    shown: Array
    between: Array
    leaning: Array
    through: Array
    known_to: Array
    stated_again: Array

    def variances(self, sets: Index) -> Array:
        """Variances (B, S) after sets of m rows each (B, m); a row that stands there twice is read twice."""
        own, leaning, of_angles = self.own, self.leaning, self.known_to**2
        if sets.shape[1] == 0:
            return np.tile(own + (leaning**2 * of_angles).sum(axis=-1), (len(sets), 1))
        spread = self.between[sets[:, :, None], sets[:, None, :]] + np.eye(sets.shape[1])
        shown = self.shown[sets]
        taken = np.linalg.solve(spread, shown)
        leaning = leaning + taken.mT @ self.through[sets]
        of_angles = of_angles / (1.0 + of_angles * self.stated_again[sets].sum(axis=1))
        left = np.maximum(own - (shown * taken).sum(axis=1), 0.0)
        return np.asarray(left + (leaning**2 * of_angles[:, None, :]).sum(axis=-1))

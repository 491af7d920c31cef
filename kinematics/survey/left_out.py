"""A survey adjusted anew without each suspected row, from several places, so that no reading that is far off bends it.

What a slip in a row would mean is then read off the fit without that row: how well all others agree, and what they make
of it. Where a point may lie on either side of what it is taped from, the places to begin from lead to both.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kinematics.survey.plausible_links import unlikeliness
from kinematics.survey.readings import directly_read, partners
from kinematics.survey.snooping import State
from kinematics.survey.unknowns import USELESS, start
from solvers.many_fits import ManyFits, fit_many
from solvers.vectors import Array, Index


@dataclass(frozen=True)
class LeftOut:
    """R sets of rows left out, each fitted from P places.

    without: rows of each set (R, k), the last one repeated where a set has fewer. fits: of all (R P).
    """

    state: State
    without: Index
    fits: ManyFits

    @cached_property
    def evidence(self) -> Array:
        """-2 log of how likely all other readings are, but for a constant (R, P).

        Chi-square, how closely they had to agree, and how unlikely a car's links would lie so.
        """
        survey = self.state.survey
        told = self.fits.chi_square + self.fits.log_det
        told = told + unlikeliness(self.fits.parameters, survey.unknowns, survey.axle.suspension)
        return np.asarray(told.reshape(len(self.without), -1))

    @cached_property
    def places(self) -> Array:
        """Parameters (R, P, n)."""
        return np.asarray(self.fits.parameters.reshape(*self.evidence.shape, -1))

    @cached_property
    def covariance(self) -> Array:
        """Of the parameters (R, P, n, n)."""
        count = self.places.shape[-1]
        return np.asarray(self.fits.covariance.reshape(*self.evidence.shape, count, count))

    @cached_property
    def predicted(self) -> Array:
        """What the others make of the rows left out (R, P, k)."""
        return np.asarray(
            np.take_along_axis(self._by_set(self.state.rows.reads - self.fits.residuals), self._at, axis=2)
        )

    @cached_property
    def known_to(self) -> Array:
        """Covariance of that (R, P, k, k)."""
        slopes = np.take_along_axis(self._by_set(self.fits.slopes), self._at[..., None], axis=2)
        return np.asarray(slopes @ self.covariance @ slopes.mT)

    @property
    def _at(self) -> NDArray[np.intp]:
        return np.repeat(np.asarray(self.without, dtype=np.intp)[:, None], self.evidence.shape[1], axis=1)

    def _by_set(self, values: Array) -> Array:
        return np.asarray(values.reshape(*self.evidence.shape, *values.shape[1:]))


def left_out(state: State, without: Sequence[Sequence[int]]) -> LeftOut:
    """A state fitted without each set of rows, from its own place and from others."""
    longest = max(len(one) for one in without)
    sets = np.array([[*one, *([one[-1]] * (longest - len(one)))] for one in without])
    weights = np.tile(1.0 / state.rows.doubts, (len(sets), 1))
    np.put_along_axis(weights, sets, 0.0, axis=1)
    begin = _starts(state, sets)
    count = begin.shape[1]
    return LeftOut(
        state,
        sets,
        fit_many(
            state.rows.predicted,
            np.tile(state.rows.reads, (len(sets) * count, 1)),
            np.repeat(weights, count, axis=0),
            begin.reshape(-1, begin.shape[-1]),
            USELESS,
        ),
    )


def _starts(state: State, sets: Index) -> Array:
    """(R, P, n): where the fit is, where most readings fit, and the typical car drawn to what is read but left out."""
    common = np.tile(np.stack(state.places()), (len(sets), 1, 1))
    unknown, suspension = state.survey.unknowns, state.survey.axle.suspension
    together = partners(state.survey.readings)
    linear, reads = directly_read(state.rows)
    weighed = state.weighed[np.argsort(state.rows.order)][: len(linear)]
    number = np.argsort(state.rows.order)[: len(linear)]
    own = []
    for rows_out in sets:
        kept = weighed & ~np.isin(number, rows_out)
        own.append(start(unknown, suspension, together, linear[kept], reads[kept]))
    nudged = np.array(own) + state.nudge
    return np.concatenate([common, nudged[:, None]], axis=1)

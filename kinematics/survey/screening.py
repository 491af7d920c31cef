"""All slips weighed on the linearised fit, so that only the likeliest need a fit of their own."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.survey.readings import ReadingRows
from kinematics.survey.slips import Idea
from kinematics.survey.snooping import State
from kinematics.survey.unknowns import USELESS
from solvers.many_fits import inverse
from solvers.tangents import derivatives
from solvers.vectors import Array

_NOTHING_LEFT = 1e-6  # of what shows of two rows' errors beside each other's


@dataclass(frozen=True)
class Linear:
    """The fit linearised at a place: all that the screening of ideas needs.

    residuals: weighted, of the linear fit (m,). slopes: weighted Jacobian (m, n). covariance: (n, n). spared: what of
    an error in each row shows in each residual (m, m). step: from the place to the linear fit (n,).
    """

    at: Array
    step: Array
    residuals: Array
    slopes: Array
    covariance: Array
    spared: Array
    chi_square: float
    log_det: float


def linearised(state: State, at: Array) -> Linear:
    """The fit linearised at a place (n,)."""
    doubts = state.rows.doubts
    slopes = np.nan_to_num(derivatives(state.rows.predicted, at)) / doubts[:, None]
    off = state.rows.residuals(at) / doubts
    normal = slopes.T @ slopes + np.eye(at.size) / USELESS**2
    covariance = inverse(normal)
    step = covariance @ (slopes.T @ off)
    residuals = off - slopes @ step
    spared = np.eye(off.size) - slopes @ covariance @ slopes.T
    return Linear(
        at,
        step,
        residuals,
        slopes,
        covariance,
        spared,
        float(residuals @ residuals),
        float(np.linalg.slogdet(normal)[1]),
    )


def value_scores(ideas: Sequence[Idea], linear: Linear, state: State, row_of: Mapping[int, int]) -> Array:
    """Chi-square with other values, and what the slopes tell, on the linear fit: b off changes it by b'Qb - 2 b'r."""
    if not ideas:
        return np.zeros(0)
    # Ideas of one reading are those of two, the second of which does not change.
    at = np.array([[row_of[idea.of[0]], row_of[idea.of[-1]]] for idea in ideas])
    meant = np.array(
        [idea.reads if len(idea.of) == 2 else (*idea.reads, state.rows.reads[row_of[idea.of[0]]]) for idea in ideas]
    )
    off = state.rows.reads[at] - meant
    off = off / state.rows.doubts[at]
    spared = linear.spared
    squares = sum(off[:, i] * off[:, j] * spared[at[:, i], at[:, j]] for i in range(2) for j in range(2))
    return np.asarray(linear.chi_square + linear.log_det + squares - 2.0 * (off * linear.residuals[at]).sum(axis=1))


def taken_away(linear: Linear, pairs: Array) -> Array:
    """The r' Q^-1 r of each pair of rows: what leaving both out takes from chi-square (formula)."""
    one, other = pairs.T
    q_one, q_other, q_both = linear.spared[one, one], linear.spared[other, other], linear.spared[one, other]
    r_one, r_other = linear.residuals[one], linear.residuals[other]
    left = q_one * q_other - q_both**2
    sound = left > _NOTHING_LEFT * q_one * q_other
    taken = (q_other * r_one**2 - 2.0 * q_both * r_one * r_other + q_one * r_other**2) / np.where(sound, left, 1.0)
    return np.where(sound, taken, -np.inf)


@dataclass(frozen=True)
class Alternatives:
    """What readings of other points would show at the linear fit, and how that changes, each over its doubt."""

    index: Mapping[tuple[int, tuple[str, ...]], int]
    off: Array
    slopes: Array

    @classmethod
    def at(
        cls, index: Mapping[tuple[int, tuple[str, ...]], int], every_row: ReadingRows, linear: Linear
    ) -> "Alternatives":
        """Their rows, each found by the reading that it is of and the names, as seen from a place."""
        slopes = np.nan_to_num(derivatives(every_row.predicted, linear.at)) / every_row.doubts[:, None]
        return cls(index, every_row.residuals(linear.at) / every_row.doubts - slopes @ linear.step, slopes)

    def exchanged_scores(self, ideas: Sequence[Idea], linear: Linear, state: State) -> Array:
        """Several rows replaced by others: normal equations of their own."""
        if not ideas:
            return np.zeros(0)
        first_row = np.searchsorted(state.rows.of, np.arange(len(state.survey.readings)))
        normal = linear.slopes.T @ linear.slopes + np.eye(linear.at.size) / USELESS**2
        own = np.tile(normal, (len(ideas), 1, 1))
        pull = np.tile(linear.slopes.T @ linear.residuals, (len(ideas), 1))
        squares = np.full(len(ideas), linear.chi_square)
        for index, idea in enumerate(ideas):
            at = first_row[list(idea.of)]
            weighed = state.weighed[at]
            chosen = np.array([self.index[of, new.of] for of, new in zip(idea.of, idea.new, strict=True)])
            at, chosen = at[weighed], chosen[weighed]
            old, new = linear.slopes[at], self.slopes[chosen]
            own[index] += new.T @ new - old.T @ old
            pull[index] += new.T @ self.off[chosen] - old.T @ linear.residuals[at]
            squares[index] += (self.off[chosen] ** 2).sum() - (linear.residuals[at] ** 2).sum()
        gained = (pull * (inverse(own) @ pull[..., None])[..., 0]).sum(axis=1)
        return np.asarray(squares - gained + np.linalg.slogdet(own)[1])

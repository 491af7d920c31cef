"""How doubt spreads, against the worked examples of the guides to measurement uncertainty.

JCGM 100:2008 Annex H.1: inputs and results seen in the documentation of another implementation of the guide; the
unrounded first-order value was worked out by hand from them (formula). JCGM 101:2008 9.2 and 9.4: from memory, worked
out anew by exact formulas where there are some.
"""

import math

import numpy as np
import pytest
from scipy.stats import chi2

from solvers.spread import Shape, Spread, first_order, monte_carlo
from solvers.vectors import Array

_DRAWS = 200_000
# A standard deviation found from so many normal draws is itself good to 1 in sqrt(2 draws): here 0.16 %; a
# quantile at 2.5 % to 2.7/sqrt(draws) of a standard deviation, 0.6 %. Four times that is asked for.
_STANDARD_DEVIATION_TO = 4.0 / math.sqrt(2 * _DRAWS)
_QUANTILE_TO = 4.0 * 2.7 / math.sqrt(_DRAWS)

# Standard deviations from half-widths: uniform, over the root of three; arcsine, of two (JCGM 100:2008, 4.3.7, 4.4.5).
_UNIFORM, _ARCSINE = 1.0 / math.sqrt(3.0), 1.0 / math.sqrt(2.0)


def _spread(study: object, shapes: list[Shape], seed: int = 1) -> Spread:
    return monte_carlo(lambda sources: {"y": study(sources)}, shapes, _DRAWS, seed, block=20_000)["y"]


def _end_gauge(sources: Array) -> Array:
    """Length of an end gauge at 20 degrees [nm], less its value."""
    standard = 50_000_623.0 + 25.0 * sources[..., 0]
    difference = 215.0 + 5.8 * sources[..., 1] + 3.9 * sources[..., 2] + 6.7 * sources[..., 3]
    expansion = 11.5e-6 + 2e-6 * _UNIFORM * sources[..., 4]
    between_expansions = 1e-6 * _UNIFORM * sources[..., 5]
    between_temperatures = 0.05 * _UNIFORM * sources[..., 6]
    temperature = -0.1 + 0.2 * sources[..., 7] + 0.5 * _ARCSINE * sources[..., 8]
    corrections = between_expansions * temperature + expansion * between_temperatures
    return standard + difference - standard * corrections


_END_GAUGE: list[Shape] = [*["normal"] * 4, *["uniform"] * 3, "normal", "arcsine"]  # type: ignore[list-item]


def test_end_gauge_to_first_order() -> None:
    found = first_order(lambda sources: {"l": _end_gauge(sources)}, len(_END_GAUGE))["l"]
    assert found.value == pytest.approx(50_000_838.0, abs=0.5)
    assert found.standard_deviation == pytest.approx(31.663879, abs=5e-7 * 2)
    assert math.hypot(*found.slopes[1:4]) == pytest.approx(9.7, abs=0.05)
    assert abs(found.slopes[6]) == pytest.approx(16.599, abs=5e-4)
    assert abs(found.slopes[5]) == pytest.approx(2.88679, abs=5e-4)


def test_end_gauge_by_monte_carlo_has_what_the_first_order_misses() -> None:
    found = _spread(_end_gauge, _END_GAUGE)
    # Second-order terms, JCGM 100:2008 H.1.7: 34 nm; unrounded 33.806545 from the same formula.
    assert found.standard_deviation == pytest.approx(33.806545, rel=_STANDARD_DEVIATION_TO)


@pytest.mark.parametrize(
    ("shapes", "factors", "sigma", "half_width"),
    [
        (["normal"] * 4, [1, 1, 1, 1], 2.0, 3.92),
        (["uniform"] * 4, [1, 1, 1, 1], 2.0, 3.88),
        (["uniform"] * 4, [1, 1, 1, 10], math.sqrt(103.0), 17.0),
    ],
)
def test_sum_of_four(shapes: list[Shape], factors: list[float], sigma: float, half_width: float) -> None:
    found = _spread(lambda sources: sources @ np.array(factors, dtype=float), shapes)
    assert found.standard_deviation == pytest.approx(sigma, rel=_STANDARD_DEVIATION_TO)
    low, high = found.interval()
    # Tables 2 to 4 print two and one decimals.
    assert high == pytest.approx(half_width, abs=0.05 + _QUANTILE_TO * sigma)
    assert low == pytest.approx(-half_width, abs=0.05 + _QUANTILE_TO * sigma)


@pytest.mark.parametrize("x1", [0.0, 0.010, 0.050])
@pytest.mark.parametrize("correlation", [0.0, 0.9])
def test_sum_of_two_squares(x1: float, correlation: float) -> None:
    u = 0.005

    def study(sources: Array) -> Array:
        second = correlation * sources[..., 0] + math.sqrt(1.0 - correlation**2) * sources[..., 1]
        return (x1 + u * sources[..., 0]) ** 2 + (u * second) ** 2

    found = _spread(study, ["normal", "normal"])
    sigma = math.sqrt(4.0 * u**2 * x1**2 + 4.0 * u**4 * (1.0 + correlation**2))
    assert found.mean == pytest.approx(x1**2 + 2.0 * u**2, abs=4.0 * sigma / math.sqrt(_DRAWS))
    # A square has longer tails than the normal distribution: its standard deviation is found up to twice as roughly.
    assert found.standard_deviation == pytest.approx(sigma, rel=2.5 * _STANDARD_DEVIATION_TO)
    to_first_order = first_order(lambda sources: {"y": study(sources)}, 2)["y"].standard_deviation
    assert to_first_order == pytest.approx(2.0 * u * x1, abs=1e-15)


def test_quantiles_of_a_square_are_those_of_chi_square() -> None:
    found = _spread(lambda sources: (sources**2).sum(axis=-1), ["normal", "normal"])
    for probability in (0.025, 0.25, 0.5, 0.9, 0.975):
        exact = chi2(2).ppf(probability)
        density = chi2(2).pdf(exact)
        most = 4.0 * math.sqrt(probability * (1.0 - probability) / _DRAWS) / density
        assert found.quantile(probability) == pytest.approx(exact, abs=most + 1e-3)


def test_what_gives_no_number_is_counted_and_left_out() -> None:
    found = _spread(lambda sources: np.where(sources[..., 0] > 0.0, sources[..., 0], np.nan), ["normal"])
    assert found.known / found.count == pytest.approx(0.5, abs=4.0 * 0.5 / math.sqrt(_DRAWS))
    # Half a normal distribution: mean sqrt(2/pi), median 0.6745 (formula).
    assert found.mean == pytest.approx(math.sqrt(2.0 / math.pi), abs=0.01)
    assert found.quantile(0.5) == pytest.approx(0.67449, abs=0.01)


def test_the_same_seed_gives_the_same_and_blocks_do_not_change_what_is_counted() -> None:
    def study(sources: Array) -> dict[str, Array]:
        return {"y": np.stack([sources[:, 0], 1e6 + sources[:, 0] ** 3], axis=-1)}

    first, again = (monte_carlo(study, ["normal"], 10_000, 7, block=1000)["y"] for _ in range(2))
    np.testing.assert_array_equal(first.mean, again.mean)
    np.testing.assert_array_equal(first.heights, again.heights)
    other = monte_carlo(study, ["normal"], 10_000, 8, block=1000)["y"]
    assert (first.mean != other.mean).all()
    np.testing.assert_array_equal(first.known, 10_000)
    np.testing.assert_array_equal(first.heights.sum(axis=0), 10_000)

"""What lies within bounds: one number after the other by plain comparison (property), beside what all at once say."""

import numpy as np
import pytest

from kinematics import demo_car
from kinematics.finding.checks import FEW_STEPS, Checks, checks_of
from tests.finding.planted import amount


@pytest.fixture(scope="module")
def checks() -> Checks:
    car = demo_car()
    return checks_of(car, car.limits, (amount("front", "ride height", [5.0]),), FEW_STEPS)


def numbers(checks: Checks, count: int = 400) -> np.ndarray:
    """Most of them within, and in each row one that may be under, over, on a bound, infinite or none."""
    rng = np.random.default_rng(3)
    bounds = [(checks.checks[which].low, checks.checks[which].high) for which in checks.column]
    ends = np.array([(max(low, -1e3), min(high, 1e3)) for low, high in bounds]).T
    made = rng.uniform(*ends, size=(count, ends.shape[1]))
    for row in made:
        place = rng.integers(row.size)
        low, high = bounds[place]
        row[place] = rng.choice([low - 1.0, high + 1.0, low, high, np.nan, np.inf, -np.inf, row[place]])
    return made


def test_each_row_holds_where_each_number_does(checks: Checks) -> None:
    found = numbers(checks)
    told = checks.hold(found)
    for row, holds in zip(found.tolist(), told.tolist(), strict=True):
        own = (checks.checks[which] for which in checks.column)
        assert holds == all(
            np.isfinite(value) and one.low <= value <= one.high for one, value in zip(own, row, strict=True)
        )
    assert 0.1 < told.mean() < 0.9


def test_no_margin_is_below_zero_where_all_hold(checks: Checks) -> None:
    found = numbers(checks)
    assert (checks.hold(found) == (checks.margins(found) >= 0.0).all(axis=1)).all()

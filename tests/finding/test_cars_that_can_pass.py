"""The usual limits are such as a strut can hold once ball joint, ride height and shim may be chosen."""

from tests.finding.cars_that_can_pass import passing


def test_struts_can_pass(campaign: bool) -> None:
    """Nine in ten at least: a bound that was set before it was counted."""
    found = passing("strut", 40 if campaign else 3, seed=2)
    assert found.with_changes >= 0.9 * found.cars

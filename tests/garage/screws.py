"""The car of two axles with what one turn of each of its nuts does, in mm or in inches with fractions."""

from tests.outputs.two_cars import CAR, written

WITH_SCREWS = CAR.replace(
    'camber = { by = "strut top", range = [L(-9), L(9)] }',
    "toe_link_thread = L(1.5)\nperch_thread = L(2)\n"
    'camber = { by = "strut top", range = [L(-9), L(9)], thread = L(1) }',
).replace("[rear.stops]", "[rear.adjusters]\nperch_thread = L(2)\n[rear.stops]")
PLANS = """
units = "UNIT"
[[plan]]
name = "lower"
why = "what the owner thinks of"
[[plan.change]]
axle = "front"
what = "ride height"
by = L(-12.7)
[[plan.change]]
axle = "rear"
what = "ride height"
by = L(-12.7)
[[plan.change]]
axle = "front"
what = "tie-rod shim"
by = L(6.35)
[[plan.change]]
axle = "front"
what = "longer ball joint"
by = L(12.7)
[plan.align.front]
toe_in = 0.05
"""
FRACTIONS = {"-0.5": '"-1/2"', "0.25": '"1/4"', "0.5": '"1/2"'}


def car_text(unit: str) -> str:
    """The car file."""
    return written(WITH_SCREWS, unit)


def plans_text(unit: str) -> str:
    """The plan file, in inches with fractions as a tape shows them."""
    text = written(PLANS, unit)
    lines = [line.partition("by = ") for line in text.splitlines()]
    return "\n".join(f"{head}{key}{_fraction(value) if key else value}" for head, key, value in lines)


def _fraction(value: str) -> str:
    return FRACTIONS.get(f"{float(value):g}", value)

"""How far an amount may go is told up to the first that does not hold, to the ends of what can be had (property)."""

from itertools import product

import numpy as np

from kinematics.finding.found_plans import stretch_around

VALUES = np.array([-4.0, -1.0, 2.0, 3.0, 7.0])  # mm


def test_the_window_ends_at_the_first_that_does_not_hold() -> None:
    """Every pattern of five amounts, the middle one chosen; reckoned by the gaps of a text."""
    for holds in product([False, True], repeat=len(VALUES)):
        marks = "".join("x" if one else " " for one in holds)
        before, after = marks[:2].split(" ")[-1], marks[3:].split(" ")[0]
        told = stretch_around(VALUES, np.array(holds), 2.0)
        assert told == (VALUES[2 - len(before)], VALUES[2 + len(after)]), marks

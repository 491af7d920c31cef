"""Brute force: every plan of small grids tried by `compare`; nothing that can be built is better than what was found.

`compare` is another way through plans, one at a time and with rules, stops, adjusters and joints of its own (formula).
Run once by hand (brute_force.py): 30 cars on grids of up to 4,389 plans, 46,128 in all, and two on 9,261 each.
"""

import pytest

from tests.finding.brute_force import KINDS, none_better
from tests.short_run import at_places

FEW_CARS, MANY_CARS = 1, 15  # of each type


@pytest.mark.parametrize("kind", at_places(KINDS, 1))
def test_nothing_better_in_the_whole_grid(kind: str, campaign: bool) -> None:
    counts = (7, 7, 7) if campaign else (3, 3, 3)  # 343 plans are learnt from, 27 are all solved
    holding = [none_better(kind, seed, counts) for seed in range(MANY_CARS if campaign else FEW_CARS)]
    assert not campaign or 0 < sum(holding) < len(holding)  # both are tried

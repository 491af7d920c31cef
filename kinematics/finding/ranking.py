"""Which of the plans that hold is wanted most: what is asked comes first, then the chance, then the least change."""

from collections.abc import Sequence

import numpy as np

from kinematics.finding.candidates import ASKED
from kinematics.finding.found_plans import FoundPlan
from kinematics.finding.means import Means

AS_SURE = 0.05  # of chance; plans that are less apart count as equally sure


def in_order(means: Means, plans: Sequence[FoundPlan]) -> list[FoundPlan]:
    """Plans, the most wanted first: of those equal in what is asked the surest, of the equally sure the least changed.

    A chance that is asked for is enough where it is reached: then it tells plans apart no more.
    """
    left = [(asked_of_plan(means, one), one) for one in plans]
    found: list[FoundPlan] = []
    while left:
        least = min(asked for asked, _ in left)
        equal = [one for asked, one in left if asked == least]
        surest = max(_counts(means, one) for one in equal)
        as_sure = [one for one in equal if _counts(means, one) >= surest - AS_SURE]
        head = min(as_sure, key=lambda one: one.order)
        found.append(head)
        left = [(asked, one) for asked, one in left if one is not head]
    return found


def asked_of_plan(means: Means, one: FoundPlan) -> tuple[float, ...]:
    """The first of the numbers by which a plan is ordered, which are what is asked."""
    return tuple(np.round(one.order[: ASKED[means.aim]], 9).tolist())


def _counts(means: Means, one: FoundPlan) -> float:
    """A plan's chance as far as it tells plans apart."""
    return (one.chance or 0.0) if means.chance is None else 0.0

"""Plans swept: what a comparison's figures show of each."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.numbers.stance import Stance
from kinematics.planning.comparison import Outcome
from kinematics.sweeps.body import Sweep, stances
from kinematics.sweeps.sweep_job import FINE, SweepJob


@dataclass(frozen=True)
class SweptPlan:
    """One axle after a plan, by the plan's name: finely in bump and in roll, and at ride height."""

    name: str
    bump: Sweep
    roll: Sweep
    at_ride_height: Stance


def sweep_plans(outcomes: Sequence[Outcome], axle: str, job: SweepJob) -> list[SweptPlan]:
    """Sweep an axle after plans that fit together, made ready for this job when they were compared."""
    here = np.zeros(1)
    ready = [(one.plan.name, one.ready[axle]) for one in outcomes]
    return [
        SweptPlan(name, job.bump(one, FINE), job.in_roll(one, FINE), stances(one, here, here)) for name, one in ready
    ]

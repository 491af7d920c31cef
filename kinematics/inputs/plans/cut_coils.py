"""What a plan file may not cut off its springs."""

import numpy as np

from kinematics.car.car import Car
from kinematics.inputs.reading.faults import ONE_OF_TWO, Fault
from kinematics.planning.plans import Plan


def cut_faults(plan: Plan, key: str, car: Car) -> list[Fault]:
    """What is wrong with the coils that a plan cuts off in all."""
    faults = []
    for axle in car.axles:
        own = [one for one in plan.changes if one.axle == axle.name]
        cut = sum((one.by * np.asarray(one.sides) for one in own if one.what == "cut coils"), np.zeros(2)).max()
        if not cut or axle.loads is None:
            continue
        there = axle.loads.spring.active_coils
        if cut >= there:
            text = f"read {cut:g} coils off the {axle.name} springs; they have {there:g} that work; fewer are allowed"
            faults.append(Fault(f"{key}.change", text))
        if any(one.what == "spring rate" for one in own):
            text = f'"cut coils" is about the {axle.name} springs that are there, "spring rate" fits others'
            faults.append(Fault(f"{key}.change", text, ONE_OF_TWO))
    return faults

"""The name of a car that nobody has built yet: it says so, wherever the name is shown."""

from kinematics.car.car import Car

LONGEST_NAME = 200  # of a car
_ENDING = " (on paper)"
_CUT = "..."


def name_on_paper(car: Car, plan: str) -> str:
    """The name of a car after a plan; its own name gives way where both are too long, the plan's does not."""
    ending = f", {plan}{_ENDING}" if plan else _ENDING
    own, room = car.name.removesuffix(_ENDING) if car.on_paper else car.name, LONGEST_NAME - len(ending)
    return f"{own if len(own) <= room else own[: room - len(_CUT)] + _CUT}{ending}"

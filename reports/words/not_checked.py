"""What a plan was not held against, because the car file does not tell it: said with every plan that looks good."""

from collections.abc import Callable

from kinematics.car.car import Axle, Car
from reports.words.wrapped import wrapped

_TELLS: dict[str, Callable[[Axle], bool]] = {
    "bump stop": lambda axle: axle.fittings.bump_stop is not None,
    "droop stop": lambda axle: axle.fittings.droop_stop is not None,
    "joint angles": lambda axle: bool(axle.fittings.joint_angles),
    "springs": lambda axle: axle.loads is not None,
    "dampers": lambda axle: axle.fittings.damper is not None,
    "tyre to arch": lambda axle: axle.fittings.tyre_to_arch is not None,
    "clearance": lambda axle: axle.fittings.clearance is not None,
}


def not_checked(car: Car) -> list[str]:
    """What the car file does not tell, of one axle at least."""
    return [what for what, tells in _TELLS.items() if not all(tells(axle) for axle in car.axles)]


def not_checked_words(car: Car) -> list[str]:
    """The same as a sentence; no lines where all is told."""
    lacking = not_checked(car)
    if not lacking:
        return []
    return wrapped(f"Not checked, not in the car file: {', '.join(lacking)}.")

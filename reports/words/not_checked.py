"""What a plan was not held against: said with every plan that looks good, so that nobody takes it for checked."""

from collections.abc import Collection

from kinematics.car.car import Car
from kinematics.planning.travel_budget import not_told
from kinematics.planning.travel_ends import EndKind
from reports.words.wrapped import wrapped

_SHORT = {
    EndKind.BUMP_STOP: "bump stop",
    EndKind.DROOP_STOP: "droop stop",
    EndKind.SPRING_LOOSE: "springs",
    EndKind.SPRING_SOLID: "coil bind",
    EndKind.DAMPER_CLOSED: "dampers",
    EndKind.DAMPER_OPEN: "dampers",
    EndKind.JOINT: "joint angles",
    EndKind.TYRE_ON_ARCH: "tyre to arch",
    EndKind.BODY_ON_GROUND: "clearance",
    EndKind.BAR_LINK: "bar links",
}
# What a search for plans leaves to `compare`, which looks at one plan after the other.
LEFT_TO_COMPARE = (EndKind.DAMPER_CLOSED, EndKind.DAMPER_OPEN, EndKind.TYRE_ON_ARCH, EndKind.BODY_ON_GROUND)


def not_checked_words(car: Car, left: Collection[EndKind] = ()) -> list[str]:
    """What nobody looked at, and why: the car file does not tell it, of both axles or of one; left: for `compare`."""
    lacking = {what: on for what in dict.fromkeys(_SHORT.values()) if (on := _axles_lacking(what, car))}
    waiting = dict.fromkeys(_SHORT[kind] for kind in left if _SHORT[kind] not in lacking)
    if left and any(axle.fittings.joint_angles and axle.fittings.rack_travel for axle in car.axles):
        waiting["joints at full lock"] = None
    if left and any(axle.loads and axle.loads.bar and axle.loads.bar.ends for axle in car.axles):
        waiting[_SHORT[EndKind.BAR_LINK]] = None
    untold = [what if len(on) == len(car.axles) else f"{on[0]} {what}" for what, on in lacking.items()]
    why = {"not in the car file": untold, "left to `compare`": waiting}
    said = "; ".join(f"{reason}: {', '.join(what)}" for reason, what in why.items() if what)
    return wrapped(f"Not checked, {said}.") if said else []


def _axles_lacking(what: str, car: Car) -> list[str]:
    found = []
    for axle in car.axles:
        kinds = set(not_told(axle))
        if EndKind.SPRING_LOOSE in kinds:
            kinds.discard(EndKind.SPRING_SOLID)  # of springs that are not told at all
        if any(_SHORT[kind] == what for kind in kinds):
            found.append(axle.name)
    return found

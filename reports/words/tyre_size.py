"""What tyres of another size do besides the height: gearing and the speedometer."""

from collections.abc import Iterator

from kinematics.car.car import LEFT, RIGHT, Car
from kinematics.planning.plans import Plan
from reports.words.wrapped import wrapped

_SHOWS = 0.0005


def tyre_size_words(plan: Plan, car: Car) -> Iterator[str]:
    """How much further a turn of the wheels goes, by the loaded radius, which stands in for the rolling one."""
    for axle in car.axles:
        changes = [one for one in plan.changes if one.what == "tyre radius" and one.axle == axle.name]
        larger = sum(one.by * (one.sides[LEFT] + one.sides[RIGHT]) / 2.0 for one in changes) / float(axle.radius.mean())
        if abs(larger) < _SHOWS:
            continue
        further, longer, less = ("further", "longer", "less") if larger > 0.0 else ("less far", "shorter", "more")
        fewer_turns = larger / (1.0 + larger)
        yield from wrapped(
            f"Each turn of the {axle.name} wheels goes {_percent(larger)} {further}: where they drive, gearing is that "
            f"much {longer}; a speedometer that they turn shows {_percent(fewer_turns)} {less} than the speed."
        )


def _percent(part: float) -> str:
    return f"{100.0 * abs(part):.1f} %"

"""What to see to around a set-up so that nobody is hurt: on the stands, at ride height, and before the car is driven.

All of it is common practice, no source; none of it takes the place of class rules, law or a mechanic.
"""

from collections.abc import Iterator, Sequence

from kinematics.planning.plans import Plan
from kinematics.setting.set_up import Measure, SetUp
from reports.words.plan_cautions import checks_of

_RACK = ("rack raised", "tie-rod inner")
_LIFT = (
    "Chock the wheels that stay down, jack the car, stand it on stands made for its weight and shake it. Never go "
    "under a car that only a jack holds."
)
_MARK = "Before anything is undone, mark or write down where it sits: strut tops, perches, threads, shims."
_COLUMN_OFF = "Steering wheel straight and locked: mark the column's joint on its spline, and undo it."
_COLUMN = (
    "Reconnect the column at its mark, wheels and steering wheel straight, the clamp on its whole length, bolt to its "
    "torque."
)
_TORQUE = (
    "Tighten all that was undone to its torque (workshop manual), but leave rubber bushes of arms loose until ride "
    "height."
)
_LOOSEN = "Loosen the rubber bushes of the arms, so that the new height does not leave them twisted."
AT_RIDE_HEIGHT = (
    "Standing so on its wheels (ramps or pit, chocked, nobody in it): tighten the rubber bushes of the arms to their "
    "torque."
)
COMES_DOWN = (
    "Wheels on, nuts to their torque crosswise. Lower the car, roll it back and forth, push it down and let it settle."
)
ON_STANDS = (
    "Full droop: brake hoses and wires slack, at both locks.",
    "Full droop: driveshafts plunge, boots whole, at both locks.",
    "Full droop: springs still in their seats.",
    "Lock to lock: column joints free, nothing binds or touches.",
)
_BEFORE = (
    "Every bolt that was undone, locknuts, wheel nuts: at their torque.",
    "Steering free from lock to lock, no play.",
    "Hoses and wires: no touch, no pull, at bump, droop, both locks.",
    "Driveshafts and column joints: the same.",
    "Tyres: clear at full bump and either lock.",
    "Springs seated; anti-roll bar hooked on again.",
    "Brakes: pedal hard, no leak, and they hold.",
    "Class rules and local law allow it: lights, clearance too.",
    "A qualified mechanic has looked at it; his name is below.",
    "First drive slow and alone; then look at every bolt again.",
)


def lifted(plan: Plan, fit: Sequence[str], bar: str, *, moved: bool) -> Iterator[str]:
    """From the floor to the stands and what is fitted there; fit, bar: sentences, or none; moved: heights are set."""
    yield _LIFT
    if fit or moved:
        yield _MARK
    if bar:
        yield bar
    column = any(one.what in _RACK for one in plan.changes)
    if column:
        yield _COLUMN_OFF
    yield from fit
    if column:
        yield _COLUMN
    if fit:
        yield _TORQUE
    elif moved:
        yield _LOOSEN


def before_driving(planned: SetUp) -> Iterator[str]:
    """What to look at when all is done: what the plan's changes ask for first."""
    gauged = any(one.measure is Measure.BUMP_STEER for one in planned.entries)
    for kind, short in checks_of(planned.plan):
        if kind or not gauged:
            line = f"{kind}: {short}." if kind else f"{short}."
            yield f"{line[0].upper()}{line[1:]}"
    yield from _BEFORE

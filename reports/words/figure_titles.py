"""What each figure finds, in a sentence for its title, made from the records that it is drawn from."""

from collections.abc import Mapping, Sequence

import numpy as np

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit, WorkingRange
from kinematics.doubt.assessment import Assessment, worse_side
from kinematics.doubt.question import Place
from kinematics.loads.lean import in_g
from kinematics.loads.report import LeanSheet
from kinematics.loads.sheet_numbers import WHEEL_RATE
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.numbers.roll_centre import through_infinity
from kinematics.numbers.stance import Stance
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.roll_axis import RollAxis
from reports.words.headline import beyond_words, height_words
from reports.words.numbers import PLUS_MINUS, shows, told
from reports.words.roll_axis import roll_axis_lies
from solvers.vectors import Array

_HEIGHT, _WEIGHTED, _OFFSET = "roll_centre_height", "force_weighted_height", "roll_centre_offset"
_ANTI = ("anti_dive", "anti_lift", "anti_squat")
_STILL = 0.05  # of a mm per mm: what is written as none


def bump_title(sweep: Sweep, driver: Array, limits: Sequence[Limit], working: WorkingRange, unit: LengthUnit) -> str:
    """How fast the roll centre moves in bump, and where it is out of its range. driver: wheel travel (S,) [mm]."""
    height = sweep[_HEIGHT]
    text = f"Roll centre {_per_bump(driver, height, unit)}"
    limit = next((one for one in limits if one.key == _HEIGHT), None)
    if limit is None:
        return f"{text}; {height_words(_at(0.0, driver, height), unit)} at ride height"
    if not limit.along("travel"):
        return f"{text}; {_against(_at(0.0, driver, height), limit, unit)} at ride height"
    return f"{text}; {_where_out_in_bump(limit, driver, height, working, unit)}"


def roll_title(sweep: Sweep, limits: Sequence[Limit], working: WorkingRange, unit: LengthUnit) -> str:
    """How the force-weighted height changes over the working roll, and where it is out of its range."""
    roll, height = sweep["roll"], sweep[_WEIGHTED]
    most = _most_roll(roll, working)
    change = _larger([_at(side * most, roll, height) - _at(0.0, roll, height) for side in (-1.0, 1.0)])
    text = f"Force-weighted height {_changes(change, unit)} over {_degrees(most)} of roll"
    limit = next((one for one in limits if one.key == _WEIGHTED and one.along("roll")), None)
    if limit is None:
        return f"{text}, from {height_words(_at(0.0, roll, height), unit)}"
    return f"{text}; {_where_out_in_roll(limit, roll, height, most)}"


def path_title(bump: Sweep, driver: Array, roll: Sweep, working: WorkingRange, unit: LengthUnit) -> str:
    """How far the roll centre goes aside in roll, and up or down in bump."""
    most = _most_roll(roll["roll"], working)
    along = np.abs(roll["roll"]) <= most + 1e-12
    offset = roll[_OFFSET]
    gone = through_infinity(offset, roll.track) & along[1:] & along[:-1]
    aside = _larger([_at(side * most, roll["roll"], offset) for side in (-1.0, 1.0)])
    where = f"goes {told(abs(aside), Dimension.LENGTH, unit, sign=False)} aside over"
    if gone.any() or not np.isfinite(aside):
        where = "runs sideways to infinity within"
    return f"Roll centre {where} {_degrees(most)} of roll, and {_per_bump(driver, bump[_HEIGHT], unit)}"


def position_title(stance: Stance, limits: Sequence[Limit], unit: LengthUnit) -> str:
    """Where the roll centre is in a position, and how that compares with its range; limits: none not to compare."""
    height = float(stance.roll_centre[0, 1])
    if not np.isfinite(height):
        return "roll centre at infinity"
    limit = next((one for one in limits if one.key == _HEIGHT), None)
    against = "" if limit is None else f", {_against(height, limit, unit)}"
    return f"roll centre {height_words(height, unit)}{against}"


def side_view_title(sweep: Sweep, driver: Array, unit: LengthUnit) -> str:
    """What bump does to the support of the springs under braking or drive, or else to the wheel centre."""
    most = float(np.nanmax(np.where(sweep.reached, driver, np.nan)))
    reach = _travel(most, unit)
    for key in (one for one in _ANTI if one in sweep.values):
        quantity = QUANTITIES[key]
        left, right = (
            [told(_at(at, driver, side), quantity.dimension, unit, sign=False) for at in (0.0, most)]
            for side in sweep[key]
        )
        whose = quantity.title if left == right else f"left {quantity.title}"
        return f"{whose.capitalize()} {left[0]} at ride height, {left[1]} at {reach}"
    moved = _at(most, driver, sweep["wheel_centre_recession"][0]) - _at(0.0, driver, sweep["wheel_centre_recession"][0])
    way = "back" if moved >= 0.0 else "ahead"
    return f"Wheel centre moves {told(abs(moved), Dimension.LENGTH, unit, sign=False)} {way} in {reach}"


def steering_title(sweep: Sweep, unit: LengthUnit) -> str:
    """How far each wheel turns at the end of the rack's way to the left, and the Ackermann share there."""
    last = int(np.flatnonzero(sweep.reached)[-1])
    rack = told(float(sweep["rack_travel"][last]), Dimension.LENGTH, unit, sign=False)
    turned = sweep["steer_angle"][:, last]
    # The inner wheel is the one on the side that the wheels turn to.
    side = LEFT if float(turned.sum()) > 0.0 else RIGHT
    inner, outer = (
        told(abs(float(one)), Dimension.ANGLE, unit, sign=False) for one in (turned[side], turned[1 - side])
    )
    text = f"At {rack} of rack the inner wheel turns {inner}, the outer {outer}"
    share = float(sweep["ackermann"][last]) if "ackermann" in sweep.values else np.nan
    return f"{text}: Ackermann share {100.0 * share:.0f} %" if np.isfinite(share) else text


def roll_axis_title(in_heave: RollAxis, unit: LengthUnit) -> str:
    """How the roll axis lies, and how it moves against the centre of gravity as the car sinks."""
    heave, under = in_heave.heave.reshape(-1), in_heave.under_gravity_weighted
    if under is None:
        slope = _at(0.0, heave, in_heave.inclination_weighted.reshape(-1))
        way = "up" if slope >= 0.0 else "down"
        return f"Roll axis runs {told(abs(slope), Dimension.ANGLE, unit, sign=False)} {way} towards the rear"
    arm = told(_at(0.0, heave, under.reshape(-1)), Dimension.LENGTH, unit, sign=False)
    more = -_slope(heave, under.reshape(-1))
    per = f"{abs(more):.1f} {unit.symbol} {'more' if more > 0.0 else 'less'} per {unit.one} that the car sinks"
    return f"Roll axis {arm} under the centre of gravity, {per}"


def car_from_the_side_title(axis: RollAxis | None, rest: Sweep, unit: LengthUnit) -> str:
    """How the roll axis lies at ride height, or where the roll centre of the only axle is."""
    if axis is not None and np.isfinite(axis.inclination).all():
        return f"Roll axis {roll_axis_lies(axis, unit)}"
    return f"{rest.axle.name.capitalize()} roll centre {height_words(float(rest[_HEIGHT].reshape(-1)[0]), unit)}"


def plan_title(name: str, sweeps: tuple[Sweep, Sweep], driver: Array, working: WorkingRange, unit: LengthUnit) -> str:
    """What a plan does, against the car as measured: at ride height, or at the end of the working roll.

    name: how the sentence begins. sweeps: as measured and after the plan, over the same driver (S,).
    """
    in_roll = sweeps[0].kind == "roll"
    at = _most_roll(driver, working) if in_roll else 0.0
    key = _WEIGHTED if in_roll else _HEIGHT
    before, after = (height_words(_at(at, driver, one[key]), unit) for one in sweeps)
    what = f"force-weighted height at {_degrees(at)} of roll" if in_roll else "roll centre"
    measured = "as before" if before == after else f"as measured {before}"
    return f"{name}: {what} {after}, {measured}"


def doubt_title(driver: Array, ends: Mapping[str, tuple[Array, Array]], place: Place, unit: LengthUnit) -> str:
    """How sure a height is at ride height, and at the end of a curve; driver (S,) and ends as in `assessment.Bands`."""
    key = _WEIGHTED if place == "roll" else _HEIGHT
    low, high = ends[key]
    half = 0.5 * (high - low)
    what = "Roll centre" if key == _HEIGHT else "Force-weighted height"
    sure = told(_at(0.0, driver, half), Dimension.LENGTH, unit, sign=False)
    known = np.flatnonzero(np.isfinite(half))
    if not known.size:
        return f"{what}: it cannot be told anywhere"
    last = int(known[-1])
    there = told(float(half[last]), Dimension.LENGTH, unit, sign=False)
    end = float(driver[last])
    where = f"{_degrees(end)} of roll" if place == "roll" else _travel(end, unit)
    return f"{what} {PLUS_MINUS}{sure} at ride height, {PLUS_MINUS}{there} at {where}"


def shares_title(assessment: Assessment, about: Sequence[str]) -> str:
    """Which measurement the doubt of the first number comes from most."""
    if not about:
        return "What the doubt comes from"
    first = assessment.first["ride height", about[0]]
    side, _ = worse_side(first.standard_deviation)
    shares = first.shares.reshape(len(first.slopes), -1)[:, side]
    most = int(np.argmax(shares))
    source = assessment.doubt.sources[most].replace("_", " ")
    return f"{100.0 * shares[most]:.0f} % of the {QUANTITIES[about[0]].title}'s variance comes from {source}"


def lean_title(sheet: LeanSheet) -> str:
    """How far the car rolls, and when a wheel lifts."""
    text = f"The car rolls {sheet.gradient:.2f} deg per g"
    if sheet.lift is not None:
        lift = sheet.lift
        return f"{text}; the {lift.axle} {lift.side} wheel lifts at {in_g(lift.acceleration):.2f} g"
    found = sheet.balance
    return f"{text}; no wheel lifts up to {in_g(float(found.acceleration[found.solved].max())):.2f} g"


def rates_title(sheet: LeanSheet, unit: LengthUnit) -> str:
    """Both axles' wheel rates at ride height."""
    travel = sheet.front.rates.travel
    rates = (
        told(_at(0.0, travel, one.rates.wheel_rate.mean(axis=0)), WHEEL_RATE.dimension, unit, sign=False)
        for one in (sheet.front, sheet.rear)
    )
    front, rear = rates
    return f"Wheel rates at ride height: front {front}, rear {rear}"


def _at(place: float, driver: Array, values: Array) -> float:
    """A value between the two states that enclose a place."""
    known = np.isfinite(driver)
    order = np.argsort(driver[known])
    return float(np.interp(place, driver[known][order], values[known][order]))


def _slope(driver: Array, values: Array) -> float:
    """Change per unit of the driver at zero, from the states on both sides of it."""
    here = int(np.nanargmin(np.abs(driver)))
    low, high = max(here - 1, 0), min(here + 1, driver.size - 1)
    if low == high:
        return np.nan
    return float((values[high] - values[low]) / (driver[high] - driver[low]))


def _larger(values: Sequence[float]) -> float:
    """The value that is farthest from zero; one that does not exist is farthest of all."""
    return max(values, key=lambda one: abs(one) if np.isfinite(one) else np.inf)


def _most_roll(roll: Array, working: WorkingRange) -> float:
    return min(working.roll, float(np.nanmax(roll)))


def _per_bump(driver: Array, height: Array, unit: LengthUnit) -> str:
    slope = _slope(driver, height)
    if not np.isfinite(slope):
        return "has no height beside ride height"
    if abs(slope) < _STILL:
        return "hardly moves in bump"
    return f"{'falls' if slope < 0.0 else 'rises'} {abs(slope):.1f} {unit.symbol} per {unit.one} of bump"


def _changes(change: float, unit: LengthUnit) -> str:
    if not shows(change, Dimension.LENGTH, unit):
        return "does not change"
    way = "falls" if change < 0.0 else "rises"
    return f"{way} {told(abs(change), Dimension.LENGTH, unit, sign=False)}"


def _against(height: float, limit: Limit, unit: LengthUnit) -> str:
    margin = float(limit.margin(np.array([height]))[0])
    if margin >= 0.0:
        return "in range"
    if not np.isfinite(height):
        return "out of range, at infinity"
    return beyond_words(-margin, unit, low=height < limit.low)


def _where_out_in_bump(limit: Limit, driver: Array, height: Array, working: WorkingRange, unit: LengthUnit) -> str:
    """Where it is out of range over the working travel, from droop to bump."""
    spells = _spells(limit, driver, height, working.travel_low, working.travel_high)
    if not spells:
        return "in range over the working travel"
    words = []
    for start, end in spells:
        if start is None and end is None:
            return "out of range throughout"
        if start is None or end is None:
            place, way = (end, "downwards") if start is None else (start, "upwards")
            words.append(f"from {_travel(place or 0.0, unit)} {way}")
        else:
            words.append(f"from {_travel(start, unit)} to {_travel(end, unit)}")
    return f"out of range {' and '.join(words)}"


def _where_out_in_roll(limit: Limit, roll: Array, height: Array, most: float) -> str:
    """Where it is out of range over the working roll, to the side where it leaves first."""
    spells = _spells(limit, roll, height, -most, most)
    if not spells:
        return "in range over the working roll"
    if any(start is None and end is None for start, end in spells):
        return "out of range throughout"
    if any((start is None or start <= 0.0) and (end is None or end >= 0.0) for start, end in spells):
        return "out of range about ride height"
    first = min(abs(edge) for spell in spells for edge in spell if edge is not None)
    return f"out of range from {_degrees(first)} outwards"


def _spells(
    limit: Limit, driver: Array, values: Array, low: float, high: float
) -> list[tuple[float | None, float | None]]:
    """Parts of low..high where values leave a range; None in place of an end of what is looked at."""
    order = np.argsort(driver)  # what is not reached comes last
    x, margin = driver[order], limit.margin(values[order])
    seen = (x >= low - 1e-9) & (x <= high + 1e-9)
    x, margin = x[seen], margin[seen]
    out = np.concatenate([[False], margin < 0.0, [False]]).astype(int)
    edges = np.diff(out)
    return [
        (_edge(x, margin, first - 1) if first else None, _edge(x, margin, behind - 1) if behind < x.size else None)
        for first, behind in zip(np.flatnonzero(edges == 1).tolist(), np.flatnonzero(edges == -1).tolist(), strict=True)
    ]


def _edge(x: Array, margin: Array, here: int) -> float:
    """Where a margin changes its sign between a state and the next."""
    one, other = margin[here], margin[here + 1]
    if not np.isfinite(one) or not np.isfinite(other):
        return float(x[here])
    return float(x[here] + one / (one - other) * (x[here + 1] - x[here]))


def _travel(travel: float, unit: LengthUnit) -> str:
    """A travel to the mm or the twentieth of an inch, with its way."""
    value = abs(travel) / unit.in_mm
    told_value = f"{value:.0f}" if unit.symbol == "mm" else f"{value:.2f}"
    return f"{told_value} {unit.symbol} of {'bump' if travel >= 0.0 else 'droop'}"


def _degrees(roll: float) -> str:
    return f"{np.degrees(abs(roll)):.1f} deg"

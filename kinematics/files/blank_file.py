"""A commented blank car file: what to measure, where, and in which order; "?" stands for what is not yet known."""

from kinematics.lengths import LengthUnit
from kinematics.suspension import Point, SuspensionType

_HEAD = """\
# A car for cornersweep. Fill in each "?"; lengths may be written 13.625 or, as a tape shows them, "13 5/8".
# The car stands on level ground at ride height, ready to race, wheels straight ahead.
# CAUTION: never go under a car that only a jack holds. Measure on ramps or stands made for its weight.

name = "my car"
units = "{unit}"                      # "mm" or "in"
measured_to = {doubt}                 # one standard deviation of a measured coordinate; `known_to` for single points

[{axle}]
suspension = "{kind}"             # {title}
# As the gauge reads it, in degrees, each wheel. camber: negative where the top leans in. toe_in: negative for
# toe-out. You may add radius = (loaded radius), as a check on the wheel centre's height.
wheel = {{ camber = "?", toe_in = "?" }}

# Every point: `ahead` of this axle's wheel centres (negative behind), `out` from the centre plane (positive on both
# sides), `up` from the ground. Left and right alike here; where they differ, give the point again under
# [{axle}.left.points] or [{axle}.right.points]. Hard to reach? Add known_to = (one standard deviation).
[{axle}.points]
"""

_FITTINGS = """
# For plans (cornersweep compare), where you know them: take away the leading # of what you fill in.
# [{axle}.adjusters]                 # how far each goes from where it stands now
# toe_link = [{tie_low}, {tie_high}]                # length of the tie rod or toe link
# camber = {{ by = "{by}", range = [{camber_low}, {camber_high}] }}   # or {others}
# [{axle}.stops]                     # wheel travel from here to the stops
# bump = "?"
# droop = "?"
# [{axle}.joint_angles]              # degrees each joint may turn from where it was measured
# {joint} = 25
# [body]
# centre_of_gravity = {{ up = "?" }}   # of the sprung mass
"""

_TAIL = """
# What must stay in which range; delete what you do not want. Any column of the CSV files can stand here.
# Travel and roll are what your springs and bars really let the car use: a strut's roll centre moves two to three
# times as far as the wheel, so a wide range is hard to hold.
[limits]
travel = [{droop}, {bump}]                # droop and bump that the car uses
roll = 1.2                        # degrees, either way

[limits.{axle}]
# 1 in below to 3 in above the ground: common practice, no source.
roll_centre_height = {{ from = {low}, to = {high}, over = ["ride height", "travel", "roll"] }}
# Degrees for each {unit}, each wheel: near zero is common practice, no source; the figure is a choice.
bump_steer = {{ from = -{steer}, to = {steer}, over = ["ride height", "travel"] }}
"""


def blank_car_file(kind: SuspensionType, unit: LengthUnit, axle: str = "front") -> str:
    """Return a blank car file for one axle of a suspension type, as TOML with comments."""
    in_mm = unit.symbol == "mm"
    head = _HEAD.format(unit=unit.symbol, doubt="2.0" if in_mm else "0.1", axle=axle, kind=kind.name, title=kind.title)
    droop, bump = ("-15", "15") if in_mm else ("-0.6", "0.6")
    low, high = ("-25.4", "76.2") if in_mm else ("-1", "3")
    tail = _TAIL.format(
        unit=unit.symbol, steer="0.008" if in_mm else "0.2", axle=axle, droop=droop, bump=bump, low=low, high=high
    )
    points = "".join(_point_lines(point, unit) for point in kind.points)
    return head + points + _fittings(kind, unit, axle) + tail


def _fittings(kind: SuspensionType, unit: LengthUnit, axle: str) -> str:
    in_mm = unit.symbol == "mm"
    tie, camber = (12.0, 6.0) if in_mm else (0.5, 0.25)
    ways = ["strut top", "strut bolts"] if kind.strut is not None else []
    ways += ["lower arm", *(["upper arm"] if len(kind.arms) > 1 else [])]
    others = ", ".join(f'"{way}" (degrees)' if way == "strut bolts" else f'"{way}"' for way in ways[1:])
    return _FITTINGS.format(
        axle=axle,
        tie_low=f"{-tie:g}",
        tie_high=f"{tie:g}",
        by=ways[0],
        camber_low=f"{-camber:g}",
        camber_high=f"{camber:g}",
        others=others,
        joint=kind.arms[0].joint,
    )


def _point_lines(point: Point, unit: LengthUnit) -> str:
    example = ", ".join(_shown(value, unit) for value in point.typical)
    key = f"{point.key:<18}"
    return f'# {point.where} (an invented car: {example})\n{key}= {{ ahead = "?", out = "?", up = "?" }}\n'


def _shown(value: float, unit: LengthUnit) -> str:
    return f"{value:g}" if unit.symbol == "mm" else f"{unit.from_mm(value):.2f}"

"""A commented blank car file: what to measure, where, and in which order; "?" stands for what is not yet known."""

import math

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE, WorkingRange
from kinematics.car.suspension_type import Point, SuspensionType

_HEAD = """\
# A car for cornersweep. Fill in each "?"; lengths may be written 13.625 or, as a tape shows them, "13 5/8".
# The car stands on level ground at ride height, ready to race, wheels straight ahead.
# CAUTION: never go under a car that only a jack holds. Measure on ramps or stands made for its weight.

name = "my car"
units = "{unit}"                      # "mm" or "in"
# How well each coordinate was measured: two readings in three lie within it (one standard deviation). If "good to
# {worst}" means never worse, write half of it.
measured_to = {doubt}

[{axle}]
suspension = "{kind}"   # {title}
# As the gauge reads it, in degrees, each wheel. camber: negative where the top leans in. toe_in: negative for
# toe-out. You may add radius = (loaded radius), as a check on the wheel centre's height.
wheel = {{ camber = "?", toe_in = "?" }}

# Every point: `ahead` of this axle's wheel centres (negative behind), `out` from the centre plane (positive on both
# sides), `up` from the ground. Left and right alike here; where they differ, give the point again under
# [{axle}.left.points] or [{axle}.right.points]. Hard to reach? Add known_to, which means the same as measured_to.
[{axle}.points]
"""

_LISTED = """
# Parts and joints are yours to list: rename, add and take away points above and joints below. `on` names the part that
# carries a point, "chassis" if left out; single = true: one point for both sides, `out` to the left positive.
# link: two points keep their distance. hinge: two parts turn about the line through two points. ball: two parts share
# a point. slide: the line from the first point, in its part, to the second passes through the second for ever.
# rest: a point is held in height. whole_axle = true: one part carries both wheels; bushed = [upper link, lower link]:
# those links, on both sides, would hold it once too often, and their bushes give way.
"""

_PLANS = """
# For plans (cornersweep compare), where you know them: take away the leading # of what you fill in.
"""

_STOPS = """\
# [{axle}.stops]                     # wheel travel from here to the stops
# bump = "?"
# droop = "?"
# tyre_to_arch = "?"                 # how far the wheel may rise before its tyre touches anything, steered too
# ground_clearance = "?"             # under the body's lowest part near this axle
"""

_JOINTS = """\
# [{axle}.joint_angles]              # degrees each joint may turn from where it was measured, or from its own middle:
# {joint} = 25      # or {{ most = 25, at_ride_height = 6 }}: six used up as it stands, and bump uses more
"""

_RACK = """\
# [{axle}.steering]
# rack_travel = "?"                  # from straight ahead to full lock
"""

_LOADS = """\
# For springs, ride height and lean (cornersweep lean, shelf): kg and N/mm in a file in mm, lb and lb/in in inches.
# [{axle}.weights]                   # what each wheel's scale shows at rest, driver aboard
# left = "?"
# right = "?"
# unsprung = "?"                     # of it, each wheel with what moves with it
# [{axle}.tyre]
# rate = "?"                         # vertical, of one tyre
# [{axle}.spring]
# rate = "?"                         # or wire, mean_diameter (outside less one wire) and active_coils
# free_length = "?"                  # taken off, on the bench: for coil bind and cut coils
# block_length = "?"                 # coils touching; or wire and active_coils (those that are free to move)
{line}
# bump_stop = {{ gap = "?", force = {stop} }}   # spring travel to it; compression and force (N, or lb)
# [{axle}.bar]                       # anti-roll bar: rate at an arm end, the other held, or its dimensions
# diameter = "?"
# length = "?"                       # between the arms
# arm = "?"                          # lever from the bar's axis
# motion_ratio = 0.6                 # arm end's movement over wheel travel; or axis, arm_end and drop_link_end
# link_angle = [20, 160]             # degrees between drop link and arm, from the side; 0 and 180: over centre
# [{axle}.damper]
# rate = "?"                         # at low speed, N s/mm or lb s/in; on the spring's line unless it has its own ends
# length = "?"                       # as the car stands, between two places that you can reach, and between the same
# closed = "?"                       # pushed in
# open = "?"                         # pulled out
"""

_BODY = """\
# [body]                            # for roll axis, side view and turn radius
# wheelbase = "?"
# centre_of_gravity = { up = "?", behind_front = "?" }   # of the sprung mass, behind the front wheel centres
# front_brakes = 0.65               # the front axle's part of the braking force
# front_drive = 0.0                 # the front axle's part of the driving force: 0 rear drive, 1 front drive
# final_drive = "?"                 # of a live rear axle: the crown wheel's teeth over the pinion's
"""

_TAIL = """
# What must stay in which range: take away the leading # of what you want otherwise than shown. Any number of the CSV
# files can stand here, its name without side and unit. `over` says where it must hold: "ride height", "travel", "roll",
# or "working range", which is travel and roll at once. Travel and roll are what your springs and bars really let the
# car use: a strut's roll centre moves two to three times as far as the wheel, so a range over travel is hard to hold.
# [limits]
# travel = [{droop}, {bump}]                # droop and bump that the car uses
# roll = {roll:g}                          # degrees, either way
# In their place, where both axles tell springs and weights: the hardest cornering, braking and driving that you do, in
# g. Travel and roll are then what this car needs in balance there, alone and together.
# cornering = 1.0
# braking = 0.8                       # needs front_brakes above
# driving = 0.4                       # needs front_drive above
# [limits.{axle}]
{heights}{steer}"""


_BUMP_STEER = """\
# Degrees for each {unit}, each wheel: near zero is common practice, no source; the figure is a choice.
# bump_steer = {{ from = -{most}, to = {most}, over = ["ride height", "travel"] }}
"""
_ROLL_STEER = """\
# Steer of the axle for each degree of roll, positive: with the curve. Small is common practice, no source.
# roll_steer = { from = -0.05, to = 0.1, over = ["ride height", "travel"] }
"""
_RULE_OF_THUMB = """\
# 1 in below to 3 in above the ground, common practice, no source: so it is judged if you leave these two out.
# roll_centre_height = {{ from = {low}, to = {high}, over = "ride height" }}
# force_weighted_height = {{ from = {low}, to = {high}, over = "roll" }}
"""
_NO_RULE = """\
# The rule of thumb for a front axle with independent suspension is not for this one: a range here is your own choice.
# roll_centre_height = {{ from = "?", to = "?", over = "ride height" }}
"""


def blank_car_file(kind: SuspensionType, unit: LengthUnit, axle: str = "front") -> str:
    """Return a blank car file for one axle of a suspension type, as TOML with comments."""
    in_mm = unit.symbol == "mm"
    doubt, worst = ("2.0", "2 mm") if in_mm else ("0.1", "1/16 in")
    head = _HEAD.format(unit=unit.symbol, doubt=doubt, worst=worst, axle=axle, kind=kind.name, title=kind.title)
    usual = WorkingRange()
    droop, bump = (f"{unit.from_mm(end):.3g}" for end in (usual.travel_low, usual.travel_high))
    low, high = (f"{unit.from_mm(end):g}" for end in (ROLL_CENTRE.low, ROLL_CENTRE.high))
    heights = _NO_RULE if kind.whole_axle or axle != "front" else _RULE_OF_THUMB
    bump_steer = _BUMP_STEER.format(unit=unit.symbol, most="0.008" if in_mm else "0.2")
    tail = _TAIL.format(
        steer=_ROLL_STEER if kind.whole_axle else bump_steer,
        axle=axle,
        droop=droop,
        bump=bump,
        roll=math.degrees(usual.roll),
        heights=heights.format(low=low, high=high),
    )
    alike = "".join(
        _point_lines(point, point.typical, unit, listed=kind.listed)
        for point in kind.points
        if point.other_side is None
    )
    joints = _joints(kind, axle) if kind.listed else ""
    return head + alike + _by_side(kind, unit, axle) + joints + _fittings(kind, unit, axle) + tail


def _joints(kind: SuspensionType, axle: str) -> str:
    """The joints of a free linkage, as an example to change."""

    def names(*keys: str) -> str:
        return "[" + ", ".join(f'"{key}"' for key in keys) + "]"

    place = f"[[{axle}.linkage.joint]]"
    rack = kind.rack if axle == "front" else ()
    roles = {"steering_axis": kind.steering_axis, "toe_link": kind.toe_link, "rack": rack}
    lines = [_LISTED, f"[{axle}.linkage]"]
    lines += [f"{role} = {names(*keys)}" for role, keys in roles.items() if keys]
    lines += [f"{place}\nlink = {names(*link)}" for link in kind.links]
    for hinge in kind.hinges:
        lines.append(f"{place}\nhinge = {names(hinge.first, hinge.second)}\nparts = {names(hinge.part, hinge.on)}")
    for ball in kind.balls:
        lines.append(f'{place}\nball = "{ball.at}"\nparts = {names(ball.part, ball.on)}')
    return "\n".join(lines) + "\n"


def _by_side(kind: SuspensionType, unit: LengthUnit, axle: str) -> str:
    """Points of parts that are not built alike on both sides, each side's by itself."""
    apart = [point for point in kind.points if point.other_side is not None]
    text = ""
    for side in SIDE_NAMES if apart else ():
        lines = [
            _point_lines(point, point.typical if side == "left" else point.other_side or point.typical, unit)
            for point in apart
        ]
        text += f"\n[{axle}.{side}.points]\n" + "".join(lines)
    return text


def _fittings(kind: SuspensionType, unit: LengthUnit, axle: str) -> str:
    in_mm = unit.symbol == "mm"
    tie, camber, thread = (12.0, 6.0, 1.5) if in_mm else (0.5, 0.25, 0.05)
    ways = ["strut top", "strut bolts"] if kind.strut is not None else []
    ways += ["lower arm", "upper arm"][: len(kind.arms)]
    others = ", ".join(f'"{way}" (degrees)' if way == "strut bolts" else f'"{way}"' for way in ways[1:])
    joints = [arm.joint for arm in kind.arms[:1]] + [outer for outer, _ in kind.links_to_chassis[:1]]
    lines = [_PLANS]
    lines.append(f"# [{axle}.adjusters]                 # how far each goes from where it stands now\n")
    lines.append(f"# perch_thread = {thread}                 # how far one turn moves the spring's seat\n")
    if kind.toe_link is not None:
        lines.append(f"# toe_link = [{-tie:g}, {tie:g}]                # length of the tie rod or toe link\n")
        lines.append(
            f"# toe_link_thread = {thread}              # how far one turn goes; a sleeve of two threads: both\n"
        )
    if ways:
        more = f"   # or {others}" if others else ""
        lines.append(f'# camber = {{ by = "{ways[0]}", range = [{-camber:g}, {camber:g}] }}{more}\n')
    lines.append(_STOPS.format(axle=axle))
    if joints:
        lines.append(_JOINTS.format(axle=axle, joint=joints[0]))
    if kind.rack:
        lines.append(_RACK.format(axle=axle))
    along = '# along = "strut"                    # or moving_end and chassis_end, or motion_ratio = 0.7'
    carrier = kind.arms[0].title if kind.arms else kind.bodies[0]
    ends = [f'# moving_end = {{ ahead = "?", out = "?", up = "?", on = "{carrier}" }}   # or motion_ratio = 0.7',
            '# chassis_end = { ahead = "?", out = "?", up = "?" }']  # fmt: skip
    stop = "[[8, 250], [18, 1100]]" if in_mm else "[[0.3, 60], [0.7, 250]]"
    lines.append(_LOADS.format(axle=axle, stop=stop, line=along if kind.strut is not None else "\n".join(ends)))
    return "".join(lines) + _BODY


def _point_lines(point: Point, typical: tuple[float, float, float], unit: LengthUnit, *, listed: bool = False) -> str:
    example = ", ".join(_shown(value, unit) for value in typical)
    one = "; one for both sides, out to the left positive" if point.single else ""
    key = f"{point.key:<18}".ljust(len(point.key) + 1)
    on = f', on = "{point.carrier}"' if listed else ""
    return f'# {point.where}{one} (an invented car: {example})\n{key}= {{ ahead = "?", out = "?", up = "?"{on} }}\n'


def _shown(value: float, unit: LengthUnit) -> str:
    return f"{value:g}" if unit.symbol == "mm" else f"{unit.from_mm(value):.2f}"

"""One invented car, written in mm and in inches: front struts with unlike sides, a live axle behind, springs and bars.

A number that has a unit stands in the texts behind a letter: L mm, M kg, K N/mm (and N s/mm), F N, G deg/mm. What an
inch, a pound and a pound force are is written here once more, so that a factor that is wrong in the program is seen.
"""

import re

MM_PER_INCH = 25.4  # exact by definition of the international inch (formula)
KG_PER_POUND = 0.45359237  # exact by definition of the international pound (formula)
STANDARD_GRAVITY = 9.80665  # m/s^2, exact by definition (formula)
N_PER_POUND_FORCE = KG_PER_POUND * STANDARD_GRAVITY
_IN_INCHES = {
    "L": 1.0 / MM_PER_INCH,
    "M": 1.0 / KG_PER_POUND,
    "K": MM_PER_INCH / N_PER_POUND_FORCE,
    "F": 1.0 / N_PER_POUND_FORCE,
    "G": MM_PER_INCH,
}
_TAGGED = re.compile(r"\b([LMKFG])\((-?[0-9.]+)\)")

CAR = """
name = "two axles"
units = "UNIT"
measured_to = L(2.0)

[body]
wheelbase = L(2560)
centre_of_gravity = { up = L(520), behind_front = L(1142) }
front_brakes = 0.68
front_drive = 0.0

[front]
suspension = "strut"
wheel = { camber = -2.0, toe_in = -0.05, radius = L(300), camber_known_to = 0.1, toe_in_known_to = 0.03 }
[front.left.wheel]
camber = -2.4
[front.points]
wheel_centre      = { ahead = L(0),    out = L(728), up = L(300) }
lower_ball_joint  = { ahead = L(6),    out = L(682), up = L(186) }
lower_pivot_front = { ahead = L(30),   out = L(338), up = L(204) }
lower_pivot_rear  = { ahead = L(-250), out = L(338), up = L(198), known_to = L(4) }
strut_top         = { ahead = L(-30),  out = L(548), up = L(808) }
strut_low         = { ahead = L(0),    out = L(618), up = L(424) }
tie_rod_outer     = { ahead = L(-130), out = L(668), up = L(214) }
tie_rod_inner     = { ahead = L(-112), out = L(318), up = L(203) }
[front.right.points]
strut_top         = { ahead = L(-46),  out = L(540), up = L(804) }
lower_pivot_front = { ahead = L(30),   out = L(338), up = L(196) }
tie_rod_inner     = { ahead = L(-112), out = L(318), up = L(197) }
[front.adjusters]
toe_link = [L(-12), L(12)]
camber = { by = "strut top", range = [L(-9), L(9)] }
[front.stops]
bump = L(45)
droop = L(38)
[front.joint_angles]
lower_ball_joint = 25
tie_rod_outer = 25
[front.steering]
rack_travel = L(62)
[front.weights]
left = M(290)
right = M(282)
unsprung = M(36)
[front.tyre]
rate = K(210)
[front.spring]
rate = K(34)
along = "strut"
bump_stop = { gap = L(32), force = [[L(8), F(250)], [L(18), F(1100)], [L(26), F(2800)]] }
[front.damper]
rate = K(2.6)
[front.bar]
diameter = L(22)
length = L(900)
arm = L(210)
axis = { ahead = L(250), up = L(300) }
arm_end = { ahead = L(40), out = L(590), up = L(300) }
drop_link_end = { ahead = L(40), out = L(600), up = L(186), on = "lower arm" }

[rear]
suspension = "live axle with three links"
wheel = { camber = 0.0, toe_in = 0.0, radius = L(302) }
[rear.points]
wheel_centre       = { ahead = L(0),    out = L(712), up = L(302) }
lower_link_axle    = { ahead = L(20),   out = L(505), up = L(228) }
lower_link_chassis = { ahead = L(520),  out = L(470), up = L(246) }
upper_link_axle    = { ahead = L(-10),  out = L(60),  up = L(446) }
upper_link_chassis = { ahead = L(300),  out = L(60),  up = L(414) }
panhard_axle       = { ahead = L(-128), out = L(545), up = L(268) }
panhard_chassis    = { ahead = L(-128), out = L(-520), up = L(292), known_to = L(5) }
[rear.stops]
bump = L(52)
droop = L(47)
[rear.weights]
left = M(265)
right = M(258)
unsprung = M(60)
[rear.tyre]
rate = K(190)
[rear.spring]
rate = K(27)
moving_end = { ahead = L(25), out = L(505), up = L(330), on = "axle" }
chassis_end = { ahead = L(30), out = L(480), up = L(570) }
[rear.damper]
rate = K(2.2)
moving_end = { ahead = L(-70), out = L(540), up = L(250), on = "axle" }
chassis_end = { ahead = L(-40), out = L(480), up = L(660) }

[limits]
travel = [L(-25), L(20)]
roll = 1.5
[limits.front]
roll_centre_height = { from = L(-25.4), to = L(76.2), over = ["ride height", "travel", "roll"] }
bump_steer = { from = G(-0.006), to = G(0.006), over = ["ride height", "travel"] }
[limits.rear]
roll_centre_height = { from = L(150), to = L(300), over = ["ride height", "travel", "roll"] }
camber = { from = -1.8, to = 1.6, over = "roll" }
"""

PLANS = """
units = "UNIT"
[[plan]]
name = "lower"
why = "lower is better"
[[plan.change]]
axle = "front"
what = "ride height"
by = L(-12)
[[plan.change]]
axle = "rear"
what = "ride height"
by = L(-7)
[[plan]]
name = "joint"
[[plan.change]]
axle = "front"
what = "longer ball joint"
by = L(14)
[[plan.change]]
axle = "front"
what = "tie-rod shim"
by = L(11)
[[plan]]
name = "pivots"
[[plan.change]]
axle = "front"
what = "inner pivots"
up = L(9)
[[rule]]
words = "Ball joints stay."
changes = "longer ball joint"
at_most = L(10)
"""

SHELF = """
units = "UNIT"
[want]
roll_gradient = { from = 1.6, to = 2.2 }
front_share = { from = 0.50, to = 0.58 }
ride_height = L(6)
[[front_spring]]
name = "stiff"
rate = K(45)
[[front_spring]]
name = "long"
rate = K(45)
free_length = L(430)
[[rear_spring]]
name = "rear stiff"
rate = K(40)
[[front_bar]]
name = "thick bar"
diameter = L(24)
length = L(900)
arm = L(210)
"""


def written(text: str, unit: str) -> str:
    """A text in mm or in inches, to full precision."""

    def number(read: re.Match[str]) -> str:
        return repr(float(read[2]) * (_IN_INCHES[read[1]] if unit == "in" else 1.0))

    return _TAGGED.sub(number, text).replace('"UNIT"', f'"{unit}"')

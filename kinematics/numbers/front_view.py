"""Numbers of an axle seen from the front: roll centre, instant centres, swing arms, jacking, and the lower arm."""

import numpy as np

from kinematics.car.car import SIDES
from kinematics.numbers import textbook
from kinematics.numbers.quantity import Dimension, Mirror, Presence, Where, per_axle, per_side
from kinematics.numbers.stance import GROUND_FRAME, Stance
from solvers.vectors import Array

_LOWER_ARM = Presence("a lower arm with a ball joint", lambda axle: bool(axle.suspension.arms))
_DRAWING = Presence("a drawing-board construction", lambda axle: textbook.has_roll_centre(axle.suspension))


def _swing_arm(stance: Stance) -> Array:
    return np.asarray(SIDES[:, None] * (stance.contact[..., 1] - stance.instant_centre[..., 0]))


ROLL_CENTRE = (
    per_axle(
        "roll_centre_height",
        "roll-centre height",
        Dimension.LENGTH,
        "meeting of the lines square to the motion of each wheel's lowest point, locked to its upright",
        lambda s: s.roll_centre[..., 1],
        sign="ground at 0, up positive",
        shown={
            Where.AT_RIDE_HEIGHT: 10,
            Where.IN_PLANS: 10,
            Where.IN_PLAN_DOUBT: 10,
            Where.WITH_BAND: 10,
            Where.BESIDE_DRAWING: 30,
            Where.SOURCES_RANKED: 10,
        },
    ),
    per_axle(
        "roll_centre_offset",
        "roll-centre offset",
        Dimension.LENGTH,
        "the same point sideways from the body's centre-plane point at ground level",
        lambda s: s.roll_centre[..., 0],
        sign="left positive",
        mirror=Mirror.TURNS,
        shown={Where.AT_RIDE_HEIGHT: 30, Where.WITH_BAND: 17, Where.BESIDE_DRAWING: 40},
    ),
    per_axle(
        "textbook_roll_centre_height",
        "textbook roll-centre height",
        Dimension.LENGTH,
        "by the drawing board, for planar linkages: arm lines and strut normal in front view, or the axle's guide",
        lambda s: s.textbook_roll_centre[..., 1],
        _DRAWING,
        sign="ground at 0, up positive",
        shown={Where.AT_RIDE_HEIGHT: 20},
    ),
    per_axle(
        "textbook_roll_centre_offset",
        "textbook roll-centre offset",
        Dimension.LENGTH,
        "the drawing-board point sideways",
        lambda s: s.textbook_roll_centre[..., 0],
        _DRAWING,
        sign="left positive",
        mirror=Mirror.TURNS,
    ),
    per_axle(
        "force_weighted_height",
        "force-weighted roll-centre height",
        Dimension.LENGTH,
        "height at the centre plane of the resultant of both wheels' lateral forces",
        lambda s: s.force_weighted_height,
        sign="ground at 0, up positive",
        shown={Where.WITH_BAND: 15, Where.BESIDE_DRAWING: 50},
        short="force-weighted height",
    ),
)

FRONT_VIEW = (
    per_side(
        "instant_centre_y",
        "instant centre to the left",
        Dimension.LENGTH,
        GROUND_FRAME,
        lambda s: s.instant_centre[..., 0],
        sign="to the left positive",
        mirror=Mirror.TURNS,
        shown={Where.BESIDE_DRAWING: 60},
        short="instant centre, offset",
    ),
    per_side(
        "instant_centre_z",
        "instant centre height",
        Dimension.LENGTH,
        GROUND_FRAME,
        lambda s: s.instant_centre[..., 1],
        sign="up positive",
        shown={Where.BESIDE_DRAWING: 70},
        short="instant centre, height",
    ),
    per_side(
        "swing_arm_length",
        "front-view swing-arm length",
        Dimension.LENGTH,
        "sideways from contact point to instant centre",
        _swing_arm,
        sign="inboard positive",
        shown={Where.AT_RIDE_HEIGHT: 120},
    ),
    per_side(
        "jacking_coefficient",
        "jacking coefficient",
        Dimension.RATIO,
        "lift on the body per lateral force at this wheel towards the centre plane, as on the outer wheel of a bend: "
        "slope of the line square to the contact point's motion with both wheels together",
        lambda s: -SIDES[:, None] * s.lines_together.slope,
        sign="rises towards the centre plane: positive",
        shown={Where.AT_RIDE_HEIGHT: 140},
    ),
    per_side(
        "lower_arm_angle",
        "lower-arm angle",
        Dimension.ANGLE,
        "to level in front view",
        lambda s: s.lower_arm_angle,
        _LOWER_ARM,
        sign="positive: rises towards the centre plane",
        shown={
            Where.AT_RIDE_HEIGHT: 130,
            Where.IN_PLANS: 50,
            Where.IN_PLAN_DOUBT: 50,
            Where.BESIDE_DRAWING: 50,
        },
    ),
)

"""Where the points of a suspension lie: a picture of an invented car, for whoever has nothing measured yet."""

from functools import cache
from typing import Any

import numpy as np

from kinematics.car.car import SIDES, Axle
from kinematics.car.lengths import UNITS
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.sweeps.body import stances
from reports.documents.amounts import Record
from reports.page.views import frames, views

_RESULTS = ("allowed", "guide", "onward", "contact", "middle")
_CAMBER, _TOE = np.radians([-1.5, -1.5]), np.radians([0.05, 0.05])


@cache
def picture(suspension: str) -> Record:
    """Views of a type's invented car at ride height, with its joints and nothing that would be a result."""
    rest = stances(_invented(SUSPENSIONS[suspension]), [0.0], [0.0])
    drawn = {name: _without_results(view.record()) for name, view in views(rest, (), UNITS["mm"]).items()}
    return {"suspension": SUSPENSIONS[suspension].title, "frames": frames(rest), "views": drawn}


def _without_results(view: Any) -> Record:
    return {
        "shapes": [one for one in view["shapes"] if one["look"] not in _RESULTS],
        "marks": [one for one in view["marks"] if one["look"] == "joint"],
    }


def _invented(kind: SuspensionType) -> Axle:
    points = {}
    for point in kind.points:
        left = np.array(point.typical)
        right = left if point.single else np.array(point.other_side or point.typical) * [1.0, SIDES[1], 1.0]
        points[point.key] = np.array([left, right])
    flat = kind.whole_axle  # a beam's wheels stand upright
    return Axle("front", kind, points, _CAMBER * (not flat), _TOE * (not flat))

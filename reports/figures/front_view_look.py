"""How front views look: lines of each part, another car's pale ghost, the legend, and the roll centre in words."""

from collections.abc import Sequence

import numpy as np
from matplotlib.artist import Artist
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit
from kinematics.numbers.quantity import Dimension
from reports.figures.front_view_geometry import FrontView
from reports.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    GREY,
    PALE_BLUE,
    PALE_GREEN,
    PALE_GREY,
    SOLID,
    VERMILION,
    Style,
    allowed,
    number,
)

_ON_GROUND = 1e-6  # mm; a roll centre this little under the ground is on it
FINE_DASH = (0, (2, 2))
GHOST = "as measured"
ARM_ANGLES = "Arm angles: positive where the arm rises towards the centre plane."
GHOSTLY = "#B4B4B4"
PALE: Style = {"color": GHOSTLY, "linewidth": 1.6, "linestyle": SOLID, "zorder": 1.7}

LOOK: dict[str, tuple[str, Style]] = {
    "arm": ("arm", {"color": BLUE, "linewidth": 2.6, "linestyle": SOLID, "zorder": 3.0}),
    "strut": ("strut axis", {"color": BLACK, "linewidth": 2.4, "linestyle": (0, (3, 1)), "zorder": 2.9}),
    "link": ("link", {"color": GREEN, "linewidth": 1.6, "linestyle": SOLID, "zorder": 2.8}),
    "guide": ("arm lines", {"color": GREY, "linewidth": 0.9, "linestyle": (0, (6, 2.5)), "zorder": 1.9}),
    "contact": (
        "contact point to roll centre",
        {"color": VERMILION, "linewidth": 1.3, "linestyle": SOLID, "zorder": 5},
    ),
    "onward": (
        "its line towards the instant centre",
        {"color": VERMILION, "linewidth": 0.9, "linestyle": FINE_DASH, "zorder": 5},
    ),
}


def front_view_legend(
    view: FrontView, unit: LengthUnit, limits: Sequence[Limit], *, plans: bool = False
) -> dict[str, Artist]:
    """Words and marks of what a drawing holds, or drawings of plans over a ghost of the car as measured."""
    marks: dict[str, Artist] = {}
    shown = {"strut": view.kind.strut is not None, "arm": bool(view.arms), "link": bool(view.kind.links)}
    absent = {look for look, there in shown.items() if not there}
    if view.kind.whole_axle or plans:
        absent.add("onward")
    for look, (words, style) in LOOK.items():
        if look in absent:
            continue
        if look == "guide":
            marks[f"{' and '.join(view.kind.bodies)}, joints joined"] = Patch(facecolor=PALE_BLUE, edgecolor=BLUE)
            marks["body, joints joined"] = Patch(facecolor=PALE_GREY, edgecolor=GREY, linestyle=":")
            if not view.arms or not any(view.shows(centre) for centre in view.instant_centre):
                continue
        strut = look == "guide" and view.kind.strut is not None
        marks[f"{words}, strut normal" if strut else words] = Line2D([], [], **style)
    if plans:
        marks[GHOST] = Line2D([], [], **PALE)
    for limit in limits:
        marks[f"roll centre {allowed(limit, unit)}"] = Patch(facecolor=PALE_GREEN, edgecolor=GREEN)
    return marks


def roll_centre_words(view: FrontView, unit: LengthUnit) -> tuple[str, str]:
    """How high the roll centre is, and how far aside."""
    y, z = (float(one) for one in view.roll_centre)
    if not np.isfinite(view.roll_centre).all():
        return "roll centre at infinity", "both contact lines are parallel"
    up = f"{number(abs(z), Dimension.LENGTH, unit)} {'above' if z >= -_ON_GROUND else 'below'} ground"
    distance = number(abs(y), Dimension.LENGTH, unit)
    aside = f"{distance} towards the car's {SIDE_NAMES[LEFT if y > 0 else RIGHT]}"
    if view.one_line:
        aside = "anywhere sideways"
    elif float(distance.split()[0]) == 0.0:
        aside = "on the centre plane"
    return f"roll centre {up}", aside

"""The two sides of an axle: index along the side axis, name, and sign of the outward direction along y (2,)."""

import numpy as np

from solvers.vectors import Array

LEFT, RIGHT = 0, 1
SIDE_NAMES = ("left", "right")
SIDES: Array = np.array([1.0, -1.0])

"""What each kind of reading is usually good for, where a survey file does not say it of the instrument."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

TAPE, RULE, PLUMB, STRAIGHT = 2.0, 1.5, 1.5, 2.0  # mm, one standard deviation (common practice, no source)
LEVEL = float(np.radians(0.2))  # (common practice, no source)
USUAL: Mapping[str, float] = MappingProxyType(
    {
        "up": RULE,
        "out": RULE,
        "ahead": RULE,
        "offset": RULE,
        "tape": TAPE,
        "track": TAPE,
        "plumb": PLUMB,
        "level": STRAIGHT,
        "in_line": STRAIGHT,
        "angle": LEVEL,
    }
)

"""What is too far away to be drawn."""

_FAR = 1e6  # mm


def is_far(length: float) -> bool:
    """Whether a length [mm] counts as infinite on paper: over a kilometre, or not a number at all."""
    return not abs(length) < _FAR

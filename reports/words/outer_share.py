"""The outer wheel's share of the lateral force, in words."""

import math

from kinematics.numbers.outer_share import OuterShare


def outer_share_words(share: OuterShare) -> str:
    """With which share force-weighted heights were reckoned, in one sentence."""
    at = f"{math.degrees(share.at_roll):.3g} deg"
    whence = ", as springs, bars and weights balance" if share.balanced else ""
    return (
        f"Force-weighted: the outer wheel's share of the lateral force grows from 50 % without roll to "
        f"{100.0 * share.stated:.0f} % at {at}{whence}, and on beyond it to no more than all of it."
    )

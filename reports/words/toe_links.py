"""What the link that sets an axle's toe is called in its garage."""

from kinematics.car.suspension_type import SuspensionType

_TIE_ROD = "tie_rod"


def toe_link_name(suspension: SuspensionType) -> str:
    """A tie rod where the steering holds it, else a toe link."""
    link = suspension.toe_link
    return "tie rod" if link is not None and link[0].startswith(_TIE_ROD) else "toe link"

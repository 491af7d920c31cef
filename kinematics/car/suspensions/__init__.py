"""The suspension types, one file each, and the list that the car file and the command line offer."""

from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions.control_blade import CONTROL_BLADE
from kinematics.car.suspensions.double_wishbone import DOUBLE_WISHBONE
from kinematics.car.suspensions.double_wishbone_with_toe_link import DOUBLE_WISHBONE_WITH_TOE_LINK
from kinematics.car.suspensions.five_link import FIVE_LINK
from kinematics.car.suspensions.free_linkage import FREE_LINKAGE
from kinematics.car.suspensions.h_arm import H_ARM
from kinematics.car.suspensions.live_axle_a_frame import LIVE_AXLE_A_FRAME
from kinematics.car.suspensions.live_axle_four_links import LIVE_AXLE_FOUR_LINKS
from kinematics.car.suspensions.live_axle_three_links import LIVE_AXLE_THREE_LINKS
from kinematics.car.suspensions.live_axle_torque_arm import LIVE_AXLE_TORQUE_ARM
from kinematics.car.suspensions.live_axle_triangulated import LIVE_AXLE_TRIANGULATED
from kinematics.car.suspensions.live_axle_watt import WATT_ON_AXLE, WATT_ON_BODY
from kinematics.car.suspensions.strut import STRUT
from kinematics.car.suspensions.strut_with_toe_link import STRUT_WITH_TOE_LINK
from kinematics.car.suspensions.swing_axle import SWING_AXLE
from kinematics.car.suspensions.trailing_arm import SEMI_TRAILING_ARM, TRAILING_ARM

SUSPENSIONS: dict[str, SuspensionType] = {
    kind.name: kind
    for kind in (
        STRUT,
        DOUBLE_WISHBONE,
        STRUT_WITH_TOE_LINK,
        DOUBLE_WISHBONE_WITH_TOE_LINK,
        FIVE_LINK,
        SEMI_TRAILING_ARM,
        TRAILING_ARM,
        H_ARM,
        CONTROL_BLADE,
        SWING_AXLE,
        LIVE_AXLE_THREE_LINKS,
        LIVE_AXLE_FOUR_LINKS,
        LIVE_AXLE_TRIANGULATED,
        LIVE_AXLE_A_FRAME,
        WATT_ON_AXLE,
        WATT_ON_BODY,
        LIVE_AXLE_TORQUE_ARM,
        FREE_LINKAGE,
    )
}

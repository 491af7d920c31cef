"""The suspension types, one file each, and the list that the car file and the command line offer."""

from kinematics.suspension import SuspensionType
from kinematics.suspensions.double_wishbone import DOUBLE_WISHBONE
from kinematics.suspensions.strut import STRUT

SUSPENSIONS: dict[str, SuspensionType] = {kind.name: kind for kind in (STRUT, DOUBLE_WISHBONE)}

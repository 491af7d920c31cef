"""One axle's springs and ride, worked out."""

from dataclasses import dataclass

from kinematics.loads.rates import AxleRoll, Rates, Ride
from kinematics.loads.setup import AxleSetup


@dataclass(frozen=True, repr=False)
class AxleSheet:
    """One axle: its setup, rates over travel, ride and roll stiffness, and roll-centre height for the textbook [mm]."""

    setup: AxleSetup
    rates: Rates
    ride: Ride
    roll: AxleRoll
    roll_centre: float

    def __repr__(self) -> str:
        axle = self.setup.axle
        return f"<springs of a {axle.name} {axle.suspension.name}: ride {self.ride.frequency:.3g} Hz>"

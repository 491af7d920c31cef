"""The whole car on its springs: both axles and the body between them."""

from dataclasses import dataclass

from kinematics.loads.setup import AxleSetup


@dataclass(frozen=True, repr=False)
class WholeCar:
    """Both axles with their springs and the body on them.

    centre_of_gravity: of the sprung mass, height over the ground as measured [mm]; wheelbase: [mm].
    """

    front: AxleSetup
    rear: AxleSetup
    centre_of_gravity: float
    wheelbase: float

    def __repr__(self) -> str:
        front, rear = (one.axle.suspension.name for one in self.axles)
        return f"<car on its springs: front {front}, rear {rear}>"

    @property
    def axles(self) -> tuple[AxleSetup, AxleSetup]:
        """Front and rear."""
        return self.front, self.rear

    @property
    def rear_share(self) -> float:
        """Part of the sprung mass that the rear axle carries, 0 to 1."""
        front, rear = (axle.loads.sprung_mass for axle in self.axles)
        return rear / (front + rear)

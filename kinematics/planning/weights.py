"""What the scales under both axles show after plans: a body that pitches takes its weight over the wheels."""

from collections.abc import Sequence

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.loads.setup import AxleSetup
from kinematics.planning.carried_ends import Moved
from solvers.vectors import Array


def weights_after(car: Car, before: Sequence[AxleSetup], after: Sequence[Moved]) -> tuple[Array, Array]:
    """What the front and the rear scales show after a plan, or each of a batch, as parts (...) of what they showed.

    The sprung mass keeps its place in the body, which pitches over the wheels: moments about the ground.
    """
    body = car.body
    assert body.centre_of_gravity is not None  # a car that is ready tells them
    assert body.wheelbase is not None
    pitch, weight = np.asarray(after[0].pitch), [float(one.loads.corner_mass.sum()) for one in before]
    moment, sprung, hubs = 0.0, 0.0, np.zeros_like(pitch)
    for i, one in enumerate(before):
        unsprung, behind = one.loads.unsprung, i * body.wheelbase
        contact, hub = one.axle.contact[:, 0] - behind, one.axle.points["wheel_centre"][:, 0] - behind
        moment += float(one.loads.corner_mass @ contact - unsprung @ hub)
        sprung += one.loads.sprung_mass
        hubs = hubs + (_ahead(after[i].axle, np.cos(pitch) * behind) * unsprung).sum(axis=-1)
    along = np.cos(pitch) * moment / sprung + np.sin(pitch) * float(body.centre_of_gravity)
    front, rear = (
        one.axle.contact[..., 0].mean(axis=-1) - i * np.cos(pitch) * body.wheelbase for i, one in enumerate(after)
    )
    on_front = (sprung * along + hubs - sum(weight) * rear) / (front - rear)
    return np.asarray(on_front / weight[0]), np.asarray((sum(weight) - on_front) / weight[1])


def _ahead(axle: Axle, behind: Array) -> Array:
    """How far wheel centres (..., 2) lie ahead of the front axle's own place, of an axle so far behind it [mm]."""
    return np.asarray(axle.points["wheel_centre"][..., 0] - behind[..., None])

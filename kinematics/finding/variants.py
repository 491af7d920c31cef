"""Many plans carried out at once: an axle taken apart, changed by arrays of amounts, put together and aligned."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.finding.means import Amount
from kinematics.planning.alignment import Alignment, align
from kinematics.planning.changes import apply_change
from kinematics.planning.dismantled import AxleParts, take_apart
from kinematics.planning.rake import pitch_of
from solvers.vectors import Array, Flags


@dataclass(frozen=True)
class Variants:
    """One axle under N plans (N, ...): re-aligned, each adjuster's change (N, 2), and where the parts fit (N, 2).

    rotation: of each upright since measured (N, 2, 3, 3); raised, pitch: of the body (N,) [mm, rad].
    """

    axle: Axle
    rotation: Array
    toe_link: Array
    camber: Array
    raised: Array
    pitch: Array
    fits: Flags


def variants(axle: Axle, amounts: Sequence[Amount], values: Array, base: float | None = None) -> Variants:
    """Carry out plans of amounts (..., k) on an axle, or on a batch of axles that broadcasts with them.

    Every change moves points, lengths, radius and ride height in proportion to its amount. base: of the car, over which
    its body pitches, by `rake_base`.
    """
    parts = _changed(take_apart(axle), amounts, values, base)
    aligned = align(parts, axle.fittings.adjusters, axle.toe, axle.camber)
    found = aligned.assembled
    return Variants(found.axle, found.rotation, aligned.toe_link, aligned.camber, *_body(aligned), aligned.reached)


def _body(aligned: Alignment) -> tuple[Array, Array]:
    """How far the body was raised, and how far pitched."""
    return np.asarray(aligned.parts.heave), np.asarray(aligned.parts.pitch)


def _changed(parts: AxleParts, amounts: Sequence[Amount], values: Array, base: float | None) -> AxleParts:
    name = parts.measured.name
    own = [(one, values[..., i]) for i, one in enumerate(amounts) if one.change.axle == name]
    # A batch of plans needs its axis everywhere, even where none of them touches this axle.
    batch = np.zeros(values.shape[:-1])
    points = {key: point + batch[..., None, None] for key, point in parts.points.items()}
    lengths, radius = parts.lengths + batch[..., None, None], parts.radius + batch[..., None]
    heave = parts.heave + batch
    for amount, by in own:
        made = apply_change(amount.made(1.0), parts)
        for key, point in made.points.items():
            shift = point - parts.points[key]
            if shift.any():
                points[key] = points[key] + by[..., None, None] * shift
        lengths = lengths + by[..., None, None] * (made.lengths - parts.lengths)
        radius = radius + by[..., None] * (made.radius - parts.radius)
        heave = heave + by * (made.heave - parts.heave)
    raised = dict.fromkeys(("front", "rear"), batch)
    for i, one in enumerate(amounts):
        raised[one.change.axle] = raised[one.change.axle] + values[..., i] * one.made(1.0).raises
    pitch = parts.pitch + pitch_of(raised["front"], raised["rear"], base)
    return replace(parts, points=points, lengths=lengths, radius=radius, heave=heave, pitch=pitch)


def on_one_body(car: Car, found: dict[str, Variants], before: Mapping[str, Axle]) -> dict[str, Variants]:
    """Give each plan's axles one body: its centre of gravity rises with what each axle is raised.

    An axle that is not among them stays as high as it was measured. before: the axles (N) that the plans are tried on.
    """
    body = car.body
    raises = [np.asarray(found[axle.name].raised if axle.name in found else 0.0) for axle in car.axles]
    raised = raises[0]
    if len(raises) == 2:
        behind = 0.5 if body.wheelbase is None or body.behind_front is None else body.behind_front / body.wheelbase
        raised = raised + (raises[1] - raised) * behind
    return {
        name: replace(one, axle=replace(one.axle, body=before[name].body.raised(raised))) for name, one in found.items()
    }

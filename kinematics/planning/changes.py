"""Changes to a car, in the words of the garage: each moves a point in its part, a length, or the ride height."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDES
from kinematics.car.nearest_names import Named
from kinematics.car.suspension_type import SuspensionType
from kinematics.planning.dismantled import AxleParts
from solvers.vectors import Array

_DOWN: Array = np.array([0.0, 0.0, -1.0])
LOAD_CHANGES = ("spring rate", "spring length", "cut coils", "spring spacer", "bar rate", "ballast")
_DIRECTIONS = {
    "longer ball joint": (0.0, 0.0, -1.0),
    "tie-rod shim": (0.0, 0.0, -1.0),
    "rack raised": (0.0, 0.0, 1.0),
    "wheel spacer": (0.0, 1.0, 0.0),
}
_WITHOUT_POINTS = (*LOAD_CHANGES, "ride height", "tyre radius", "wheel spacer")


@dataclass(frozen=True, repr=False)
class Change:
    """One change to one axle.

    by: an amount [mm, N/mm, kg, or coils]; shift: (ahead, out, up) [mm]; point: a key, where one is named; sides: (2,)
    1.0 for a side that is changed. A kind of change uses `by` or `shift`, not both. place: where a mass lies, (ahead of
    its axle's wheel centres, out to the side that is changed, up from the ground as measured) [mm]; None: over its
    axle, as high as the centre of gravity. known_to: one standard deviation of the amount, of each way of a shift.
    part: what its owner calls the part that is fitted, empty where he does not say.
    """

    axle: str
    what: str
    by: float = 0.0
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    point: str = ""
    sides: tuple[float, float] = (1.0, 1.0)
    place: tuple[float, float, float] | None = None
    known_to: float = 0.0
    part: str = ""

    def __repr__(self) -> str:
        where = " ".join(filter(None, (self.axle, self.what, self.point)))
        how_far = self.shift if any(self.shift) else self.by
        left, right = self.sides
        alone = "" if left == right else ", left" if left else ", right"
        return f"<{where} {how_far}{alone}>"

    @property
    def size(self) -> float:
        """How far the change goes [mm]."""
        return float(np.hypot(self.by, np.linalg.norm(self.shift)))

    @property
    def raises(self) -> float:
        """How far it raises the body over the ground at its own axle [mm]."""
        if self.what == "ride height":
            return self.by
        # The suspension stays about as it sits, so the body rises with the hub; one ride height serves both sides.
        return self.by * (self.sides[LEFT] + self.sides[RIGHT]) / 2.0 if self.what == "tyre radius" else 0.0

    def and_more(self, other: "Change") -> "Change":
        """Return this change and another of the same kind, point and sides as one."""
        ahead, out, up = (a + b for a, b in zip(self.shift, other.shift, strict=True))
        known_to = float(np.hypot(self.known_to, other.known_to))
        return replace(self, by=self.by + other.by, shift=(ahead, out, up), known_to=known_to)


@dataclass(frozen=True)
class ChangeKind:
    """A kind of change: the words for it, what amount it takes, what it means, and how it is made.

    takes: "by" or "shift" [mm], "rate" [N/mm], "mass" [kg] or "coils". names_point: the change must name a point.
    whole_axle: it cannot be made on one side.
    """

    what: str
    takes: str
    meaning: str
    make: Callable[[Change, AxleParts], AxleParts]
    names_point: bool = False
    whole_axle: bool = False


def apply_change(change: Change, parts: AxleParts) -> AxleParts:
    """Return the parts with one change made."""
    return CHANGES[change.what].make(change, parts)


def points_moved(change: Change, kind: SuspensionType) -> tuple[str, ...]:
    """Keys of the points that a change moves in their parts."""
    arms = kind.arms[:1]
    toe_link = () if kind.toe_link is None else (kind.toe_link,)
    moved = {
        "longer ball joint": tuple(arm.joint for arm in arms),
        "inner pivots": tuple(pivot for arm in arms for pivot in (arm.pivot_front, arm.pivot_rear)),
        "tie-rod shim": tuple(outer for outer, _ in toe_link),
        "tie-rod inner": tuple(inner for _, inner in toe_link),
        "rack raised": kind.rack,
        "strut top": () if kind.strut is None else (kind.strut.top_mount,),
        "wheel spacer": ("wheel_centre",),
        "point": (change.point,),
    }
    return moved.get(change.what, ())


def parts_shift(change: Change) -> tuple[float, float, float]:
    """How far a change moves each of its points in their part (ahead, out, up) [mm]; a spacer counts as outward."""
    if CHANGES[change.what].takes == "shift":
        return change.shift
    ahead, out, up = _DIRECTIONS.get(change.what, (0.0, 0.0, 0.0))
    return change.by * ahead, change.by * out, change.by * up


def link_ends(kind: SuspensionType) -> list[str]:
    """Keys of the points at the ends of a suspension type's single links."""
    return sorted({end for link in kind.links for end in link})


def can_be_made(change: ChangeKind, point: str, kind: SuspensionType) -> bool:
    """Whether a suspension type has what a kind of change changes."""
    if change.what == "link length":
        return point in link_ends(kind)
    return bool(change.names_point or points_moved(Change("", change.what), kind) or change.what in _WITHOUT_POINTS)


def _vertical(change: Change) -> Array:
    return np.asarray(change.sides)[:, None] * (-change.by * _DOWN)


def _shift(change: Change) -> Array:
    """The change's shift in the axes of both sides (2, 3): `out` is outward on each."""
    ahead, out, up = change.shift
    by_side = np.stack([np.full(2, ahead), out * SIDES, np.full(2, up)], axis=-1)
    return np.asarray(np.asarray(change.sides)[:, None] * by_side)


def _ride_height(change: Change, parts: AxleParts) -> AxleParts:
    return replace(parts, heave=parts.heave + change.raises)


def _lowered(change: Change, parts: AxleParts) -> AxleParts:
    return _each_point(change, parts, -_vertical(change))


def _raised(change: Change, parts: AxleParts) -> AxleParts:
    return _each_point(change, parts, _vertical(change))


def _shifted(change: Change, parts: AxleParts) -> AxleParts:
    return _each_point(change, parts, _shift(change))


def _each_point(change: Change, parts: AxleParts, shift: Array) -> AxleParts:
    kind = parts.measured.suspension
    for key in points_moved(change, kind):
        # A point that both sides share moves once, outward being to the left.
        parts = parts.with_point(key, shift[LEFT] if key in kind.single else shift)
    return parts


def _of_loads(change: Change, parts: AxleParts) -> AxleParts:
    """Springs and ballast move no point: where they let the car sit is found before the parts are put together."""
    del change
    return parts


def _link_length(change: Change, parts: AxleParts) -> AxleParts:
    for link in parts.measured.suspension.links:
        if change.point in link:
            parts = parts.with_length(link, change.by * np.asarray(change.sides))
    return parts


def _tyre_radius(change: Change, parts: AxleParts) -> AxleParts:
    raised = parts.heave + change.raises
    return replace(parts, radius=parts.radius + np.asarray(change.sides) * change.by, heave=raised)


def _wheel_spacer(change: Change, parts: AxleParts) -> AxleParts:
    outward = parts.spin_axis * (change.by * np.asarray(change.sides))[:, None]
    return parts.with_point("wheel_centre", outward)


class Kinds(Named[ChangeKind]):
    """Kinds of change by what they change; a wrong name gets the nearest."""

    what = "kind of change"


CHANGES: Mapping[str, ChangeKind] = Kinds(
    {
        kind.what: kind
        for kind in (
            ChangeKind(
                "ride height",
                "by",
                "body raised over the ground at this axle; negative lowers it",
                _ride_height,
                whole_axle=True,
            ),
            ChangeKind(
                "longer ball joint",
                "by",
                "the lower ball joint's ball sits this much lower in the upright; negative: higher",
                _lowered,
            ),
            ChangeKind("inner pivots", "shift", "both inner pivots of the lower arm moved on the body", _shifted),
            ChangeKind("tie-rod shim", "by", "the outer tie-rod end sits this much lower in the upright", _lowered),
            ChangeKind("tie-rod inner", "shift", "the inner tie-rod joint moved on the body", _shifted),
            ChangeKind("rack raised", "by", "both inner tie-rod joints raised on the body", _raised),
            ChangeKind("strut top", "shift", "the strut's top mount moved on the body (camber plate)", _shifted),
            ChangeKind(
                "link length",
                "by",
                "a single link made longer, named by a point at either end of it; negative: shorter",
                _link_length,
                names_point=True,
            ),
            ChangeKind(
                "spring rate",
                "rate",
                "other springs of this rate, of the free length that the old ones have",
                _of_loads,
                whole_axle=True,
            ),
            ChangeKind(
                "spring length", "by", "springs of the same rate, longer when free; negative: shorter", _of_loads
            ),
            ChangeKind(
                "cut coils",
                "coils",
                "so many active coils cut off the springs: they get stiffer and shorter, free and coil bound",
                _of_loads,
            ),
            ChangeKind("spring spacer", "by", "packing under the springs; negative: taken away", _of_loads),
            ChangeKind(
                "bar rate",
                "rate",
                "another bar on the same mounts, of this rate at the arm end",
                _of_loads,
                whole_axle=True,
            ),
            ChangeKind("ballast", "mass", "mass added over this axle, on one side if said, or at a place", _of_loads),
            ChangeKind("tyre radius", "by", "loaded radius of the wheel changed; the body rises with it", _tyre_radius),
            ChangeKind("wheel spacer", "by", "the wheel moved outward on its spin axis", _wheel_spacer),
            ChangeKind("point", "shift", "any measured point moved in the part that carries it", _shifted, True),
        )
    }
)

"""What a multibody engine must offer to serve as an independent reference for solved positions.

A linkage is told joint by joint, by points in space [mm] where they are at the start; no body is turned there.
Nothing here knows or uses the solver under test.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Link = tuple[str, Array, str, Array]  # a body and a point of it, and the same at the other end

WORLD = "world"
LONGEST_STEP = 10.0  # mm: from further away an engine can close the linkage the mirrored way


@dataclass(frozen=True)
class Poses:
    """Solved poses of one body: reference point at the start (3,), then (S, 3) [mm]; rotations since (S, 3, 3)."""

    start: Array
    position: Array
    rotation: Array

    def point(self, at: Array) -> Array:
        """Where a point of the body goes (S, 3) that is there (3,) at the start [mm]."""
        return self.position + self.rotation @ (at - self.start)


class Linkage(Protocol):
    """Bodies and joints. Bodies may be carried by others that are already there."""

    def free_body(self, name: str, at: Array) -> None:
        """A body free to move and turn, with its reference point there; other joints guide it."""

    def hinged_body(self, name: str, pivot: Array, other_pivot: Array, on: str = WORLD) -> None:
        """An arm or rocker that turns about the line through two pivots."""

    def ball_jointed_body(self, name: str, at: Array, on: str = WORLD) -> None:
        """A body that turns every way about one point."""

    def rod(self, name: str, inner: Array, outer: Array, to: str, on: str = WORLD) -> None:
        """A rod with a ball joint at either end; how it spins about itself is nobody's concern."""

    def driven_slide(self, name: str, at: Array, direction: Array) -> None:
        """A body on a straight guide, moved along it from the start by the driver of the same name."""

    def sliding_strut(self, name: str, top: Array, low: Array, to: str, on: str = WORLD) -> None:
        """A strut: its rod on a ball joint at the top, its tube sliding on the rod and clamped to a body."""

    def ball_joint(self, first: str, second: str, at: Array) -> None:
        """A point that two bodies share."""

    def fixed_length(self, name: str, first: str, first_at: Array, second: str, second_at: Array) -> None:
        """A link without a body: two points keep their distance."""

    def fixed_sum(self, name: str, links: Sequence[Link]) -> None:
        """Links without bodies that keep not their lengths but the sum of them."""

    def held_height(self, name: str, body: str, at: Array, *, driven: bool) -> None:
        """A point held in height and free to move level; driven: lifted from the start by the driver of that name."""

    def solve(self, driven: Mapping[str, Array]) -> dict[str, Poses]:
        """Poses of all bodies at driver displacements (S,) [mm]; drivers not named stay at the start."""


@dataclass(frozen=True)
class Walk:
    """How to get to one state: from which (None: from the start), by which driver values (N, drivers) in turn."""

    state: int
    from_state: int | None
    steps: Array


def walks(targets: Array) -> Iterator[Walk]:
    """Walks to states (S, drivers) outwards from the start, each from the nearest place that is known already."""
    known: list[tuple[int | None, Array]] = [(None, np.zeros(targets.shape[-1]))]
    for state in np.argsort(np.abs(targets).max(axis=-1), kind="stable"):
        target = targets[state]
        from_state, origin = min(known, key=lambda place: np.abs(target - place[1]).max())
        way = target - origin
        count = max(1, int(np.ceil(np.abs(way).max() / LONGEST_STEP)))
        yield Walk(int(state), from_state, origin + way * (np.arange(1, count + 1) / count)[:, None])
        known.append((int(state), target))


def driver_values(drivers: Sequence[str], driven: Mapping[str, Array]) -> Array:
    """Values (S, drivers) in the order of the drivers, zero for those not named; KeyError for others."""
    unknown = set(driven) - set(drivers)
    if unknown:
        message = f"no such drivers: {', '.join(sorted(unknown))}"
        raise KeyError(message)
    at_start = np.zeros(len(next(iter(driven.values()))))
    return np.stack([driven.get(name, at_start) for name in drivers], axis=-1)

"""A sweep job: how far and how finely an axle is swept in bump, in roll, over the grid of both, and along its rack."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from kinematics.car.car import Axle
from kinematics.motion.moving_axle import MovingAxle
from kinematics.numbers.outer_share import ALL_USUAL, OuterShare, OuterShares
from kinematics.sweeps.asked import Asked, over_attitudes, over_travel
from kinematics.sweeps.body import Sweep, Wheels, sweep_bump, sweep_grid, sweep_roll
from kinematics.sweeps.rack import moving_rack, sweep_rack
from solvers.vectors import Array

Table = Literal["bump", "roll", "grid", "steer", "steer_in_bump", "steer_in_roll"]
REACHING: tuple[Table, ...] = ("bump", "roll", "grid")  # sweeps that must reach something

_USUAL_RACK = 50.0  # mm to either side, where full lock is not stated
_RACK_STEPS = 21
FEW = 9  # samples of a second or third driver
FINE, RACK_FINE = 241, 161  # states of a curve, at least: so many that it shows no corners on paper
BANDED = 61  # states at which a band around a curve is known, at least


def between(samples: Array, least: int) -> Array:
    """Samples (S,) with as many more evenly between each two as make at least so many; itself where they are enough."""
    if samples.size < 2:
        return samples
    parts = max(1, -(-(least - 1) // (samples.size - 1)))
    inner = samples[:-1, None] + np.diff(samples)[:, None] * (np.arange(parts) / parts)
    return np.append(inner.reshape(-1), samples[-1])


@dataclass(frozen=True)
class Span:
    """Range and step of a sweep's driver, in inside units [mm or rad]."""

    low: float
    high: float
    step: float

    def samples(self) -> Array:
        """Values from low to high, both included, at equal steps no longer than `step`, zero among them.

        Zero, the measured position, is a sample whenever it lies within the range.
        """
        if not self.low < 0.0 < self.high:
            return np.linspace(self.low, self.high, self._steps(self.high - self.low) + 1)
        below = np.linspace(self.low, 0.0, self._steps(-self.low) + 1)
        return np.concatenate([below, np.linspace(0.0, self.high, self._steps(self.high) + 1)[1:]])

    @property
    def ends(self) -> Array:
        """Lowest and highest value (2,)."""
        return np.array([self.low, self.high])

    @property
    def count(self) -> int:
        """How many samples there will be, at most."""
        return self._steps(self.high - self.low) + 3

    def few(self, most: int) -> Array:
        """At most so many of the samples, both ends and zero among them where it lies between."""
        samples = self.samples()
        if samples.size <= most:
            return samples
        return replace(self, step=max(self.step, 2.0 * (self.high - self.low) / (most - 3))).samples()

    def _steps(self, length: float) -> int:
        # A whole number of steps may end a rounding above itself.
        return max(1, int(np.ceil(length / self.step - 1e-9)))


@dataclass(frozen=True)
class SweepJob:
    """What to sweep: travel, heave in the roll sweep, rack either way [mm], roll, pitch in all sweeps [rad].

    Each axle's sweeps pitch the body about its own place on the ground, the roll axis about the middle between them.
    """

    travel: Span
    roll: Span
    heave: float = 0.0
    wheels: Wheels = "both"
    outer_shares: OuterShares = ALL_USUAL
    rack: float | None = None
    pitch: float = 0.0

    @property
    def states(self) -> int:
        """How many states the grid will have, at most."""
        return self.travel.count * self.roll.count

    @property
    def along_curves(self) -> tuple[Asked, Asked]:
        """What the bump and the roll sweep ask of an axle."""
        rolled = over_attitudes(np.array([self.heave]), self.roll.ends, self.pitch)
        return over_travel(self.travel.low, self.travel.high), rolled

    @property
    def everywhere(self) -> tuple[Asked, ...]:
        """What all its sweeps, and those of the roll axis, ask of an axle."""
        level = over_attitudes(-self.travel.ends, self.roll.ends)
        pitched = (over_attitudes(-self.travel.ends, self.roll.ends, self.pitch),) if self.pitch else ()
        return *self.along_curves, level, *pitched

    def tables(self, axle: Axle) -> tuple[Table, ...]:
        """Kinds of sweeps that an axle gets: all, and those of the rack where it is steered."""
        return ("bump", "roll", "grid", *(("steer", "steer_in_bump", "steer_in_roll") if is_steered(axle) else ()))

    def bump(self, ready: MovingAxle, least: int = 0, only: Collection[str] | None = None) -> Sweep:
        """The bump sweep of an axle that is ready, or of cars as they might be; of at least so many states.

        only: the numbers wanted, by key; all where it is None.
        """
        travel = between(self.travel.samples(), least)
        return sweep_bump(ready, travel, self.wheels, pitch=self.pitch, outer_share=self._share(ready), only=only)

    def in_roll(self, ready: MovingAxle, least: int = 0, only: Collection[str] | None = None) -> Sweep:
        """The roll sweep of such an axle."""
        roll = between(self.roll.samples(), least)
        return sweep_roll(ready, roll, self.heave, pitch=self.pitch, outer_share=self._share(ready), only=only)

    def curves(self, ready: MovingAxle) -> Mapping[Table, Sweep]:
        """What is drawn of an axle that is ready: in bump, in roll and along its rack, finely; tables have their steps.

        Steered it is another linkage at each rack travel, and these are traced in one batch at ride height alone.
        """
        found: dict[Table, Sweep] = {"bump": self.bump(ready, FINE), "roll": self.in_roll(ready, FINE)}
        if is_steered(ready.axle):
            rack = moving_rack(ready, between(rack_samples(ready.axle, self.rack), RACK_FINE), *self._at_rest)
            found["steer"] = sweep_rack(rack, pitch=self.pitch, outer_share=self._share(ready))
        return found

    def sweeps(self, ready: MovingAxle) -> Mapping[Table, Sweep]:
        """All sweeps of an axle that is ready, in the order of `tables`.

        Those along the rack only where each of the others reaches something: what locks takes longest to find out.
        """
        travel, roll, share = self.travel.samples(), self.roll.samples(), self._share(ready)
        grid = sweep_grid(ready, travel, roll, pitch=self.pitch, outer_share=share)
        found: dict[Table, Sweep] = {"bump": self.bump(ready), "roll": self.in_roll(ready), "grid": grid}
        return found | (self._along_rack(ready) if reaching(found) and is_steered(ready.axle) else {})

    @property
    def _at_rest(self) -> tuple[Asked, ...]:
        """What a pitch asks of a steered axle that is otherwise at ride height."""
        return (over_attitudes(np.zeros(1), np.zeros(1), self.pitch),) if self.pitch else ()

    def _share(self, ready: MovingAxle) -> OuterShare:
        return self.outer_shares.of(ready.axle.name)

    def _along_rack(self, ready: MovingAxle) -> dict[Table, Sweep]:
        bump, roll, share = self.travel.few(FEW), self.roll.few(FEW), self._share(ready)
        rest = np.zeros(1)
        heave, ends, pitch = -self.travel.ends, self.roll.ends, self.pitch
        asked = over_attitudes(heave, rest, pitch), over_attitudes(rest, ends, pitch)
        rack = moving_rack(ready, rack_samples(ready.axle, self.rack), *asked)
        return {
            "steer": sweep_rack(rack, pitch=pitch, outer_share=share),
            "steer_in_bump": sweep_rack(rack, bump=bump, pitch=pitch, outer_share=share),
            "steer_in_roll": sweep_rack(rack, roll=roll, pitch=pitch, outer_share=share),
        }


def reaching(sweeps: Mapping[Table, Sweep]) -> bool:
    """Whether each of an axle's sweeps in bump, in roll and in both reaches something."""
    return all(sweeps[kind].reached.any() for kind in REACHING)


def is_steered(axle: Axle) -> bool:
    """Whether an axle's rack is swept: at the front, or where its travel is stated."""
    rack = axle.suspension.rack
    return bool(rack) and (axle.name == "front" or axle.fittings.rack_travel is not None)


def rack_samples(axle: Axle, asked: float | None = None) -> Array:
    """Rack travels of the steer sweeps [mm], as far as asked, to full lock, or else a usual way, zero among them."""
    most = asked or axle.fittings.rack_travel or _USUAL_RACK
    return np.linspace(-most, most, _RACK_STEPS)

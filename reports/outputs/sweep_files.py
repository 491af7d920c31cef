"""One sweep job: an axle through bump, roll and the grid of both, and the files that come of it."""

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.limits import Limits
from kinematics.doubt.assessment import half_width_95
from kinematics.doubt.question import DRAWN
from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.stance import DEFAULT_OUTER_SHARE, Stance
from kinematics.sweeps.body import Sweep, Wheels, stances, sweep_bump, sweep_grid, sweep_roll
from kinematics.sweeps.rack import sweep_steer
from kinematics.sweeps.roll_axis import roll_axis
from reports.outputs.csv_files import write_csv, write_roll_axis
from reports.outputs.safe_write import write_whole
from reports.words.gaps import gap_words
from reports.words.numbers import told
from solvers.vectors import Array

if TYPE_CHECKING:
    from matplotlib.figure import Figure


_FINISH: dict[str, Any] = {
    "png": {"pil_kwargs": {"compress_level": 1}},
    "svg": {"metadata": {"Date": None}},
    "pdf": {"metadata": {"CreationDate": None}},
}
_USUAL_RACK = 50.0  # mm to either side, where full lock is not stated
_RACK_STEPS = 21
_FEW = 9  # samples of a second or third driver
MOST_STATES = 250_000  # of one grid: some 500 MB of CSV, and as much memory


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
    """What to sweep and draw: travel, heave, rack either way [mm], roll [rad]; drawing: the figures' ending."""

    travel: Span
    roll: Span
    heave: float = 0.0
    wheels: Wheels = "both"
    outer_share: float = DEFAULT_OUTER_SHARE
    drawing: str = "png"
    rack: float | None = None

    def __post_init__(self) -> None:
        states = self.travel.count * self.roll.count
        if states > MOST_STATES:
            text = f"travel and roll together ask for {states} states; at most {MOST_STATES} are allowed"
            raise InputFaultError("the sweep", [Fault("", f"{text}; take longer steps with --step or --roll-step")])

    def tables(self, axle: Axle) -> tuple[str, ...]:
        """Kinds of sweeps that an axle gets: all, and those of the rack where it is steered."""
        return ("bump", "roll", "grid", *(("steer", "steer_in_bump", "steer_in_roll") if is_steered(axle) else ()))

    def sweep(self, axle: Axle, kind: str) -> Sweep:
        """The bump or the roll sweep of an axle, or of cars as they might be."""
        if kind == "bump":
            return sweep_bump(axle, self.travel.samples(), self.wheels, outer_share=self.outer_share)
        return sweep_roll(axle, self.roll.samples(), self.heave, outer_share=self.outer_share)

    def file_names(self, axle: Axle) -> list[str]:
        """Names of all files that the job writes for an axle."""
        figures = ["bump", "roll", "roll_centre_path", "drawing", "side_view_bump"]
        figures += ["steer"] if is_steered(axle) else []
        return [f"{axle.name}_{kind}.csv" for kind in self.tables(axle)] + [
            f"{axle.name}_{figure}.{self.drawing}" for figure in figures
        ]

    def car_file_names(self, car: Car) -> list[str]:
        """Names of all files that the job writes for the car as a whole."""
        own = ["roll_axis.csv", f"roll_axis.{self.drawing}"] if has_roll_axis(car) else []
        return [*own, f"side_view.{self.drawing}"]


def is_steered(axle: Axle) -> bool:
    """Whether an axle's rack is swept: at the front, or where its travel is stated."""
    rack = axle.suspension.rack
    return bool(rack) and (axle.name == "front" or axle.fittings.rack_travel is not None)


def has_roll_axis(car: Car) -> bool:
    """Whether enough is known of a car for its roll axis."""
    return len(car.axles) == 2 and car.body.wheelbase is not None


@dataclass(frozen=True)
class Output:
    """One file to come: its name and what fills it."""

    name: str
    write: Callable[[BinaryIO], None]


def run_sweeps(axle: Axle, job: SweepJob) -> dict[str, Sweep]:
    """Sweep an axle in bump, in roll, and over the grid of both.

    Raises InputFaultError where one of them asks for nothing that the linkage can reach.
    """
    share = job.outer_share
    sweeps = {
        "bump": job.sweep(axle, "bump"),
        "roll": job.sweep(axle, "roll"),
        "grid": sweep_grid(axle, job.travel.samples(), job.roll.samples(), outer_share=share),
    }
    faults = [
        Fault(
            "--heave" if kind == "roll" else "--travel",
            f"nothing of this can be reached: {gap_words(sweep.problems[0])}",
        )
        for kind, sweep in sweeps.items()
        if not sweep.reached.any()
    ]
    if faults:
        raise InputFaultError("the sweep", list(dict.fromkeys(faults)))
    if is_steered(axle):
        rack = rack_samples(axle, job.rack)
        few = job.travel.few(_FEW), job.roll.few(_FEW)
        sweeps["steer"] = sweep_steer(axle, rack, outer_share=share)
        sweeps["steer_in_bump"] = sweep_steer(axle, rack[:, None], bump=few[0][None, :], outer_share=share)
        sweeps["steer_in_roll"] = sweep_steer(axle, rack[:, None], roll=few[1][None, :], outer_share=share)
    return sweeps


def outputs(car: Car, axle: Axle, job: SweepJob, limits: Limits, sweeps: dict[str, Sweep]) -> list[Output]:
    """Every file of a job, in the order of `SweepJob.file_names`."""
    names = iter(job.file_names(axle))
    tables = [Output(next(names), _csv(sweeps[kind], car)) for kind in job.tables(axle)]
    return tables + [Output(next(names), draw) for draw in _figures(car, axle, job, limits, sweeps)]


def car_outputs(car: Car, job: SweepJob) -> list[Output]:
    """Every file on the car as a whole, in the order of `SweepJob.car_file_names`."""
    names = iter(job.car_file_names(car))
    rest = np.zeros(1)
    files, axis = [], None
    if has_roll_axis(car):
        axis = roll_axis(car, rest, rest, outer_share=job.outer_share)
        moved = roll_axis(car, job.travel.few(_FEW), job.roll.samples(), outer_share=job.outer_share)
        files.append(Output(next(names), lambda file: write_roll_axis(moved, car.unit, file)))
        files.append(Output(next(names), drawn(lambda: _axis_curves(car, job), job.drawing)))

    def make() -> "Figure":
        from reports.figures.side_view import AxleAtRest, side_view
        from reports.figures.style import Sheet

        shown = car.axles if axis is not None else car.axles[:1]
        at_rest = [
            AxleAtRest(axle, sweep_bump(axle, rest), (car.body.wheelbase or 0.0) if i else 0.0)
            for i, axle in enumerate(shown)
        ]
        return side_view(at_rest, axis, car, Sheet("Side view at ride height", car.name))

    return [*files, Output(next(names), drawn(make, job.drawing))]


def _axis_curves(car: Car, job: SweepJob) -> "Figure":
    from reports.figures.roll_axis_curves import roll_axis_curves
    from reports.figures.style import Sheet

    rest, share = np.zeros(1), job.outer_share
    in_heave = roll_axis(car, job.travel.samples(), rest, outer_share=share)
    in_roll = roll_axis(car, rest, job.roll.samples(), outer_share=share)
    return roll_axis_curves(in_heave, in_roll, car, Sheet("How the roll axis moves", car.name))


def rack_samples(axle: Axle, asked: float | None = None) -> Array:
    """Rack travels of the steer sweeps [mm], as far as asked, to full lock, or else a usual way, zero among them."""
    most = asked or axle.fittings.rack_travel or _USUAL_RACK
    return np.linspace(-most, most, _RACK_STEPS)


def write_outputs(folder: Path, files: Sequence[Output], *, replace: bool) -> Iterator[Path]:
    """Write files into a folder one by one, each whole or not at all, and tell each path written."""
    for file in files:
        path = folder / file.name
        write_whole(path, file.write, replace=replace)
        yield path


def _csv(sweep: Sweep, car: Car) -> Callable[[BinaryIO], None]:
    return lambda file: write_csv(sweep, car.unit, file)


def _figures(
    car: Car, axle: Axle, job: SweepJob, limits: Limits, sweeps: dict[str, Sweep]
) -> Iterator[Callable[[BinaryIO], None]]:
    # Matplotlib is slow to load: only a job that draws pays for it.
    from reports.figures.curve_panels import Bands
    from reports.figures.curves import curves
    from reports.figures.front_view import front_view
    from reports.figures.panels import SIDE_VIEW, STEER, along_rack, along_travel, panels
    from reports.figures.roll_centre_path import roll_centre_path
    from reports.figures.style import Sheet

    own, unit = limits.of(axle), car.unit
    alone = "" if job.wheels == "both" else f", {job.wheels} wheel alone in bump"
    raised = f", body raised by {told(job.heave, Dimension.LENGTH, unit, sign=False)} in roll" if job.heave else ""
    bump, roll = [("as measured", sweeps["bump"])], [("as measured", sweeps["roll"])]

    def at_ride_height() -> Stance:
        return stances(axle, np.zeros(1), np.zeros(1))

    def around(kind: str) -> Bands:
        swept, ways = sweeps[kind], half_width_95(axle, lambda cars: job.sweep(cars, kind))
        ends = {key: (swept[key] - ways[key], swept[key] + ways[key]) for key in DRAWN if key in ways}
        return Bands(ends, "to first order; `cornersweep doubt` tells where that fails")

    makers: list[Callable[[], Figure]] = [
        lambda: curves(bump, own, unit, Sheet(f"Bump and droop{alone}", car.name), limits.working, around("bump")),
        lambda: curves(roll, own, unit, Sheet(f"Roll{raised}", car.name), limits.working, around("roll")),
        lambda: roll_centre_path(
            [*bump, *roll], own, unit, Sheet(f"Where the roll centre goes{alone}{raised}", car.name)
        ),
        lambda: front_view(at_ride_height(), unit, Sheet("At ride height", car.name), own),
        lambda: panels(
            sweeps["bump"], along_travel(sweeps["bump"], unit), SIDE_VIEW, unit, Sheet("Side view in bump", car.name)
        ),
    ]
    if "steer" in sweeps:
        title = Sheet("Steering at ride height", car.name)
        makers.append(lambda: panels(sweeps["steer"], along_rack(sweeps["steer"], unit), STEER, unit, title))
    for make in makers:
        yield drawn(make, job.drawing)


def drawn(make: Callable[[], "Figure"], ending: str) -> Callable[[BinaryIO], None]:
    """Return what makes a figure and writes it in the format of a file ending: png, svg or pdf."""

    def write(file: BinaryIO) -> None:
        from reports.figures.style import paper

        # Some writers need to seek and re-read, so the file takes the finished bytes only. No date and, for
        # PNG, light packing: the same car gives the same file, soon.
        finished = io.BytesIO()
        with paper():
            make().savefig(finished, format=ending, **_FINISH[ending])
        file.write(finished.getvalue())

    return write

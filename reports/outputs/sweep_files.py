"""The files of a sweep: tables and figures of each axle, and those of the car as a whole."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

from kinematics.car.car import Axle, Car
from kinematics.car.limits import Limits
from kinematics.doubt.solved_car import SolvedAxle, SolvedCar, SolvedRollAxis
from kinematics.numbers.quantity import Dimension
from kinematics.sweeps.roll_axis import has_roll_axis
from kinematics.sweeps.sweep_job import SweepJob, Table, is_steered
from reports.outputs.csv_files import write_csv, write_roll_axis
from reports.outputs.output import Output, drawn
from reports.words.numbers import told
from reports.words.pitch import pitch_words

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from reports.figures.curve_panels import Bands

_AS_MEASURED = "as measured"


def axle_outputs(car: Car, axle: Axle, job: SweepJob, limits: Limits, drawing: str) -> list[Output[SolvedAxle]]:
    """Every file of a sweep of one axle; drawing: the figures' ending."""
    pen = AxlePen(car, axle, job, limits)
    tables = [Output(f"{axle.name}_{kind}.csv", _table(car, kind)) for kind in job.tables(axle)]
    figures: dict[str, Callable[[SolvedAxle], Figure]] = {
        "bump": pen.bump,
        "roll": pen.roll,
        "roll_centre_path": pen.roll_centre_path,
        "drawing": pen.front_view,
        "side_view_bump": pen.side_view_in_bump,
    }
    figures |= {"steer": pen.steer} if is_steered(axle) else {}
    return tables + [Output(f"{axle.name}_{name}.{drawing}", drawn(draw, drawing)) for name, draw in figures.items()]


def car_outputs(car: Car, drawing: str) -> list[Output[SolvedCar]]:
    """Every file of a sweep on the car as a whole."""

    def write(solved: SolvedCar, file: BinaryIO) -> None:
        write_roll_axis(_axis_of(solved).over_all, car.unit, file)

    # Without a wheelbase there is one axle alone to see from the side, and none of what it does to the car.
    known = car.body.wheelbase is not None
    outputs = [Output(f"side_view.{drawing}", drawn(side_view_figure, drawing))] if known else []
    if not has_roll_axis(car):
        return outputs
    return [Output("roll_axis.csv", write), Output(f"roll_axis.{drawing}", drawn(roll_axis_figure, drawing)), *outputs]


def _table(car: Car, kind: Table) -> Callable[[SolvedAxle, BinaryIO], None]:
    return lambda solved, file: write_csv(solved.sweeps[kind], car.unit, file)


def _axis_of(solved: SolvedCar) -> SolvedRollAxis:
    assert solved.roll_axis is not None  # asked only of cars that have one
    return solved.roll_axis


def roll_axis_figure(solved: SolvedCar) -> "Figure":
    """The roll axis over heave and over roll, of a car that has one."""
    from reports.figures.roll_axis_curves import roll_axis_curves
    from reports.figures.style import Sheet
    from reports.words.figure_titles import roll_axis_title

    car, axis = solved.car, _axis_of(solved)
    title, pitch = roll_axis_title(axis.in_heave, car.unit), axis.in_heave.pitch
    title += f" (body {pitch_words(pitch, car.unit)})" if pitch else ""
    return roll_axis_curves(axis.in_heave, axis.in_roll, car, Sheet(title, car.name))


def side_view_figure(solved: SolvedCar) -> "Figure":
    """The car from its left: what is known of its roll axis and side view."""
    from reports.figures.side_view import AxleAtRest, side_view
    from reports.figures.style import Sheet
    from reports.words.figure_titles import car_from_the_side_title

    car, axis = solved.car, solved.roll_axis
    behind = (0.0, car.body.wheelbase or 0.0)
    shown = solved.axles if axis is not None else solved.axles[:1]
    at_rest = [AxleAtRest(one.axle, one.measured.rest, way) for one, way in zip(shown, behind, strict=False)]
    at_all = None if axis is None else axis.at_rest
    sheet = Sheet(car_from_the_side_title(at_all, solved.axles[0].measured.rest, car.unit), car.name)
    return side_view(at_rest, at_all, car, sheet)


@dataclass(frozen=True)
class AxlePen:
    """Draws one axle's figures, each titled with what it finds.

    Matplotlib is slow to load, so each imports what it draws with.
    """

    car: Car
    axle: Axle
    job: SweepJob
    limits: Limits

    def bump(self, solved: SolvedAxle) -> "Figure":
        """Roll centre, camber and toe over wheel travel."""
        from reports.figures.plans import driver_of
        from reports.words.figure_titles import bump_title

        sweep = solved.curves["bump"]
        title = bump_title(sweep, driver_of(sweep), self.limits.of(self.axle), self.limits.working, self.car.unit)
        return self._curves(solved, "bump", f"{title}{self._alone}{self._pitched}")

    def roll(self, solved: SolvedAxle) -> "Figure":
        """The same over roll."""
        from reports.words.figure_titles import roll_title

        title = roll_title(solved.curves["roll"], self.limits.of(self.axle), self.limits.working, self.car.unit)
        return self._curves(solved, "roll", f"{title}{self._raised}{self._pitched}")

    def roll_centre_path(self, solved: SolvedAxle) -> "Figure":
        """Where the roll centre goes in bump and in roll."""
        from reports.figures.plans import driver_of
        from reports.figures.roll_centre_path import roll_centre_path
        from reports.figures.style import Sheet
        from reports.words.figure_titles import path_title

        swept = [(_AS_MEASURED, solved.curves["bump"]), (_AS_MEASURED, solved.curves["roll"])]
        bump, roll = solved.curves["bump"], solved.curves["roll"]
        title = path_title(bump, driver_of(bump), roll, self.limits.working, self.car.unit)
        sheet = Sheet(f"{title}{self._alone}{self._raised}{self._pitched}", self.car.name)
        return roll_centre_path(swept, self.limits.of(self.axle), self.car.unit, sheet)

    def front_view(self, solved: SolvedAxle) -> "Figure":
        """The axle to scale at ride height, with its numbers."""
        from reports.figures.front_view import front_view
        from reports.figures.style import Sheet
        from reports.words.figure_titles import position_title

        own = self.limits.of(self.axle)
        title = f"At ride height: {position_title(solved.at_ride_height, own, self.car.unit)}"
        return front_view(solved.at_ride_height, self.car.unit, Sheet(title, self.car.name), own)

    def side_view_in_bump(self, solved: SolvedAxle) -> "Figure":
        """Anti-dive and its kind over wheel travel."""
        from reports.figures.panels import SIDE_VIEW, along_travel, panels
        from reports.figures.style import Sheet
        from reports.words.figure_titles import side_view_title

        sweep, unit = solved.curves["bump"], self.car.unit
        along = along_travel(sweep, unit)
        title = side_view_title(sweep, along.values * unit.in_mm, unit)
        sheet = Sheet(f"{title}{self._pitched}", self.car.name)
        return panels(sweep, along, SIDE_VIEW, unit, sheet, self._bands(solved, "bump"))

    def steer(self, solved: SolvedAxle) -> "Figure":
        """What each wheel does as the rack moves."""
        from reports.figures.panels import STEER, along_rack, panels
        from reports.figures.style import Sheet
        from reports.words.figure_titles import steering_title

        sweep, unit = solved.curves["steer"], self.car.unit
        sheet = Sheet(f"{steering_title(sweep, unit)}{self._pitched}", self.car.name)
        return panels(sweep, along_rack(sweep, unit), STEER, unit, sheet)

    @property
    def _alone(self) -> str:
        wheels = self.job.wheels
        return "" if wheels == "both" else f" ({wheels} wheel alone in bump)"

    @property
    def _raised(self) -> str:
        heave = told(self.job.heave, Dimension.LENGTH, self.car.unit, sign=False)
        return f" (body raised by {heave} in roll)" if self.job.heave else ""

    @property
    def _pitched(self) -> str:
        return f" (body {pitch_words(self.job.pitch, self.car.unit)})" if self.job.pitch else ""

    def _curves(self, solved: SolvedAxle, kind: Table, title: str) -> "Figure":
        from reports.figures.curves import curves
        from reports.figures.style import Sheet

        swept, sheet = [(_AS_MEASURED, solved.curves[kind])], Sheet(title, self.car.name)
        own, working = self.limits.of(self.axle), self.limits.working
        return curves(swept, own, self.car.unit, sheet, working, self._bands(solved, kind))

    def _bands(self, solved: SolvedAxle, kind: Table) -> "Bands":
        from reports.figures.curve_panels import NO_BANDS, Bands

        known = solved.bands.get(kind)
        if known is None:
            return NO_BANDS
        return Bands(known.at, known.ends, "to first order; `cornersweep doubt` tells where that fails")

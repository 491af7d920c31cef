"""The option `--write-car` of compare and find: a chosen plan as a car file, with the doubt that remains."""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean, shown
from reports.voice import say_written

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.planning.plans import Plan

_OPTION = "--write-car"
_CAR_FILE = ".toml"


@dataclass(frozen=True)
class CarToWrite:
    """A car file that is going to be written: after which plan, where, and out of which file's content."""

    plan: str
    path: Path
    car_file: Path
    written: Mapping[str, Any]

    @classmethod
    def of(cls, asked: Sequence[str] | None, car_file: str) -> "CarToWrite | None":
        """What an option asks for, checked as far as possible before anything is solved."""
        from kinematics.inputs.reading.toml_file import read_toml

        if asked is None:
            return None
        plan, path = asked[0], Path(asked[1])
        if path.suffix.lower() != _CAR_FILE:
            raise InputFaultError(_OPTION, [Fault(asked[1], "a car file's name must end in .toml")])
        return cls(plan, path, Path(car_file), read_toml(Path(car_file)))

    @property
    def doubt_path(self) -> Path | None:
        """The table of doubt that goes beside it, if its car has one."""
        return self.path.with_name(f"{self.path.stem}_doubt.csv") if "doubt" in self.written else None

    @property
    def paths(self) -> list[Path]:
        """All that is written."""
        return [self.path, *([self.doubt_path] if self.doubt_path is not None else [])]

    def refuse_unknown(self, names: Sequence[str]) -> None:
        """Raise InputFaultError if none of the plans has that name."""
        if self.plan not in names:
            text = f"there is no plan {shown(self.plan)}{did_you_mean(self.plan, names)}"
            raise InputFaultError(_OPTION, [Fault("PLAN", text)])

    def refuse_loads(self, plan: "Plan") -> None:
        """Raise InputFaultError for a plan whose springs, bars or ballast a car file would have to tell anew.

        Rates it can tell, where the plan says how high the car stands.
        """
        from kinematics.planning.other_springs import BY_RATE, told_by_no_car

        fitted = told_by_no_car(plan.changes)
        if fitted:
            text = f'"{plan.name}" changes the {fitted[0]}; a plan that moves points or the ride height is allowed'
            if set(fitted) <= set(BY_RATE):
                text += ", and other springs and bars beside a ride height"
            raise InputFaultError(_OPTION, [Fault("PLAN", text)])

    def refuse_unbuildable(self, why: Sequence[str]) -> None:
        """Raise InputFaultError if there are reasons why the plan cannot be built."""
        if why:
            faults = [Fault(f'"{self.plan}"', f"cannot be built: {one}") for one in why]
            raise InputFaultError(f"{self.path} is not written", faults)

    def text(self, car: "Car", plan: "Plan", words: str) -> str:
        """What the file holds. words: the plan's changes."""
        from kinematics.inputs.plans.changed_car import changed_car_text

        head = [
            f'{self.car_file.name} after the plan "{plan.name}": {words}.',
            "On paper. Measure the car again once it is built.",
        ]
        doubt = self.doubt_path
        return changed_car_text(self.written, car, plan, head, None if doubt is None else doubt.name)

    def write(self, text: str, car: "Car", *, replace: bool) -> None:
        """Write it, and its doubt first, so that a car file never stands without what it names."""
        from kinematics.inputs.tables.doubt_file import doubt_text
        from reports.outputs.safe_write import write_content

        doubts = {axle.name: axle.doubt for axle in car.axles if axle.doubt is not None}
        contents = {self.path: text}
        if self.doubt_path is not None:
            contents = {self.doubt_path: doubt_text(doubts, car.unit, tomllib.loads(text)), **contents}
        for path, content in contents.items():
            write_content(path, content, replace=replace)
            say_written(path)

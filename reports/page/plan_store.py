"""The plan file that goes with the car: read for its plans and class rules, and added to, whole or not at all."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit

from kinematics.car.car import Car
from kinematics.car.lengths import UNITS
from kinematics.inputs.plans.plan_file import PlanFile, plans_from
from kinematics.inputs.plans.plan_text import plan_lines
from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.inputs.reading.sizes import MOST_BYTES_TOML
from kinematics.inputs.reading.toml_file import parsed_toml
from kinematics.inputs.reading.whole_file import whole_text
from kinematics.planning.plans import Plan
from reports.page.file_version import refuse_changed, version
from reports.page.written_back import write_back

NOT_THERE = "no file"  # the version of a plan file that is not there yet
_EMPTY = PlanFile((), ())


@dataclass(frozen=True)
class KeptPlans:
    """A plan file's plans and rules; version: changes with its content. text: all of it."""

    file: PlanFile
    version: str
    text: str


def plans_beside(car_file: Path) -> Path:
    """Where the plans of a car are kept unless another file is named: beside it, named after it."""
    return car_file.with_name(f"{car_file.stem}_plans.toml")


def means_beside(car_file: Path) -> Path:
    """Where a search looks for what may be done unless another file is named."""
    return car_file.with_name(f"{car_file.stem}_means.toml")


def read_kept(path: Path, car: Car) -> KeptPlans:
    """What a plan file holds now, nothing where it is not there; InputFaultError where it has faults."""
    if not path.exists():
        return KeptPlans(_EMPTY, NOT_THERE, "")
    text = whole_text(path, MOST_BYTES_TOML)
    return KeptPlans(plans_from(parsed_toml(text, path), str(path), car), version(text), text)


def keep(path: Path, car: Car, plan: Plan, seen: str) -> None:
    """Add a plan to the file; what stands there stays as it is, comments too.

    seen: the version that the page showed. InputFaultError where the file is another by now, so that what somebody else
    wrote is not passed over, and where the name is taken.
    """
    kept = _unchanged(path, car, seen)
    own = parsed_toml(kept.text, path)["units"] if kept.text else car.unit.symbol
    unit = car.unit if own == car.unit.symbol else UNITS[own]
    before = kept.text.rstrip("\n") if kept.text else f'units = "{unit.symbol}"'
    _write(path, car, "\n".join([before, "", *plan_lines(plan, unit)]) + "\n")


def forget(path: Path, car: Car, name: str, seen: str) -> None:
    """Take a plan out of the file; the same holds."""
    kept = _unchanged(path, car, seen)
    document = tomlkit.parse(kept.text)
    plans: Any = document.get("plan", [])
    places = [place for place, one in enumerate(plans) if one.get("name") == name]
    if not places:
        raise InputFaultError(str(path), [Fault("plan", "there is no plan of that name any more")])
    del plans[places[0]]
    if not plans:
        del document["plan"]
    _write(path, car, tomlkit.dumps(document))


def restore(path: Path, car: Car, before: str, seen: str) -> None:
    """Write what the file said before; the same holds."""
    _unchanged(path, car, seen)
    _write(path, car, before)


def _unchanged(path: Path, car: Car, seen: str) -> KeptPlans:
    kept = read_kept(path, car)
    refuse_changed(path, kept.version, seen, "its plans")
    return kept


def _write(path: Path, car: Car, text: str) -> None:
    """Write what the reader takes, and nothing else."""
    plans_from(parsed_toml(text, path), str(path), car)
    write_back(path, text)

"""The command weigh: where a car's weight is, from scales under its wheels, and the car file with that in it."""

import argparse
import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import WITHIN
from reports.shared_options import add_replace
from reports.voice import say_written

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.inputs.garage.scales_file import ScalesFile
    from kinematics.weighing.centre_of_gravity import Weighed

_OPTION = "--write-car"
_ENDS = ("front", "rear")


def add_weigh(add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about."""
    parser = add("weigh", weigh, "centre of gravity and cross-weight from scales under the wheels")
    parser.add_argument("scales", help="the scales file (TOML): what each pad showed, level and with one axle raised")
    parser.add_argument("car", nargs="?", help="the car file (TOML), for lengths that the scales file leaves out")
    parser.add_argument(
        _OPTION, metavar="FILE", help="write the car file with these weights and this centre of gravity (.toml)"
    )
    add_replace(parser)


def weigh(options: argparse.Namespace) -> int:
    """Print where the weight is, and what that means for the car file; write it if asked."""
    from kinematics.car.car import Car
    from kinematics.inputs.car.car_file import read_car
    from kinematics.inputs.garage.scales_file import height_faults, read_scales
    from kinematics.weighing.centre_of_gravity import HEIGHT, ready_to_race, weighed
    from reports.documents.document import put_document
    from reports.documents.weighed import weighed_document
    from reports.outputs.safe_write import refuse_existing
    from reports.tables.terminal import console, show_caution, show_headline, working
    from reports.tables.weighed_table import show_weighed
    from reports.words.weighed import weighed_headline

    car = None if options.car is None else read_car(options.car)
    target = _target(options, car)
    read = read_scales(options.scales, car)
    refuse_existing([target] if target is not None else [], replace=options.replace)
    with working("finding where the weight is"):
        found, racing = weighed(read.weighing), ready_to_race(read.weighing)
    raised = read.weighing.raised
    if raised is not None:
        faults = height_faults(found.values[HEIGHT].value, read.unit, _ENDS[raised.end])
        if faults:
            raise InputFaultError(options.scales, faults)
    show_headline(weighed_headline(racing, read.unit))
    out = console()
    columns = {_as_weighed(read): found}
    show_weighed(out, columns | ({"ready to race": racing} if read.weighing.added else {}), read.unit)
    if car is not None:
        _for_the_car(options, car, racing, target)
    show_caution(out)
    shown = Car(read.name, read.unit) if car is None else car
    put_document("weigh", shown, lambda: weighed_document(found, racing, read.unit))
    return WITHIN


def _as_weighed(read: "ScalesFile") -> str:
    return f"weighed with {read.aboard}" if read.aboard else "as weighed"


def _target(options: argparse.Namespace, car: "Car | None") -> Path | None:
    """The car file to write, with what speaks against it."""
    from kinematics.inputs.garage.car_with_weights import lacking_for_weights

    if options.write_car is None:
        return None
    path = Path(options.write_car)
    if path.suffix.lower() != ".toml":
        raise InputFaultError(_OPTION, [Fault(options.write_car, "a car file's name must end in .toml")])
    if car is None:
        raise InputFaultError(_OPTION, [Fault("car", "is missing: name the car file that the weights are for")])
    faults = lacking_for_weights(car)
    if faults:
        raise InputFaultError(options.car, faults)
    return path


def _for_the_car(options: argparse.Namespace, car: "Car", racing: "Weighed", target: Path | None) -> None:
    """Print what to write into the car file, or write it."""
    from kinematics.inputs.garage.car_with_weights import gravity_written, weights_written, with_weights
    from kinematics.inputs.reading.sizes import MOST_BYTES_TOML
    from kinematics.inputs.reading.whole_file import whole_text
    from kinematics.weighing.for_the_car import sprung_mass
    from reports.outputs.safe_write import write_content
    from reports.tables.terminal import console
    from reports.tables.weighed_table import show_for_the_car
    from reports.words.weighed import for_the_car_words

    sprung = sprung_mass(racing, car)
    if target is None:
        weights = weights_written(car, racing)
        gravity = None if sprung is None else gravity_written(car, sprung)
        show_for_the_car(console(), for_the_car_words(weights, gravity))
        return
    assert sprung is not None  # a car file without it was refused
    text = whole_text(Path(options.car), MOST_BYTES_TOML)
    write_content(
        target, with_weights(text, car, racing, sprung, _doubt(options, text, target)), replace=options.replace
    )
    say_written(target)


def _doubt(options: argparse.Namespace, text: str, target: Path) -> str | None:
    """How the new file names the doubt file of the old one, from another folder; None where nothing changes."""
    import tomllib

    doubt = tomllib.loads(text).get("doubt")
    old = Path(options.car).parent
    if doubt is None or old.resolve() == target.parent.resolve():
        return None
    return os.path.relpath(old / doubt, target.parent)

"""The command new: a blank car file, or a means, plan or scales file to change."""

import argparse
import sys
from pathlib import Path

from reports.commands.car_and_limits import WITHIN
from reports.voice import say

_FIND, _COMPARE = "find my_car.toml", "compare my_car.toml"


def new(options: argparse.Namespace) -> int:
    """Write or print a blank car file, what `find` may do with a car, or plans."""
    from kinematics.car.lengths import UNITS
    from kinematics.inputs.car.blank_file import blank_car_file
    from kinematics.inputs.garage.blank_scales import blank_scales_file
    from kinematics.inputs.plans.blank_means import blank_means_file
    from kinematics.inputs.plans.blank_plans import blank_plan_file
    from reports.commands.suspension_names import suspension_named

    if options.suspension == "means":
        return _written(blank_means_file(UNITS[options.units]), options, "say in it what you could do", _FIND)
    if options.suspension == "plans":
        return _written(blank_plan_file(UNITS[options.units]), options, "say in it what you think of", _COMPARE)
    if options.suspension == "scales":
        return _written(blank_scales_file(UNITS[options.units]), options, 'fill in every "?"', "weigh")
    kind = suspension_named(options.suspension, "cornersweep new")
    axle = options.axle or ("front" if kind.rack else "rear")
    text = blank_car_file(kind, UNITS[options.units], axle)
    return _written(text, options, 'fill in every "?"', "show")


def _written(text: str, options: argparse.Namespace, what: str, then: str) -> int:
    from reports.outputs.safe_write import write_content

    if options.file is None:
        sys.stdout.write(text)
        return WITHIN
    write_content(Path(options.file), text, replace=options.replace)
    say(f"wrote {options.file}: {what}, then run: cornersweep {then} {options.file}")
    return WITHIN

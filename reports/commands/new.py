"""The command new: a blank car file."""

import argparse
from pathlib import Path

from reports.commands.car_and_limits import WITHIN


def new(options: argparse.Namespace) -> int:
    """Write or print a blank car file."""
    from kinematics.car.lengths import UNITS
    from kinematics.inputs.car.blank_file import blank_car_file
    from reports.commands.suspension_names import suspension_named
    from reports.outputs.safe_write import write_content

    kind = suspension_named(options.suspension, "cornersweep new")
    axle = options.axle or ("front" if kind.rack else "rear")
    text = blank_car_file(kind, UNITS[options.units], axle)
    if options.file is None:
        print(text, end="")
        return WITHIN
    write_content(Path(options.file), text, replace=options.replace)
    print(f'wrote {options.file}: fill in every "?", then run: cornersweep show {options.file}')
    return WITHIN

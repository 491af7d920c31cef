"""The command `import`: a car file from a table of named points, as a drawing program or a scanner writes it."""

import argparse
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean, shown
from reports.shared_options import add_replace
from reports.voice import say

if TYPE_CHECKING:
    from kinematics.car.lengths import LengthUnit
    from kinematics.car.suspension_type import SuspensionType
    from solvers.vectors import Array

_NAME = "cornersweep import"
_WRITTEN = 0
_NEGATIVE_AXIS = re.compile(r"-[xyz]", re.IGNORECASE)
_AXES = ("forward", "left", "up")


def plain_axis(word: str) -> str:
    """Write an axis like -x so that argparse takes it for no option: a blank before it makes it a value."""
    return f" {word}" if _NEGATIVE_AXIS.fullmatch(word) else word


def add_import(add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about."""
    parser = add("import", import_points, "write a car file from a table (CSV) of named points, with any axes")
    parser.add_argument("points", help="the table (CSV): columns name, x, y, z, or name, ahead, out, up")
    parser.add_argument("file", help="the car file to write (TOML)")
    parser.add_argument("--suspension", required=True, help="suspension type, such as strut or five-link")
    parser.add_argument("--axle", choices=("front", "rear"), help="which axle (default: front if the type is steered)")
    for way in _AXES:
        about = f"the table's axis that points {way}: +x, -x, +y, ...; two of the three tell the third"
        parser.add_argument(f"--{way}", metavar="AXIS", help=about)
    parser.add_argument("--unit", choices=("mm", "cm", "m", "in"), help="the table's unit, if its header does not say")
    parser.add_argument(
        "--ground",
        type=float,
        metavar="HEIGHT",
        help="where the ground lies along up, in the table's unit (default: its point `ground`)",
    )
    parser.add_argument(
        "--centre",
        type=float,
        metavar="PLACE",
        help="where the centre plane lies along left, in the table's unit (default: its point `centre_plane`, or 0)",
    )
    parser.add_argument(
        "--camber", type=float, help="degrees, each wheel, negative: top leans in (default: left blank)"
    )
    parser.add_argument("--toe", type=float, help="degrees of toe-in, each wheel (default: left blank)")
    parser.add_argument(
        "--name",
        action="append",
        default=[],
        metavar="THEIRS=POINT",
        help="what the table calls a point, such as LBJ=lower_ball_joint; as often as needed",
    )
    parser.add_argument(
        "--known-to", type=float, metavar="DOUBT", help="one standard deviation of a coordinate, in the table's unit"
    )
    add_replace(parser)


def import_points(options: argparse.Namespace) -> int:
    """Write a car file from a table of points."""
    from kinematics.car.lengths import UNITS
    from kinematics.inputs.car.car_text import car_text
    from kinematics.inputs.tables.point_rows import TABLE_UNITS
    from kinematics.inputs.tables.point_table import Convention, axes_from, read_points
    from reports.commands.suspension_names import suspension_named
    from reports.outputs.safe_write import refuse_existing, write_content

    path, source = Path(options.file), Path(options.points)
    kind = suspension_named(options.suspension, _NAME)
    faults = _option_faults(options, kind)
    names, more = _names(options.name, kind)
    if faults or more:
        raise InputFaultError(_NAME, [*faults, *more])
    refuse_existing([path], replace=options.replace)
    stated = [getattr(options, way) for way in _AXES]
    axes = axes_from(*stated) if any(word is not None for word in stated) else None
    points, table_unit = read_points(
        source, kind, Convention(axes, options.unit, options.ground, options.centre), names
    )
    unit = UNITS["in" if table_unit == "in" else "mm"]
    axle = options.axle or ("front" if kind.rack else "rear")
    written = _content(options, kind, axle, unit, TABLE_UNITS[table_unit])
    _check(written, points, kind, axle, unit, source)
    text = car_text(written, {axle: points}, head=_head(options, source, table_unit))
    write_content(path, text, replace=options.replace)
    say(f"wrote {path}: {len(points)} points of a {kind.name}, {axle} axle, in {unit.symbol}")
    blank = [what for what, value in (("camber", options.camber), ("toe_in", options.toe)) if value is None]
    if blank:
        say(
            f'still "?": {" and ".join(blank)}; a table of points does not tell; fill in, then: cornersweep show {path}'
        )
    else:
        say(f"then: cornersweep show {path}")
    return _WRITTEN


def _option_faults(options: argparse.Namespace, kind: "SuspensionType") -> list[Fault]:
    faults = []
    if kind.listed:
        text = f"a {kind.name} has the points and joints that you list; write its file from `cornersweep new`"
        faults.append(Fault("suspension", text))
    for way, value, most in (("camber", options.camber, 15.0), ("toe", options.toe, 10.0)):
        if value is not None and not abs(value) <= most:
            faults.append(Fault(f"--{way}", f"read {value:g}; -{most:g} to {most:g} degrees are allowed"))
    for way, value in (("ground", options.ground), ("centre", options.centre)):
        if value is not None and not abs(value) <= 1e6:
            faults.append(Fault(f"--{way}", f"read {value:g}; a number from -1000000 to 1000000 is allowed"))
    if options.known_to is not None and not 0.0 < options.known_to <= 1e5:
        faults.append(Fault("--known-to", f"read {options.known_to:g}; a number above 0 is allowed"))
    return faults


def _names(written: Sequence[str], kind: "SuspensionType") -> tuple[dict[str, str], list[Fault]]:
    """What the table calls each point."""
    names: dict[str, str] = {}
    faults = []
    for one in written:
        theirs, equals, key = (part.strip() for part in one.rpartition("="))
        bare = key.lower().replace("_", " ").removeprefix("left ").removeprefix("right ").replace(" ", "_")
        if not equals or not theirs or not key:
            faults.append(Fault("--name", f"read {shown(one)}; two names are allowed, like LBJ=lower_ball_joint"))
        elif bare not in (*kind.keys, "ground", "centre_plane"):
            faults.append(
                Fault("--name", f"read {shown(one)}: a {kind.name} has no such point{did_you_mean(bare, kind.keys)}")
            )
        elif theirs in names:
            faults.append(Fault("--name", f"read {shown(one)}; {theirs} is {names[theirs]} already"))
        else:
            names[theirs] = key
    return names, faults


def _content(
    options: argparse.Namespace, kind: "SuspensionType", axle: str, unit: "LengthUnit", table_in_mm: float
) -> dict[str, Any]:
    """The car file but for its points."""
    from kinematics.car.lengths import STILL_BLANK

    content: dict[str, Any] = {"name": Path(options.file).stem.replace("_", " ") or "my car", "units": unit.symbol}
    if options.known_to is not None:
        content["measured_to"] = float(f"{options.known_to * table_in_mm / unit.in_mm:.6g}")
    angles = {"camber": options.camber, "toe_in": options.toe}
    wheel = {angle: STILL_BLANK if value is None else value for angle, value in angles.items()}
    return {**content, axle: {"suspension": kind.name, "wheel": wheel}}


def _check(
    written: dict[str, Any],
    points: "dict[str, Array]",
    kind: "SuspensionType",
    axle: str,
    unit: "LengthUnit",
    source: Path,
) -> None:
    """Refuse what no car can have, before anything is written; mostly an axis points elsewhere than was said."""
    import numpy as np

    from kinematics.car.car import Axle
    from kinematics.inputs.car.plausibility import implausible

    camber, toe = (0.0 if isinstance(angle, str) else angle for angle in written[axle]["wheel"].values())
    both = Axle(axle, kind, points, np.radians([camber, camber]), np.radians([toe, toe]))
    faults = implausible(both, unit, (None, None))
    if faults:
        text = "so read, these are no points of a car; are the axes, the unit, the ground and the centre plane as said?"
        raise InputFaultError(str(source), [*faults, Fault("", text)])


def _head(options: argparse.Namespace, source: Path, unit: str) -> list[str]:
    """Where the file came from, in its first lines."""
    stated = [f"{way} {word.strip()}" for way in _AXES if (word := getattr(options, way)) is not None]
    marks = (("ground", options.ground), ("centre plane", options.centre))
    stated += [f"{what} at {value:g}" for what, value in marks if value is not None]
    name = "".join(letter for letter in source.name if letter.isprintable())
    return [
        f"Points read from {name} ({', '.join([*stated, f'in {unit}'])}).",
        "`ahead` of this axle's wheel centres, `out` from the centre plane, `up` from the ground.",
    ]

"""A commented survey file: each reading of the measuring sheet in its place, "?" where it is not yet known."""

import math
import re
from collections.abc import Mapping, Sequence
from itertools import groupby
from types import MappingProxyType

from tomlkit import item

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import STILL_BLANK, LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.survey.reading_list import SuggestedReading, reading_list
from reports.words.reading_list import group_words, what_words

_HEAD = """\
# A survey for cornersweep: what was read on the garage floor. Numbers are those of the measuring sheet.
# Fill in each "?"; take away the line of what you did not read. Lengths may be written 13.625 or, as a tape shows
# them, "13 5/8". Any reading may have note = "..." and known_to: two readings in three lie within it (one standard
# deviation). If "good to {worst}" means never worse, write half of it.
# CAUTION: never go under a car that only a jack holds. Measure on ramps or stands made for its weight.

name = {name}
units = "{unit}"

# known_to of what each instrument reads; take away the leading # of what you know better.
# [instruments]
# tape = {tape}                         # between two points
# rule = {rule}                         # heights, distances out and ahead
# level = 0.2                        # degrees
"""

_AXLE = """
[{axle}]
suspension = "{kind}"   # {title}
# Left and right are mirror images of each other; what carries no side in its name was read on the left.
sides = "alike"
wheel = {{}}                           # each wheel has its own below
readings = [
"""

_WHEELS = """\
]

# Degrees. camber: negative where the top leans in. toe_in: each wheel, negative for toe-out.
"""

_TAIL = """
# All other tables of a car file ([body], [limits], [{axle}.stops], ...) may stand here and go through unchanged;
# `cornersweep new` shows them.
"""

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)")
_AS_TOML_HAS_IT = re.compile(r"[+-]?(0|[1-9]\d*)(\.\d+)?")
_DASHES = str.maketrans({"\N{MINUS SIGN}": "-", "\N{EN DASH}": "-"})
_NONE: Mapping[int, str] = MappingProxyType({})


def survey_template(
    kind: SuspensionType,
    unit: LengthUnit,
    axle: str,
    values: Mapping[int, str] = _NONE,
    doubts: Mapping[int, str] = _NONE,
    remarks: Mapping[int, str] = _NONE,
    name: str = "my car",
    about: Sequence[str] = (),
) -> str:
    """Return the survey file of the sheet for one axle of a type, as TOML with comments.

    values, doubts, remarks: what was written beside each number of the sheet, as written; what is no number stands in
    quotes, so that reading the file names it. Where there are values, a reading without one has no effect. about:
    further lines for the owner. ValueError for a type whose owner lists the points.
    """
    entries = reading_list(kind)
    written = _Written(values, doubts, remarks)
    in_mm = unit.symbol == "mm"
    text = _HEAD.format(
        worst="2 mm" if unit.symbol == "mm" else "1/16 in",
        name=item(_in_one_line(name)).as_string(),
        unit=unit.symbol,
        tape="2.0" if in_mm else "0.08",
        rule="1.5" if in_mm else "0.06",
    )
    text += "\n# As it stood.\n" + "".join(f"# {_in_one_line(line)}\n" for line in about)
    text += "".join(written.comment(entry) for entry in entries if entry.kind == "note")
    text += _AXLE.format(axle=axle, kind=kind.name, title=kind.title)
    readings = [entry for entry in entries if entry.kind not in ("note", "camber", "toe_in")]
    for _, group in groupby(readings, key=lambda entry: entry.group):
        own = list(group)
        text += f"  # {group_words(own[0])}\n" + "".join(written.reading(entry) for entry in own)
    text += _WHEELS
    for side in SIDE_NAMES:
        angles = [entry for entry in entries if entry.kind in ("camber", "toe_in") and entry.of == (side,)]
        text += f"[{axle}.{side}]\n{written.wheel(angles)}"
    return text + _TAIL.format(axle=axle)


class _Written:
    """What was written on the sheet, in lines of the file."""

    def __init__(self, values: Mapping[int, str], doubts: Mapping[int, str], remarks: Mapping[int, str]) -> None:
        self._values, self._doubts, self._remarks = values, doubts, remarks

    def comment(self, entry: SuggestedReading) -> str:
        """A line for the owner, without effect."""
        value, remark = (_in_one_line(one.get(entry.number, "")) for one in (self._values, self._remarks))
        return f"# no. {entry.number} {what_words(entry)}: {'; '.join(filter(None, (value or STILL_BLANK, remark)))}\n"

    def reading(self, entry: SuggestedReading) -> str:
        """One entry of the list of readings."""
        value = self._value(entry)
        if entry.kind == "track":
            fields = [f"track = {value}"]
        else:
            fields = [f"{entry.kind} = {_names(entry.of)}"]
            fields += [f'seen_from = "{entry.seen_from}"'] if entry.seen_from is not None else []
            fields.append(f"reads = {value}")
        line = f"{{ {', '.join([*fields, *self._besides(entry, 'known_to')])} }},   # no. {entry.number}\n"
        # A sheet that came back says by an empty box that this could not be reached.
        return f"  # not read: {line}" if self._values and entry.number not in self._values else f"  {line}"

    def wheel(self, angles: Sequence[SuggestedReading]) -> str:
        """One wheel's angles."""
        fields = []
        for entry in angles:
            doubt = self._doubts.get(entry.number, "").strip()
            fields.append(f"{entry.kind} = {self._value(entry)}")
            fields += [f"{entry.kind}_known_to = {_number(doubt)}"] if doubt else []
        remarks = [_in_one_line(self._remarks.get(entry.number, "")) for entry in angles]
        numbers = " and ".join(str(entry.number) for entry in angles)
        said = "; ".join([f"no. {numbers}", *filter(None, remarks)])
        return f"wheel = {{ {', '.join(fields)} }}   # {said}\n"

    def _value(self, entry: SuggestedReading) -> str:
        return _number(self._values.get(entry.number, "").strip() or STILL_BLANK)

    def _besides(self, entry: SuggestedReading, key: str) -> list[str]:
        doubt, remark = (one.get(entry.number, "").strip() for one in (self._doubts, self._remarks))
        fields = [f"{key} = {_number(doubt)}"] if doubt else []
        return fields + ([f"note = {item(_in_one_line(remark)).as_string()}"] if remark else [])


def _names(of: Sequence[str]) -> str:
    return f'"{of[0]}"' if len(of) == 1 else "[" + ", ".join(f'"{name}"' for name in of) + "]"


def _number(written: str) -> str:
    """A number as TOML has it, or else what was written, in quotes."""
    plain = written.translate(_DASHES).strip()
    if _AS_TOML_HAS_IT.fullmatch(plain):
        return plain
    if _NUMBER.fullmatch(plain) and math.isfinite(float(plain)):
        return repr(float(plain))
    return item(_in_one_line(plain)).as_string()


def _in_one_line(text: str) -> str:
    """Text with single blanks and nothing that a file cannot hold."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())

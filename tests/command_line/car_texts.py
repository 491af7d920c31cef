"""Car files as a person would write them: one without fault, the same in inches, and blank files filled in."""

import re
from pathlib import Path

from kinematics.car.suspension_type import SuspensionType

SOUND_CAR = (Path(__file__).parent / "sound_car.toml").read_text(encoding="utf-8")
MM_PER_INCH = 25.4  # exact by definition of the international inch (formula)
_LENGTH = re.compile(r"\b(ahead|out|up|known_to|radius|measured_to|from) = (-?[0-9.]+)")


def with_tape_points() -> str:
    """The sound car in mm, with three of its lengths such that a tape in inches shows them exactly."""
    text = SOUND_CAR
    for was, now in (
        ("out = 741", "out = 741.3625"),  # 29 3/16 in = 467/16 in
        ("up = 182", "up = 181.76875"),  # 7 5/32 in = 229/32 in
        ("ahead = -128, out = 676", "ahead = -127.79375, out = 676"),  # -5 1/32 in = -161/32 in
    ):
        assert text.count(was) == 1
        text = text.replace(was, now)
    return text


def in_inches() -> str:
    """The same car in inches, with those three as a tape shows them and all others to full precision."""
    text = with_tape_points()
    for was, now in (
        ("out = 741.3625", 'out = "29 3/16"'),
        ("up = 181.76875", 'up = "7 5/32"'),
        ("ahead = -127.79375, out = 676", 'ahead = "-5 1/32", out = 676'),
        ('units = "mm"', 'units = "in"'),
        ("travel = [-40, 40]", f"travel = [{-40 / MM_PER_INCH!r}, {40 / MM_PER_INCH!r}]"),
        ("to = 76.2", "to = 3"),
    ):
        assert text.count(was) == 1
        text = text.replace(was, now)
    return _LENGTH.sub(lambda read: f"{read[1]} = {float(read[2]) / MM_PER_INCH!r}", text)


def filled_in(blank: str, kind: SuspensionType, unit: str) -> str:
    """A blank car file with its type's typical values in the place of every "?"."""
    text = blank.replace('camber = "?", toe_in = "?"', "camber = -1.8, toe_in = 0.05")
    scale = MM_PER_INCH if unit == "in" else 1.0
    for point in kind.points:
        line = re.compile(rf'^({point.key} *= {{ )ahead = "\?", out = "\?", up = "\?"', re.MULTILINE)
        # What is not built alike on both sides is asked for twice, the left side's first.
        for typical in [point.typical, *([point.other_side] if point.other_side else [])]:
            ahead, out, up = (value / scale for value in typical)
            text, count = line.subn(rf"\g<1>ahead = {ahead!r}, out = {out!r}, up = {up!r}", text, count=1)
            assert count == 1
        assert not line.search(text)
    return text

"""What a person reads: columns of a CSV file by their titles, cells of a terminal table beside theirs."""

import csv
import math
import re
from pathlib import Path

import numpy as np
import pytest

from tests.outputs.two_cars import MM_PER_INCH, N_PER_POUND_FORCE

_IN = {"mm": 1.0, "in": MM_PER_INCH}
# What one inside unit (mm, rad, N, kg, N/mm, parts of one) is in the units that are shown: (unit, factor).
_EDGE = {
    "length": {"mm": ("mm", 1.0), "in": ("in", 1.0 / MM_PER_INCH)},
    "angle": dict.fromkeys(_IN, ("deg", 180.0 / math.pi)),
    "angle per length": {"mm": ("deg/mm", 180.0 / math.pi), "in": ("deg/in", 180.0 / math.pi * MM_PER_INCH)},
    "ratio": dict.fromkeys(_IN, ("", 1.0)),
    "part": dict.fromkeys(_IN, ("%", 100.0)),
    "force": {"mm": ("N", 1.0), "in": ("lb", 1.0 / N_PER_POUND_FORCE)},
    "mass": {"mm": ("kg", 1.0), "in": ("lb", 1.0 / 0.45359237)},
    "rate": {"mm": ("N/mm", 1.0), "in": ("lb/in", MM_PER_INCH / N_PER_POUND_FORCE)},
    # N mm/rad into N m/deg, into lb ft/deg
    "roll stiffness": {
        "mm": ("N m/deg", math.pi / 180.0 / 1000.0),
        "in": ("lb ft/deg", math.pi / 180.0 / N_PER_POUND_FORCE / (12.0 * MM_PER_INCH)),
    },
    "acceleration": dict.fromkeys(_IN, ("g", 1.0)),
    "frequency": dict.fromkeys(_IN, ("Hz", 1.0)),
}
_DECIMALS = {
    "length": {"mm": 1, "in": 2},
    "angle": {"mm": 2, "in": 2},
    "angle per length": {"mm": 4, "in": 3},
    "ratio": {"mm": 3, "in": 3},
    "part": {"mm": 1, "in": 1},
    "force": {"mm": 0, "in": 0},
    "mass": {"mm": 0, "in": 0},
    "rate": {"mm": 2, "in": 0},
    "roll stiffness": {"mm": 0, "in": 0},
    "frequency": {"mm": 2, "in": 2},
}


def symbol(kind: str, unit: str) -> str:
    return _EDGE[kind][unit][0]


def factor(kind: str, unit: str) -> float:
    return _EDGE[kind][unit][1]


def decimals(kind: str, unit: str) -> int:
    return _DECIMALS[kind][unit]


def in_title(kind: str, unit: str) -> str:
    """A unit as a column's title has it: behind an underline."""
    words = symbol(kind, unit).replace("/", "_per_").replace("%", "percent")
    return f"_{words}" if words else ""


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def columns(path: Path) -> dict[str, np.ndarray]:
    """Columns of numbers by title, NaN where a field is empty; columns of words are left out."""
    found = rows(path)
    told: dict[str, np.ndarray] = {}
    for title in found[0]:
        cells = [row[title] for row in found]
        if all(re.fullmatch(r"|[-+]?[0-9.]+(e[-+]?[0-9]+)?", cell) for cell in cells) and title != "note":
            told[title] = np.array([float(cell or "nan") for cell in cells])
    return told


def lined_table(out: str, title: str) -> list[dict[str, str]]:
    """Rows of a table with upright lines whose title begins so, by the heads of its columns."""
    lines = out.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith(title))
    heads = [cell.strip() for cell in lines[start + 2].strip("┃ ").split("┃")]
    found = []
    for line in lines[start + 4 :]:
        if not line.startswith("│"):
            break
        cells = [cell.strip() for cell in line.rstrip()[1:-1].split("│")]
        found.append(dict(zip(heads, cells, strict=True)))
    return found


def is_rounded(cell: str, value: float, kind: str, unit: str, places: int | None = None) -> bool:
    """Whether a cell shows a value [mm, rad, N, ...] rounded in its unit, with as many decimals as that has."""
    if not math.isfinite(value):
        return cell in ("at infinity", "none")
    digits = _DECIMALS[kind][unit] if places is None else places
    shape = r"[-+]?\d+" + (rf"\.\d{{{digits}}}" if digits else "")
    near = abs(float(cell) - value * factor(kind, unit)) <= 0.500001 * 10.0**-digits if _number(cell) else False
    return bool(re.fullmatch(shape, cell)) and near and not re.fullmatch(r"-0(\.0+)?", cell)


def _number(cell: str) -> bool:
    return bool(re.fullmatch(r"[-+]?[0-9]+(\.[0-9]+)?", cell))


def assert_shown(cell: str, value: float, kind: str, unit: str, places: int | None = None) -> None:
    assert is_rounded(cell, value, kind, unit, places), (cell, value * factor(kind, unit), kind, unit)


def assert_same(found: np.ndarray, wanted: np.ndarray, what: str, near: float = 1e-6) -> None:
    """Equal but for the rounding of another path: a millionth, and of small numbers an absolute one."""
    np.testing.assert_allclose(found, wanted, rtol=near, atol=1e-7, err_msg=what)


def assert_unlike(left: np.ndarray, right: np.ndarray) -> None:
    """Two columns differ, so that exchanging them would be seen."""
    with pytest.raises(AssertionError):
        assert_same(left, right, "")

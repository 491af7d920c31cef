"""What a sheet says of small numbers agrees with itself: no minus nought, and parts that add up or say "about".

Every signed number in the program's words is written with Python's `z`, by which nought has no minus sign (Python's
format specification, from memory). Fractions are added up by Python's.
"""

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from kinematics.car.lengths import INCH, MM
from reports.command_line import main
from reports.words.numbers import in_both_units, told_roll
from reports.words.set_up_numbers import over_together, over_words, toe_together
from tests.garage.screws import car_text
from tests.outputs.two_cars import CAR, written

ROOT = Path(__file__).parents[2]
_SIGNED = re.compile(r"""\{[^{}"']*:(?:\+|\{plus\})(?!z)[^{}]*(?:\{[^{}]*\})?[f%]\}""")


def test_no_signed_number_can_show_a_minus_nought() -> None:
    """But where it was rounded before, and nought added."""
    found = [
        f"{path.name}: {line.strip()}"
        for folder in ("reports", "kinematics")
        for path in (ROOT / folder).rglob("*.py")
        for line in path.read_text(encoding="utf-8").splitlines()
        if _SIGNED.search(line) and "+ 0.0" not in line and "if rounded" not in line
    ]
    assert found == []


@pytest.mark.parametrize("value", [-1e-6, -0.0])
def test_nought_has_no_minus(value: float) -> None:
    assert "-" not in in_both_units(value) + told_roll(value)


def fraction(text: str) -> Fraction:
    sign = -1 if text.startswith("-") else 1
    return sign * sum((Fraction(part) for part in text.strip("+-").split()), Fraction(0))


@pytest.mark.parametrize("parts", [(1.4, 1.4), (1.0, 1.0), (-2.3, -2.3), (3.3, -3.3), (0.4, 0.4)])
def test_both_wheels_together(parts: tuple[float, float]) -> None:
    """In 64ths of an inch, some of which round away from their sum."""
    tape = replace(INCH, fractions=True)
    lengths = [one * 25.4 / 64.0 for one in parts]
    each = [fraction(over_words(one, tape)) for one in lengths]
    words = over_together(lengths, tape)
    assert words.startswith("about ") == (fraction(words.removeprefix("about ")) != sum(each))


def test_degrees_together() -> None:
    half = 0.0524 / 57.29577951308232
    assert toe_together([half, half], MM) == "+0.10"
    half = 0.0526 / 57.29577951308232
    assert toe_together([half, half], MM) == "about +0.11"


def test_the_sheet_says_about(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """0.05 deg over a tyre of 600 mm are 0.52 mm or 1.3 64ths of an inch, 2.6 of both: told 1 and 3 (formula: sine)."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "300")
    text = car_text("in").replace("[front.stops]\nbump = ", '[front.stops]\ndroop = "1 1/2"\nbump = ')
    text = re.sub(r"\ndroop = 1\.4.*", "", text, count=1)
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    assert main(["setup", "car.toml"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "-1/64 in each (within 1/32), both about -3/64." in said


@pytest.mark.campaign
def test_a_lean_in_inches(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(written(CAR, "in"), encoding="utf-8")
    assert main(["lean", "car.toml"]) == 0
    assert re.search(r"[ (]-0(\.0+)?(?![\d.])", capsys.readouterr().out) is None

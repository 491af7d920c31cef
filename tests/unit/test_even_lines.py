"""Titles in lines of even length: no line longer than asked, no more lines than need be, no word alone at the end."""

import pytest

from kinematics.inputs.demo_cars import demo_car
from reports.figures.style import Column, Sheet
from reports.words.wrapped import evenly_wrapped, wrapped

TITLES = [
    "47 % of the roll-centre height's variance comes from lower ball joint up",
    "Force-weighted height ±16.5 mm at ride height, ±18.8 mm at 3.0 deg of roll",
    "Best of these plans, rack up, more camber: force-weighted height at 1.2 deg of roll 23.1 mm below ground, as "
    "measured 66.5 mm below ground",
    "Short",
    "",
    "One" * 40 + " long word",
]


@pytest.mark.parametrize("title", TITLES)
@pytest.mark.parametrize("width", [30, 69])
def test_even_lines(title: str, width: int) -> None:
    lines, usual = evenly_wrapped(title, width), wrapped(title, width)
    assert " ".join(lines).split() == title.split()
    assert len(lines) == len(usual)
    assert max(map(len, lines), default=0) <= max(map(len, usual), default=0)
    if title and "OneOne" not in title:
        assert all(len(line) > 0.5 * max(map(len, lines)) for line in lines)


@pytest.mark.parametrize("unit", ["mm", "in", "deg", "%", "lb", "N", "g"])
def test_no_number_is_parted_from_its_unit(unit: str) -> None:
    title = f"the front right wheel shows 1138 {unit}, the rear left one 198 {unit}, and the others less"
    for width in range(14, 80):
        assert all(line.split()[0].strip(",") != unit for line in evenly_wrapped(title, width))


def test_on_a_figure() -> None:
    """As drawn: lines of like length, and the minus sign of the axes before a number, not within a word."""
    title = "Anti-lift 7.0 % at ride height, -3.9 % at 60 mm of bump, and some more words that make it a longer one"
    column = Column(Sheet(title, "a car"), demo_car().front, [1.0])
    drawn = column.figure.texts[0].get_text()
    assert drawn.replace("\n", " ") == title.replace("-3.9", "\N{MINUS SIGN}3.9")
    lengths = [len(line) for line in drawn.splitlines()]
    assert len(lengths) == 2
    assert max(lengths) - min(lengths) <= 10

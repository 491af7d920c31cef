"""Titles in lines of even length: no line longer than asked, no more lines than need be, no word alone at the end."""

import pytest

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

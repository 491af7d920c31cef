"""Anti-roll bars: the formula of `bar_rate` against a frame of beams solved by a general library, Pynite.

The bar is a straight middle part along the car's y axis with an arm at either end. One arm's end is held in height
and the other pushed up, which loads both arms antisymmetrically, since the bushes let the bar turn freely.
Beams are thin (Euler and Bernoulli), on both sides of the comparison.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest
from Pynite import FEModel3D

from kinematics.car.springs_and_bars import STEEL_SHEAR, STEEL_YOUNG, bar_rate

PUSH = 1000.0  # N
# The library's frame and the formula share their theory. Its equations are solved to about 1e-16 times their
# condition, 1e6 or so for beams of a few sizes.
SAME_THEORY = 1e-8


@dataclass(frozen=True)
class FrameBar:
    """A bar: middle between the bends, arms' lever and how far they splay outwards, bushes inside of the bends."""

    diameter: float
    length: float
    arm: float
    inner: float = 0.0
    splay: float = 0.0
    inset: float = 0.0

    @property
    def bending(self) -> float:
        """E I of the bar [N mm^2]."""
        return STEEL_YOUNG * np.pi * (self.diameter**4 - self.inner**4) / 64.0

    @property
    def by_formula(self) -> float:
        along = float(np.hypot(self.arm, self.splay))
        return bar_rate(self.diameter, self.length, self.arm, inner=self.inner, arm_length=along)

    @property
    def by_frame(self) -> float:
        """Force for each mm that the left arm's end goes up, the right one's held [N/mm]."""
        frame, half = FEModel3D(), self.length / 2.0
        second = self.bending / STEEL_YOUNG
        area = np.pi * (self.diameter**2 - self.inner**2) / 4.0
        frame.add_material("steel", STEEL_YOUNG, STEEL_SHEAR, STEEL_YOUNG / (2.0 * STEEL_SHEAR) - 1.0, 7.85e-9)
        frame.add_section("round", area, second, second, 2.0 * second)
        places = {
            "left end": (self.arm, half + self.splay),
            "left bend": (0.0, half),
            "left bush": (0.0, half - self.inset),
            "right bush": (0.0, self.inset - half),
            "right bend": (0.0, -half),
            "right end": (self.arm, -half - self.splay),
        }
        if self.inset == 0.0:
            del places["left bush"], places["right bush"]
        for name, (ahead, left) in places.items():
            frame.add_node(name, ahead, left, 0.0)
        names = list(places)
        for one, other in pairwise(names):
            frame.add_member(f"{one} to {other}", one, other, "steel", "round")
        bushes = ("left bend", "right bend") if self.inset == 0.0 else ("left bush", "right bush")
        frame.def_support(bushes[0], support_DX=True, support_DY=True, support_DZ=True)
        frame.def_support(bushes[1], support_DX=True, support_DZ=True)
        frame.def_support("right end", support_DZ=True)
        frame.add_node_load("left end", "FZ", PUSH)
        frame.analyze_linear()
        held = frame.nodes["right end"].RxnFZ["Combo 1"]
        assert held == pytest.approx(-PUSH, rel=1e-6)  # antisymmetric, as said
        return float(PUSH / frame.nodes["left end"].DZ["Combo 1"])

    @property
    def middle_bends(self) -> float:
        """Movement for each newton that bending of the middle adds [mm/N]; formula, thin beams.

        Each overhang between bush and bend is a cantilever of length e that stands on a beam of length s, bent into
        an S by opposite moments; the push acts e + splay out from the bush.
        """
        inset, splay, span = self.inset, self.splay, self.length - 2.0 * self.inset
        lever = inset + splay
        # Energy of the moment along the middle, P times the distance to the push: overhangs, then the span.
        overhang = (lever**3 - splay**3) / 3.0
        return float(2.0 * (overhang + lever**2 * span / 6.0) / self.bending)


@pytest.mark.parametrize("inner", [0.0, 16.0])
@pytest.mark.parametrize(
    ("diameter", "length", "arm"), [(22.0, 900.0, 220.0), (18.0, 700.0, 150.0), (26.0, 400.0, 300.0)]
)
def test_formula_is_the_frame_with_bushes_at_the_bends(
    diameter: float, length: float, arm: float, inner: float
) -> None:
    bar = FrameBar(diameter, length, arm, inner)
    assert bar.by_formula == pytest.approx(bar.by_frame, rel=SAME_THEORY)


@pytest.mark.parametrize("splay", [0.0, 60.0, 120.0])
@pytest.mark.parametrize("inset", [0.0, 30.0, 60.0, 100.0])
def test_what_the_formula_leaves_out_is_the_bending_of_the_middle(inset: float, splay: float) -> None:
    """With bushes inside the bends or splayed arms the bar is softer than the formula, by just that."""
    bar = FrameBar(22.0, 900.0, 220.0, inset=inset, splay=splay)
    assert 1.0 / bar.by_frame == pytest.approx(1.0 / bar.by_formula + bar.middle_bends, rel=SAME_THEORY)


def test_how_much_softer_bushes_inside_the_bends_make_a_bar() -> None:
    """A 22 mm bar, 900 mm between arms of 220 mm: under 2 % for bushes 50 mm inside, some 5 % at 100 mm."""
    softer = {
        inset: 1.0 - bar.by_frame / bar.by_formula
        for inset in (50.0, 100.0)
        for bar in [FrameBar(22.0, 900.0, 220.0, inset=inset)]
    }
    assert 0.005 < softer[50.0] < 0.02
    assert 0.04 < softer[100.0] < 0.06


@pytest.mark.parametrize("length", [500.0, 900.0])
def test_rate_goes_with_the_fourth_power_of_the_diameter(length: float) -> None:
    """Common practice, no source: a bar a tenth thicker is nearly half as stiff again."""
    assert bar_rate(22.0, length, 200.0) / bar_rate(20.0, length, 200.0) == pytest.approx(1.1**4, rel=1e-12)

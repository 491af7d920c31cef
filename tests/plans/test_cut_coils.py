"""Springs as parts: rate and solid length by Shigley's formulas, and where a car sits on cut coils, by hand.

A spring carries the same weight before and after. It is pressed by F / k, and with c of n coils gone only by the part
(n - c) / n of that; it is shorter by c times its pitch when free. So the body comes down by c p - (F / k) (c / n) along
the spring: by less than what was cut, for what is left is stiffer. Formulas: Shigley, Mechanical Engineering Design,
ch. 10 (from memory).
"""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Car, InputFaultError
from kinematics.car.lengths import INCH
from kinematics.car.springs_and_bars import AxleLoads
from kinematics.car.units import Units
from kinematics.inputs.car.car_file import read_car
from kinematics.inputs.car.loads_tables import SpringTable
from kinematics.inputs.car.spring_entries import coils_from
from kinematics.inputs.demo_cars import demo_car, demo_text
from kinematics.inputs.plans.plan_file import plans_from
from kinematics.inputs.reading.faults import Fault
from kinematics.planning.changes import Change
from kinematics.planning.plans import carry_out
from reports.command_line import main
from tests.plans.garage import LEFT_ONLY
from tests.plans.test_settling import (
    CARRIED,
    PLAN,
    RATE,
    RATIO,
    done,
    on,
    on_pitched,
    rises,
    settled,
    straight_car,
    told,
)
from tests.short_run import at_places

SALOON = "rear_drive_saloon.toml"
WIRE, COILS, FREE = 12.0, 6.0, 400.0
# Lowered alike at both ends the links take the wheels fore and aft under the weight; the hand's rounds end there.
SHIFTED = 2e-3  # mm
PITCH = (FREE - 2.0 * WIRE) / COILS
BY_SIZES = "wire = 12.5\nmean_diameter = 125\nactive_coils = 5.5\n#"


def with_springs(car: Car, axle: str, **known: float | None) -> Car:
    def its(loads: AxleLoads | None) -> AxleLoads:
        assert loads is not None
        return replace(loads, spring=replace(loads.spring, **known))

    axles = tuple(replace(one, loads=its(one.loads)) if one.name == axle else one for one in car.axles)
    return replace(car, axles=axles)


def cut_car() -> Car:
    return with_springs(straight_car(), "front", wire=WIRE, active_coils=COILS, free_length=FREE, block_length=96.0)


@pytest.mark.parametrize("coils", at_places([0.5, 1.0, 1.25], 1))
def test_where_it_sits(coils: float) -> None:
    """Cut at both ends alike, so that it stays level."""
    lower = (coils * PITCH - CARRIED / RATE * coils / COILS) / RATIO
    stiffer = RATE * COILS / (COILS - coils)
    car = with_springs(cut_car(), "rear", wire=WIRE, active_coils=COILS, free_length=FREE, block_length=96.0)
    found = rises(car, on("front", "cut coils", coils), on("rear", "cut coils", coils))
    assert found == pytest.approx(on_pitched(-lower, -lower, rates=(stiffer, stiffer)), abs=SHIFTED)


def test_what_is_left_of_the_spring() -> None:
    """Rate as one over the coils; each coil takes its pitch from the free length and its wire from the solid one."""
    left, right = 1.5, 0.0
    changes = [on("front", "cut coils", left, sides=LEFT_ONLY)]
    setup = settled(cut_car(), *changes).car.front
    spring = setup.loads.spring
    assert_allclose(setup.rate, [RATE * COILS / (COILS - left), RATE], rtol=1e-12)
    assert_allclose(spring.free_length, [FREE - left * PITCH, FREE - right], rtol=1e-12)
    assert_allclose(spring.block_length, [96.0 - left * WIRE, 96.0], rtol=1e-12)


@pytest.mark.campaign
def test_seventy_millimetres_cut_off() -> None:
    """Of 412 mm, 24 of which are flat ends, 70 are 18 % of the coils: 22 % stiffer, and well short of 70 mm lower.

    A strut's lever on its wheel, changing by less than a twentieth on the way, is left out here:
    a twentieth of the 73 mm by which the spring is pressed.
    """
    active, cut = 5.5, 5.5 * 70.0 / 388.0
    car = with_springs(demo_car(SALOON), "front", wire=12.0, active_coils=active, free_length=412.0, bump_stop=None)
    changes = [on("front", "cut coils", cut)]
    front = settled(car, *changes).car.front
    assert front.rate[0] / 34.0 == pytest.approx(1.22, abs=0.002)
    carried = 287.5 * 9.80665 - 36.0 * 9.80665
    along = 70.0 - carried / 34.0 * cut / active
    axles = done(car, *changes)
    lengths = [
        np.linalg.norm(axle.points["strut_top"] - axle.points["strut_low"], axis=-1)
        for axle in (car.front, axles["front"].axle)
    ]
    assert_allclose(lengths[0] - lengths[1], along, rtol=0.0, atol=73.0 / 20.0)
    assert axles["front"].raised == pytest.approx(-56.0, abs=2.0)


def test_rate_and_solid_length_from_wire_and_coils(tmp_path: Path) -> None:
    """k = G d^4 / (8 D^3 n) with G = 79.3 GPa, or as stated; solid: two coils more, or as many as are told."""
    for more, shear, solid in (
        ("", 79300.0, (5.5 + 2.0) * 12.5),
        ("\ntotal_coils = 7", 79300.0, 7.0 * 12.5),
        ("\nshear_modulus = 41", 41000.0, 7.5 * 12.5),
        ("\nblock_length = 99", 79300.0, 99.0),
    ):
        sizes = BY_SIZES.replace("\n#", f"{more}\n#")
        (tmp_path / "car.toml").write_text(demo_text(SALOON).replace("rate = 34 ", sizes), encoding="utf-8")
        loads = read_car(tmp_path / "car.toml").front.loads
        assert loads is not None
        assert_allclose(loads.spring.rate, shear * 12.5**4 / (8.0 * 125.0**3 * 5.5), rtol=1e-12)
        assert loads.spring.block_length == pytest.approx(solid)


def test_in_inches() -> None:
    """The same formula in inches and pounds: 11.5 million lb/in^2, 0.5 in of wire on 5 in, six coils: 119.8 lb/in."""
    table = SpringTable(wire=0.5, mean_diameter=5.0, active_coils=6.0, shear_modulus=11.5)
    faults: list[Fault] = []
    rate, own = coils_from(table, Units(INCH), "front.spring", faults)
    assert not faults
    assert rate * 25.4 / 4.4482216152605 == pytest.approx(11.5e6 * 0.5**4 / (8.0 * 5.0**3 * 6.0), rel=1e-9)
    assert own["block_length"] == pytest.approx(8.0 * 12.7)


def test_solid_is_a_stop_in_the_balance() -> None:
    """Springs half as stiff would let the car down by as much again, were there room: solid coils hold it a little on.

    They are pressed by room and a little: what the solid coils carry over their 1000 N/mm, less than a wheel's weight.
    """
    pressed = CARRIED / RATE
    room = 1.2 * pressed
    car, halved = straight_car(), [on(axle, "spring rate", RATE / 2.0) for axle in ("front", "rear")]
    for axle in ("front", "rear"):
        car = with_springs(car, axle, free_length=FREE, block_length=FREE - room)
    lower = -pressed / RATIO
    assert rises(straight_car(), *halved) == pytest.approx(
        on_pitched(lower, lower, rates=(RATE / 2.0, RATE / 2.0)), abs=SHIFTED
    )
    beyond = (CARRIED - RATE / 2.0 * room) / (RATE / 2.0 + 1000.0)
    held = -(room + beyond - pressed) / RATIO
    stiff = RATE / 2.0 + 1000.0
    assert rises(car, *halved) == pytest.approx(on_pitched(held, held, rates=(stiff, stiff)), abs=SHIFTED)


def test_a_spring_said_to_be_solid_at_rest(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = demo_text(SALOON).replace("rate = 34 ", "free_length = 300\nblock_length = 250\nrate = 34 ")
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    assert main(["lean", str(tmp_path / "car.toml")]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "front.spring would be coil bound as the car stands; are its rate, block_length" in told


class TestFaults:
    """Cut coils that cannot be."""

    @pytest.mark.parametrize("coils", [COILS, 7.5])
    def test_as_many_as_there_are(self, coils: float) -> None:
        text = f'{PLAN}[[plan.change]]\nwhat = "cut coils"\ncoils = {coils}\n'
        assert f"plan 1 (tried).change: read {coils:g} coils off the front springs; they have 6 that work" in told(
            text, cut_car()
        )

    def test_added_up_over_plans(self) -> None:
        one = 'what = "cut coils"\ncoils = 3.5\n'
        text = f'{PLAN}[[plan.change]]\n{one}[[plan]]\nname = "more"\non_top_of = "tried"\n[[plan.change]]\n{one}'
        assert "plan 2 (more).change: read 7 coils off the front springs" in told(text, cut_car())

    def test_beside_other_springs(self) -> None:
        text = (
            f'{PLAN}[[plan.change]]\nwhat = "cut coils"\ncoils = 1\n[[plan.change]]\nwhat = "spring rate"\nrate = 40\n'
        )
        assert '"spring rate" fits others; leave one of the two out' in told(text, cut_car())

    def test_a_spring_of_unknown_coils(self) -> None:
        text = f'{PLAN}[[plan.change]]\nwhat = "cut coils"\ncoils = 1\n'
        said = told(text, demo_car(SALOON))
        assert "change 1.what: it takes wire, active_coils and free_length under [front.spring]" in said

    def test_the_api_refuses_too(self) -> None:
        with pytest.raises(ValueError, match="7 coils cannot be cut off a spring of 6"):
            settled(cut_car(), Change("front", "cut coils", 7.0))


@pytest.mark.campaign
def test_cut_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Told as coils, with the words of caution that belong to it."""
    coils = "wire = 12\nactive_coils = 6\nfree_length = 400\nrate = 34 "
    (tmp_path / "car.toml").write_text(demo_text(SALOON).replace("rate = 34 ", coils), encoding="utf-8")
    main(["compare", str(tmp_path / "car.toml"), "--change", "cut coils", "0.5"])
    said = " ".join(capsys.readouterr().out.split())
    assert "front cut coils by 0.5 coils" in said
    assert "cut coils (no flame, cut end in its seat)" in said
    assert "class rules" in said


def test_a_read_plan_is_carried_out() -> None:
    """The file's number of coils is a number, whatever the unit of length."""
    for units in ("mm", "in"):
        written = {
            "units": units,
            "plan": [{"name": "cut", "change": [{"what": "cut coils", "coils": 0.75}]}],
        }
        (plan,) = plans_from(written, "plans.toml", cut_car()).plans
        assert plan.changes[0].by == 0.75
        (axles,) = carry_out(cut_car(), [plan])
        assert not axles["front"].refusals
    less: dict[str, Any] = {"units": "mm", "plan": [{"name": "cut", "change": [{"what": "cut coils", "coils": -1}]}]}
    with pytest.raises(InputFaultError, match="coils"):
        plans_from(less, "plans.toml", cut_car())


def test_lengths_are_of_each_side() -> None:
    spring = settled(cut_car(), on("front", "spring length", -20.0)).car.front.loads.spring
    assert_allclose(np.broadcast_to(spring.free_length, 2), FREE - 20.0)  # type: ignore[arg-type]

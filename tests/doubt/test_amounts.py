"""The doubt of a plan's own amounts: against plans with other amounts, carried out on one car after another.

The doubt tries one plan on many cars with what its amounts come out at besides; here each draw's plan is written out
with its amounts, and carried out on that draw's car alone (`carry_out`), springs settled anew.
"""

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Car, read_car, sweep_bump
from kinematics.car.limits import Limits
from kinematics.doubt.amounts import amount_sources, made_off
from kinematics.doubt.assessment import perturbed_axles
from kinematics.doubt.differences import plan_doubts
from kinematics.doubt.planned import plan_sureness
from kinematics.inputs.demo_cars import LOWERED_COUPE, demo_car, demo_text
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.inputs.plans.plan_text import plan_text
from kinematics.judging.verdict import judge
from kinematics.planning.plans import Plan, axle_after, carry_out, settled
from kinematics.planning.rake import rake_base
from kinematics.planning.settling import MeasuredSprings
from reports.command_line import main
from solvers.vectors import Array
from tests.plans.garage import EVERY_KIND, change, plan

COUPE, SALOON = demo_car(LOWERED_COUPE), demo_car("rear_drive_saloon.toml")
DOUBTFUL = """
units = "mm"
[[plan]]
name = "joint and shim"
[[plan.change]]
what = "longer ball joint"
by = 18
known_to = 1.5
[[plan.change]]
what = "tie-rod shim"
by = 18
known_to = 1
[[plan.change]]
what = "ride height"
by = 1
known_to = 4
"""
DRAWS = 400


def sources_of(car: Car, tried: Plan) -> int:
    springs = MeasuredSprings(car)
    return len(amount_sources(car, tried, settled(car, tried, springs), springs))


def off_by(tried: Plan, off: Array) -> Plan:
    """The plan with its amounts off by these standard deviations (k,), in order, written out."""
    left = iter(off.tolist())
    changes = []
    for one in tried.changes:
        if not one.known_to:
            changes.append(one)
        elif any(one.shift):
            ahead, out, up = (was + one.known_to * next(left) if was else 0.0 for was in one.shift)
            changes.append(replace(one, shift=(ahead, out, up)))
        else:
            changes.append(replace(one, by=one.by + one.known_to * next(left)))
    return replace(tried, changes=tuple(changes))


@pytest.mark.parametrize(("what", "how"), EVERY_KIND, ids=[what for what, _ in EVERY_KIND])
@pytest.mark.parametrize("sides", [(1.0, 1.0), (0.0, 1.0)], ids=["both", "right"])
def test_an_amount_that_comes_out_otherwise_is_another_amount(
    what: str, how: dict[str, object], sides: tuple[float, float]
) -> None:
    if what == "ride height" and sides != (1.0, 1.0):
        pytest.skip("of the whole axle")
    tried = plan(change("longer ball joint", by=6.0), change(what, **how, sides=sides, known_to=0.7))
    springs = MeasuredSprings(COUPE)
    amounts = amount_sources(COUPE, tried, tried, springs)
    ways = np.count_nonzero(how.get("shift", 1.0))
    assert len(amounts) == ways
    draws = np.random.default_rng(4).normal(size=(3, ways))
    axle = COUPE.front
    cars = replace(axle, points={key: np.stack([one] * 3) for key, one in axle.points.items()})
    after, fits = axle_after(cars, tried, rake_base(COUPE), made_off(amounts, draws))
    assert fits.all()
    for at, own in enumerate(draws):
        alone = carry_out(COUPE, [off_by(tried, own)])[0]["front"].axle
        for key, point in alone.points.items():
            assert_allclose(after.points[key][at], point, rtol=0.0, atol=1e-8, err_msg=key)


@pytest.mark.parametrize("what", ["spring spacer", "spring length"])
def test_packing_moves_the_ride_height(what: str) -> None:
    """A packing of 8 mm that is 0.3 mm more or less: by the springs settled anew with each amount."""
    tried = plan(change(what, by=8.0, known_to=0.3))
    springs = MeasuredSprings(SALOON)
    after = settled(SALOON, tried, springs)
    amounts = amount_sources(SALOON, tried, after, springs)
    heights: dict[str, list[float]] = {}
    for by in (7.4, 8.6):
        for one in settled(SALOON, plan(change(what, by=by)), springs).changes[1:]:
            heights.setdefault(one.axle, []).append(one.by)
    (moved,) = amounts
    assert {one.what for one in moved} == {"ride height"}
    for one in moved:
        low, high = heights[one.axle]
        # From two standard deviations under it to two over.
        assert one.by == pytest.approx((high - low) / 4.0, abs=2e-3)
    assert max(abs(one.by) for one in moved) > 0.2


def by_another_route(car: Car, tried: Plan, seed: int) -> tuple[Array, float]:
    """The front roll centre's height (DRAWS,) [mm] and how often all limits hold, by one car after another."""
    axle = car.front
    assert axle.doubt is not None
    rng = np.random.default_rng(seed)
    cars = perturbed_axles(axle, axle.doubt, rng.normal(size=(DRAWS, len(axle.doubt.sources))))
    off = rng.normal(size=(DRAWS, sources_of(car, tried)))
    heights, held = [], 0
    for at in range(DRAWS):
        own = replace(car, axles=(cars.variant(at), *car.axles[1:]))
        (done,) = carry_out(own, [off_by(tried, off[at])])
        heights.append(float(sweep_bump(done["front"].axle, np.zeros(1))["roll_centre_height"][0]))
        held += all(one.holds for one in judge(done["front"].axle, car.limits)) and not done["front"].refusals
    return np.array(heights), held / DRAWS


@pytest.mark.campaign
def test_the_chance_of_a_plan_with_doubtful_amounts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As `compare --doubt` prints it, against a Monte Carlo of whole plans; without the amounts' doubt it is another.

    Bump steer is not asked for: of so rough a survey nothing else would count beside it.
    """
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    text = demo_text(LOWERED_COUPE)
    Path("car.toml").write_text(re.sub(r"(?m)^bump_steer = .*\n", "", text), encoding="utf-8")
    Path("plans.toml").write_text(DOUBTFUL, encoding="utf-8")
    Path("exact.toml").write_text(re.sub(r"known_to = .*\n", "", DOUBTFUL), encoding="utf-8")
    car = read_car("car.toml")
    (tried,) = read_plans("plans.toml", car).plans
    heights, held = by_another_route(car, tried, 11)
    chances = []
    for name in ("plans.toml", "exact.toml"):
        capsys.readouterr()
        main(["compare", "car.toml", name, "--doubt", "--draws", str(DRAWS)])
        row = next(line for line in capsys.readouterr().out.splitlines() if line.strip().startswith("joint and shim"))
        found = re.search(r"of \d+ +(?:under |over )?(\d+) %", row)
        assert found is not None, row
        chances.append(int(found[1]) / 100.0)
    assert 0.05 < held < 0.95
    # Four standard deviations of the sample, and half a per cent that is printed; first order may be some more.
    apart = 4.0 * math.sqrt(held * (1.0 - held) / DRAWS) + 0.005
    assert abs(chances[0] - held) <= apart
    assert chances[1] - chances[0] > apart
    (_, found_doubt) = plan_doubts(car, car.front, [tried], car.limits, draws=DRAWS, seed=3)
    first = float(found_doubt.value["roll_centre_height"].standard_deviation.reshape(-1)[0])
    # A standard deviation of so many draws is known to one part in the root of twice their number (formula).
    assert first == pytest.approx(heights.std(ddof=1), rel=4.0 / math.sqrt(2 * DRAWS))
    drawn = float(found_doubt.spread["roll_centre_height"].standard_deviation.reshape(-1)[0])
    change_first = float(found_doubt.change["roll_centre_height"].standard_deviation.reshape(-1)[0])
    assert drawn == pytest.approx(change_first, rel=4.0 / math.sqrt(2 * DRAWS))
    sure = plan_sureness(car, tried, car.limits)
    assert sure.half_width["front"]["roll_centre_height"].reshape(-1)[0] == pytest.approx(1.959964 * first, rel=1e-6)


def test_the_doubt_of_a_packing_by_settling_each_anew() -> None:
    """Springs settled for each draw's packing: the roll centre's standard deviation, of the amount alone."""
    tried = plan(change("spring spacer", by=8.0, known_to=1.0))
    (_, found) = plan_doubts(SALOON, SALOON.front, [tried], Limits(), draws=2, seed=1)
    slope = found.value["roll_centre_height"].slopes[-1].reshape(-1)[0]
    ends = [
        float(
            sweep_bump(carry_out(SALOON, [plan(change("spring spacer", by=by))])[0]["front"].axle, np.zeros(1))[
                "roll_centre_height"
            ][0]
        )
        for by in (7.0, 9.0)
    ]
    assert slope == pytest.approx((ends[1] - ends[0]) / 2.0, rel=5e-3)
    assert abs(slope) > 1.0


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_plan_file_says_how_well_an_amount_is_known(unit: str, tmp_path: Path) -> None:
    scale, half = (1.0, "0.5") if unit == "mm" else (25.4, '"1/2"')
    path = tmp_path / "plans.toml"
    text = f"""units = "{unit}"
[[plan]]
name = "one"
[[plan.change]]
what = "longer ball joint"
by = 1
known_to = {half}
[[plan.change]]
what = "inner pivots"
up = 1
known_to = {half}
"""
    path.write_text(text, encoding="utf-8")
    (read,) = read_plans(path, COUPE).plans
    assert [one.known_to for one in read.changes] == pytest.approx([0.5 * scale] * 2)
    path.write_text(plan_text([read], [], replace(COUPE.unit, symbol=unit, in_mm=scale)), encoding="utf-8")
    (again,) = read_plans(path, COUPE).plans
    assert [one.known_to for one in again.changes] == pytest.approx([0.5 * scale] * 2)


@pytest.mark.parametrize(("known_to", "told"), [("-1", "above 0"), ("0", "above 0"), ("80", "up to 50 mm is allowed")])
def test_what_is_refused(
    known_to: str, told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_text(demo_text(LOWERED_COUPE), encoding="utf-8")
    Path("plans.toml").write_text(DOUBTFUL.replace("known_to = 1.5", f"known_to = {known_to}"), encoding="utf-8")
    assert main(["compare", "car.toml", "plans.toml"]) == 2
    err = " ".join(capsys.readouterr().err.split())
    assert "change 1.known_to" in err
    assert told in err

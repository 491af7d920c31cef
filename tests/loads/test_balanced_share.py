"""The outer wheel's share from springs and weights: how it grows, and that the files take it.

Its amounts are held against an engine beside the balance's.
"""

import csv
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kinematics.car.limits import Limits, WorkingRange
from kinematics.inputs.demo_cars import demo_car
from kinematics.loads.balanced_share import balanced_shares, with_balanced_shares
from kinematics.loads.report import LeanSheet, lean_sheet
from reports.command_line import main

SALOON = "rear_drive_saloon.toml"
SMALL = math.radians(0.2)


@pytest.fixture(scope="module")
def sheet() -> LeanSheet:
    """The saloon's lean."""
    return lean_sheet(demo_car(SALOON), WorkingRange())


@pytest.mark.campaign
def test_grows_with_lean_up_to_one(sheet: LeanSheet) -> None:
    """All the load is on the outer wheel once the inner one has lifted, and nothing is beyond that."""
    shares = [balanced_shares(sheet.car, math.radians(roll))["front"] for roll in (0.01, 0.5, 1.0, 2.0, 8.0)]
    assert shares == sorted(shares)
    assert shares[0] == pytest.approx(0.5, abs=0.002)
    assert shares[-1] == 1.0


def test_a_stiffer_bar_takes_more(sheet: LeanSheet) -> None:
    """At the same lean a bar twice as stiff moves more load across its own axle."""
    stiff = replace(sheet.car, front=sheet.car.front.with_bar(2.0 * sheet.car.front.bar))
    softer, stiffer = (balanced_shares(car, SMALL)["front"] for car in (sheet.car, stiff))
    assert stiffer > softer


@pytest.mark.parametrize("name", ["five_link_tourer.toml", "lowered_coupe.toml"])
def test_a_car_without_springs_keeps_what_is_assumed(name: str) -> None:
    car = demo_car(name)
    assert car.axles[0].loads is None
    assert with_balanced_shares(Limits(), car) == Limits()


def _weighted(folder: Path, *options: str) -> list[float]:
    assert main(
        ["sweep", str(folder / SALOON), str(folder / "out"), "--roll", "2", "--roll-step", "1", "--replace", *options]
    ) in (0, 1)
    with (folder / "out" / "front_roll.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    return [float(row["force_weighted_height_mm"]) for row in rows]


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_the_files_take_it_unless_a_share_is_stated(tmp_path: Path, sheet: LeanSheet) -> None:
    """Default and stated shares lead to the same heights where they are the same, and to others where not."""
    from kinematics.inputs.demo_cars import demo_text

    (tmp_path / SALOON).write_text(demo_text(SALOON), encoding="utf-8")
    share = balanced_shares(sheet.car, demo_car(SALOON).limits.working.roll)["front"]
    own = _weighted(tmp_path)
    np.testing.assert_allclose(_weighted(tmp_path, "--outer-share", f"{share:.12f}"), own, atol=1e-6)
    assert not np.allclose(_weighted(tmp_path, "--outer-share", "0.7"), own, atol=1.0)

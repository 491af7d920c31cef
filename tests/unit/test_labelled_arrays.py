"""Sweeps as labelled arrays: named axes, coordinates as asked, units and meanings beside every number.

Properties, no source: what stands at a label is what a sweep of that state alone gives.
"""

import math
import sys
from importlib.util import find_spec

import numpy as np
import pytest

import kinematics as k
from tests.unit.api_results import COUPE, ROLL, SALOON, TRAVEL, made

needs_xarray = pytest.mark.skipif(find_spec("xarray") is None, reason="xarray, of the extra `tables`, is not there")


@needs_xarray
class TestGrid:
    """Bump by roll."""

    def test_axes_are_bump_and_roll_as_asked(self) -> None:
        grid = made("sweep_grid").to_xarray(k.INCH)
        assert dict(grid.sizes) == {"side": 2, "bump": len(TRAVEL), "roll": len(ROLL)}
        np.testing.assert_allclose(grid["bump"], TRAVEL / 25.4)
        np.testing.assert_allclose(grid["roll"], np.degrees(ROLL))
        assert grid["bump"].attrs["units"] == "in"
        assert grid["roll"].attrs["units"] == "deg"
        assert list(grid["side"].values) == ["left", "right"]

    def test_each_number_tells_unit_title_and_sign(self) -> None:
        sweep = made("sweep_grid")
        grid = sweep.to_xarray()
        for key in sweep.values:
            number = sweep.about(key)
            told = grid[f"{key}_of_body" if key == "roll" else key].attrs
            assert told["long_name"] == number.title
            assert told["units"] == number.dimension.unit(k.MM)
            assert (told["meaning"], told["sign"]) == (number.meaning, number.sign)

    def test_what_stands_at_a_label_is_that_state(self) -> None:
        grid = made("sweep_grid").to_xarray()
        one = grid.sel(bump=TRAVEL[1], roll=-1.0, method="nearest")
        alone = k.sweep_roll(COUPE.front, [math.radians(-1.0)], heave=-TRAVEL[1])
        for side, name in enumerate(("left", "right")):
            assert float(one["camber"].sel(side=name)) == pytest.approx(
                math.degrees(alone["camber"][side, 0]), abs=1e-9
            )
        assert float(one["roll_centre_height"]) == pytest.approx(alone["roll_centre_height"][0], abs=1e-7)

    def test_what_is_not_reached_keeps_its_place_and_says_why(self) -> None:
        grid = k.sweep_grid(SALOON.front, [-400.0, 0.0], ROLL[:1]).to_xarray()
        assert grid["reached"].values.tolist() == [[False], [True]]
        assert grid["bump"].values.tolist() == [-400.0, 0.0]
        assert str(grid["gap"].values[0, 0])
        assert np.isnan(grid["camber"].values[:, 0]).all()


@needs_xarray
class TestOthers:
    """Bump, roll, rack, roll axis, and many cars."""

    def test_in_bump_and_in_roll(self) -> None:
        bump, roll = made("sweep_bump").to_xarray(), made("sweep_roll").to_xarray()
        assert bump["toe"].dims == ("side", "travel")
        np.testing.assert_allclose(bump["travel_of_wheel"].sel(side="left"), TRAVEL, atol=1e-12)
        assert roll["toe"].dims == ("side", "roll")

    def test_along_the_rack(self) -> None:
        assert made("sweep_steer").to_xarray()["toe"].dims == ("side", "rack")
        both = k.sweep_steer(COUPE.front, np.array([-5.0, 5.0])[:, None], roll=ROLL).to_xarray()
        assert both["toe"].dims == ("side", "rack", "roll")
        paired = k.sweep_steer(COUPE.front, np.array([-5.0, 0.0, 5.0]), roll=ROLL).to_xarray()
        assert paired["toe"].dims == ("side", "state")
        np.testing.assert_allclose(paired["roll"], np.degrees(ROLL))

    def test_of_many_cars(self) -> None:
        joint = COUPE.front.points["lower_ball_joint"] - np.array([0.0, 5.0])[:, None, None] * [0.0, 0.0, 1.0]
        cars = k.sweep_grid(COUPE.front.with_points(lower_ball_joint=joint), [0.0], ROLL).to_xarray()
        assert cars["camber"].dims == ("car", "side", "bump", "roll")

    def test_of_the_roll_axis(self) -> None:
        axis = made("roll_axis")
        told = axis.to_xarray()
        assert told["front_roll_centre_height"].dims == ("bump", "roll")
        at = told["roll_axis_inclination"].sel(bump=TRAVEL[0])
        np.testing.assert_allclose(at, np.degrees(axis["roll_axis_inclination"][0]))


def test_without_xarray_it_says_how_to_install_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "xarray", None)
    with pytest.raises(ImportError, match="pip install 'cornersweep\\[tables\\]'"):
        made("sweep_grid").to_xarray()
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(ImportError, match="pip install"):
        made("sweep_grid").table()

"""The bands of `lean`'s figures, read from the shaded polygons: against `lean_doubt.csv` beside them, line by line.

Of the mean of both sides' wheel rates, a spring's doubt times the square of the motion ratio (virtual work, formula).
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from tests.loads.test_lean_doubt import WAY, text_of
from tests.outputs.conftest import Garage, run
from tests.outputs.test_figures import band

FRONT, REAR = "#0072B2", "#D55E00"


def told(folder: Path, over: str, number: str) -> dict[str, np.ndarray]:
    """By place: where, low and high end (S, 3) as the file has them, in the owner's unit."""
    with (folder / "lean_doubt.csv").open(encoding="utf-8", newline="") as file:
        kept = [row for row in csv.DictReader(file) if row["over"] == over and row["number"] == number]
    found: dict[str, list[list[float]]] = {}
    for row in kept:
        if np.isfinite(float(row["low_95"] or "nan")):
            found.setdefault(row["place"], []).append([float(row[key]) for key in ("at", "low_95", "high_95")])
    return {place: np.array(ends) for place, ends in found.items()}


def panel(figure: Figure, begins: str) -> Axes:
    (found,) = (axes for axes in figure.axes if axes.get_ylabel().startswith(begins))
    return found


@pytest.mark.parametrize(
    ("begins", "number", "places"),
    [
        ("roll of the body", "roll", [""]),
        ("wheel loads", "wheel_load", ["front left", "front right", "rear left", "rear right"]),
        ("lateral acceleration that each", "lateral_acceleration_held", ["front", "rear"]),
    ],
)
def test_bands_over_lateral_acceleration(
    garage: Garage, unit: str, begins: str, number: str, places: list[str]
) -> None:
    ran = garage.ran("lean", unit)
    axes, rows = panel(ran.figures["lean"], begins), told(ran.folder, "lateral_acceleration", number)
    assert set(rows) == set(places)
    bands = band(axes)
    assert len(bands) == len(places)
    for place, found, shaded in zip(places, bands, axes.collections, strict=True):
        np.testing.assert_allclose(found, rows[place], rtol=1e-9, atol=1e-9, err_msg=place)
        assert shaded.get_facecolor()[0][:3] == pytest.approx(to_rgb(REAR if "rear" in place else FRONT))
        assert axes.get_ylim()[0] <= found[:, 1].min()
        assert found[:, 2].max() <= axes.get_ylim()[1]
    (words,) = [text.get_text() for text in axes.get_legend().get_texts() if "95 %" in text.get_text()]
    assert words == "95 % of such cars"
    below = " ".join(text.get_text() for text in ran.figures["lean"].texts)
    assert "Bands: from how well the file says the car is known, to first order" in " ".join(below.split())


def test_a_springs_band_over_travel(tmp_path: Path) -> None:
    """The rear spring is known to 0.8 N/mm, and nothing else is told."""
    (tmp_path / "car.toml").write_text(text_of("rear spring"), encoding="utf-8")
    ran = run(["lean", "car.toml", "--into", "lean", "--drawing", "svg"], tmp_path, "lean")
    with (ran.folder / "wheel_rates.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    ratios = np.array([[float(row[f"motion_ratio_rear_{side}"]) for row in rows] for side in ("left", "right")])
    axes = panel(ran.figures["wheel_rates"], "wheel rate")
    _, _, in_bump, _ = band(axes)
    np.testing.assert_allclose(in_bump[:, 0], [float(row["travel_mm"]) for row in rows])
    way = (in_bump[:, 2] - in_bump[:, 1]) / 2.0
    np.testing.assert_allclose(way, WAY * 0.8 * (ratios**2).mean(axis=0), rtol=0.01)
    for front in band(axes)[:2]:
        np.testing.assert_allclose(front[:, 1], front[:, 2], rtol=1e-9)


def test_no_band_where_nothing_is_told(tmp_path: Path) -> None:
    (tmp_path / "car.toml").write_text(text_of(), encoding="utf-8")
    ran = run(["lean", "car.toml", "--into", "lean", "--drawing", "svg"], tmp_path, "lean")
    for figure in ran.figures.values():
        assert not any(axes.collections for axes in figure.axes)
        assert "Bands" not in " ".join(text.get_text() for text in figure.texts)


def test_a_gap_is_an_empty_field_with_its_reason(tmp_path: Path) -> None:
    """Beyond where a wheel lifts there is no balance: nothing stands there, and the note says why. Else 12 digits."""
    (tmp_path / "car.toml").write_text(text_of("rear spring"), encoding="utf-8")
    ran = run(["lean", "car.toml", "--into", "lean", "--drawing", "svg"], tmp_path, "lean")
    with (ran.folder / "lean_doubt.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    gaps = [row for row in rows if row["either_way_95"] == ""]
    assert 0 < len(gaps) < len(rows)
    for row in rows:
        assert bool(row["note"]) == (row["either_way_95"] == "")
        digits = [row[key].partition("e")[0].lstrip("-0.").replace(".", "") for key in ("value", "low_95", "high_95")]
        assert max(map(len, digits)) <= 12

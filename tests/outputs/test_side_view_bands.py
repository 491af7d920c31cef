"""The bands of anti-dive and anti-lift, read from the shaded polygons: against closed forms, points as good as exact.

They go as l / h, so that of each the part known so well adds by squares: way = 1.959964 |value| sqrt((dl / l)^2 +
(dh / h)^2), h of the whole car with what the body is lowered (formula; JCGM 100:2008, 5.1.2).
"""

import csv
import re
from pathlib import Path

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from kinematics import read_car
from kinematics.inputs.demo_cars import DEMO_CARS, demo_text
from tests.outputs.conftest import Run, run
from tests.outputs.test_figures import band

WAY = 1.959964  # JCGM 100:2008, table G.1, from memory
KNOWN = (
    ("up = 520,", "up = 520, up_known_to = 15,"),
    ("wheelbase = 2560", "wheelbase = 2560\nwheelbase_known_to = 25"),
)
BARE = re.sub(r"measured_to = 2.5.*", "", demo_text(DEMO_CARS["rear-drive-saloon"])).replace(", known_to = 5", "")
BARE = BARE.replace('units = "mm"', 'units = "mm"\nmeasured_to = 0.001', 1)


def swept(tmp_path: Path, *known: tuple[str, str]) -> Run:
    text = BARE
    for old, new in known:
        assert text.count(old) == 1
        text = text.replace(old, new)
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    return run(["sweep", "car.toml", "out", "--drawing", "svg"], tmp_path, "out")


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Run:
    return swept(tmp_path_factory.mktemp("told"), *KNOWN)


def panel(figure: Figure, title: str) -> Axes:
    (found,) = (axes for axes in figure.axes if axes.get_ylabel().startswith(f"{title} ["))
    return found


@pytest.mark.parametrize(
    ("axle", "title", "key"), [("front", "anti-dive", "anti_dive"), ("rear", "anti-lift", "anti_lift")]
)
def test_bands_where_both_are_told(told: Run, axle: str, title: str, key: str) -> None:
    body = read_car(told.folder.parent / "car.toml").body
    part, up = body.unsprung
    with (told.folder / f"{axle}_bump.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    heave = np.array([float(row["heave_mm"]) for row in rows])
    height = (1.0 - part) * (520.0 + heave) + part * up
    relative = np.hypot(25.0 / 2560.0, (1.0 - part) * 15.0 / height)
    axes = panel(told.figures[f"{axle}_side_view_bump"], title)
    bands = band(axes)
    assert len(bands) in (1, 2)  # both wheels alike have one line
    travel = np.array([float(row["travel_left_mm"]) for row in rows])
    for found, side in zip(bands, ("left", "right"), strict=False):
        value = np.array([float(row[f"{key}_{side}_percent"]) for row in rows])
        way, middle = (found[:, 2] - found[:, 1]) / 2.0, (found[:, 2] + found[:, 1]) / 2.0
        scale = float(np.abs(value).max())
        assert np.interp(travel, found[:, 0], middle) == pytest.approx(value, rel=1e-3, abs=1e-3 * scale)
        expected = WAY * np.abs(value) * relative
        assert np.interp(travel, found[:, 0], way) == pytest.approx(expected, rel=0.01, abs=2e-3 * scale)
        assert axes.get_ylim()[0] <= found[:, 1].min()
        assert found[:, 2].max() <= axes.get_ylim()[1]
    notes = " ".join(" ".join(text.get_text() for text in axes.figure.texts).split())
    assert "Bands: from how well it was measured, to first order" in notes


@pytest.mark.campaign
@pytest.mark.parametrize("known", [(), KNOWN[:1], KNOWN[1:]], ids=["neither", "height", "wheelbase"])
def test_no_band_where_one_of_them_is_not(tmp_path: Path, known: tuple[tuple[str, str], ...]) -> None:
    """A band by the points alone would look surer than the number is."""
    ran = swept(tmp_path, *known)
    assert not any(axes.collections for axes in ran.figures["front_side_view_bump"].axes)

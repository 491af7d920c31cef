"""Tables that `doubt` writes, column by column: values, standard deviations, drawn intervals, and shares.

Shares, and what halving a doubt gives, are reckoned here from the slopes: variances of independent sources add up
(formula).
"""

from pathlib import Path

import numpy as np
import pytest

from kinematics.numbers.registry import QUANTITIES
from tests.outputs.conftest import Garage
from tests.outputs.kinds import KIND
from tests.outputs.read_back import assert_same, columns, factor, in_title, rows, symbol
from tests.outputs.test_terminal_tables import NORMAL_95, assessed

PLACES = [(name, place) for name in ("front", "rear") for place in ("ride height", "bump", "roll")]


def tall(path: Path) -> dict[str, np.ndarray]:
    """A table of one row a state, number and side as columns by number, side, unit and part, one value a state."""
    found: dict[str, list[float]] = {}
    for row in rows(path):
        side = f"_{row['side']}" if row["side"] else ""
        for part in ("value", "standard_deviation", "drawn_low", "drawn_high", "drawn_part"):
            title = f"{row['number']}{side} [{row['unit']}]{'' if part == 'value' else f'_{part}'}"
            found.setdefault(title, []).append(float(row[part]) if row[part] else np.nan)
    return {title: np.array(values) for title, values in found.items()}


@pytest.mark.parametrize("place", ["bump", "roll", "steer", "ride height"])
def test_rows_say_where_they_are(garage: Garage, place: str) -> None:
    """The ends of the README: 60 mm and 3 degrees either way, and the rack as far as the file says it goes."""
    first = {"bump": ("travel_in", 60 / 25.4), "roll": ("roll_deg", 3.0), "steer": ("rack_travel_in", 62 / 25.4)}
    read = rows(garage.ran("doubt", "in").folder / f"front_doubt_{place.replace(' ', '_')}.csv")
    assert len(read[0]) <= 10
    if place == "ride height":
        assert next(iter(read[0])) == "number"
        return
    driver, end = first[place]
    at = [float(one) for one in dict.fromkeys(row[driver] for row in read)]
    assert (at[0], at[len(at) // 2], at[-1]) == (pytest.approx(-end), 0.0, pytest.approx(end))


@pytest.mark.parametrize(("name", "place"), [*PLACES, ("front", "steer")])
def test_intervals(garage: Garage, name: str, place: str, unit: str) -> None:
    told = tall(garage.ran("doubt", unit).folder / f"{name}_doubt_{place.replace(' ', '_')}.csv")
    assessment = assessed(garage, name)
    assert assessment.chances is not None
    seen = set()
    for key, values in assessment.sweeps[place].values.items():  # type: ignore[index]
        first, spread = assessment.first[place, key], assessment.chances.spread[place, key]  # type: ignore[index]
        low, high = spread.interval()
        scale = factor(KIND[key], unit)
        parts = {
            "": values * scale,
            "_standard_deviation": np.sqrt((first.slopes**2).sum(axis=0)) * scale,
            "_drawn_low": low * scale,
            "_drawn_high": high * scale,
            "_drawn_part": spread.known / 100.0,
        }
        for part, column in parts.items():
            for side, one in zip(("_left", "_right"), column, strict=True) if values.ndim == 2 else (("", column),):
                title = f"{QUANTITIES[key].title}{side} [{symbol(KIND[key], unit)}]{part}"
                seen.add(title)
                found, wanted = told[title], np.broadcast_to(one, told[title].shape)
                wanted = np.where(np.isfinite(wanted), wanted, np.nan)
                if part == "" or part == "_drawn_part" or part == "_standard_deviation":
                    assert_same(found, wanted, title, 1e-4)
                else:
                    # Ends are read off counts on a scale, which the last digits of the two cars move a little.
                    width = np.nanmax(np.abs(np.nan_to_num(high * scale - low * scale))) + 1e-9
                    near = np.isclose(found, wanted, rtol=1e-4, atol=0.05 * width, equal_nan=True)
                    assert near.all(), title
    assert seen == set(told)


@pytest.mark.parametrize("name", ["front", "rear"])
def test_shares(garage: Garage, name: str, unit: str) -> None:
    path = garage.ran("doubt", unit).folder / f"{name}_doubt_shares.csv"
    assessment, told = assessed(garage, name), columns(path)
    assert [row["measurement"] for row in rows(path)] == list(assessment.doubt.sources)
    seen = 0
    for key in assessment.sweeps["ride height"].values:
        slopes = assessment.first["ride height", key].slopes
        flat = slopes.reshape(len(slopes), -1)
        sides = ("_left", "_right") if assessment.sweeps["ride height"][key].ndim == 2 else ("",)
        for k, side in enumerate(sides):
            title = f"{key}{side}_share"
            if title not in told:
                # No measurement moves it, or it is infinite.
                assert not np.isfinite(flat).all() or np.sqrt((flat**2).sum(axis=0)).max() < 1e-6
                continue
            variances = flat[:, k] ** 2
            if variances.sum() < 1e-16:
                continue
            assert_same(told[title], variances / variances.sum(), title, 1e-4)
            way = NORMAL_95 * np.sqrt(variances.sum() - 0.75 * variances) * factor(KIND[key], unit)
            assert_same(told[f"{key}{side}{in_title(KIND[key], unit)}_either_way_if_halved"], way, title, 1e-4)
            seen += 1
    assert seen > 20

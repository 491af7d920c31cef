"""A drawing of one state, read back: points, angles and the words beside it."""

import numpy as np
import pytest
from matplotlib.figure import Figure

from kinematics import demo_car, stances, sweep_roll
from kinematics.sweeps.rack import sweep_steer
from reports.figures.position_table import position_rows
from tests.outputs.conftest import Garage
from tests.outputs.kinds import KIND
from tests.outputs.read_back import decimals, factor, symbol


def test_drawing_of_a_state(garage: Garage, unit: str) -> None:
    """At 12 mm of bump, 1.5 degrees of roll and 20 mm of rack: points, marks and the table beside it."""
    figure = garage.ran("draw", unit).figures["draw"]
    inch = factor("length", unit)
    from kinematics.sweeps.rack import steered

    axle = steered(garage.car().front, np.array([20.0])).variant(0)
    stance = stances(axle, np.array([12.0]), np.radians([1.5]))
    (axes,) = figure.axes
    left, right = axes.get_xlim()
    assert left < right
    lines = {line.get_label(): line.get_xydata() for line in axes.get_lines()}
    contact = stance.contact[:, 0]
    rolling = stance.roll_centre[0]
    for side, name in enumerate(("left", "right")):
        assert lines[f"{name} contact"][0] == pytest.approx(contact[side][1:] * inch, abs=1e-6)
        assert (lines[f"{name} strut"][:, 0] > 0.0).all() == (name == "left")
    mark = lines["roll centre"][0]
    assert mark == pytest.approx(rolling * inch, rel=1e-6)
    words = {text.get_text(): text.get_position()[0] for text in axes.texts}
    assert words["car's right"] < words["seen from the front"] < words["car's left"]
    title = " ".join(figure.texts[0].get_text().split())
    assert f"Bump {12 * inch:g} {unit}, roll 1.5 deg, rack {20 * inch:g} {unit} to the left" in title
    told = beside(figure)
    steer = sweep_steer(garage.car().front, np.array([20.0]), np.array([12.0]), np.radians(np.array([1.5])))
    wheels = {
        "wheel travel": ("travel", steer["travel"]),
        "camber": ("camber", steer["camber"]),
        "steer, to the left": ("steer_angle", steer["steer_angle"]),
        "lower-arm angle": ("lower_arm_angle", steer["lower_arm_angle"]),
        "instant centre, offset": ("instant_centre_y", steer["instant_centre_y"]),
        "instant centre, height": ("instant_centre_z", steer["instant_centre_z"]),
    }
    for title, (key, values) in wheels.items():
        for side, name in enumerate(("left wheel", "right wheel")):
            assert told[name][title] == on_paper(float(values[side].reshape(-1)[0]), KIND[key], unit), title
    assert told["axle"]["heave"] == on_paper(-12.0, "length", unit)
    assert told["axle"]["roll"] == on_paper(np.radians(1.5), "angle", unit)
    for title, key in (
        ("roll-centre height", "roll_centre_height"),
        ("roll-centre offset", "roll_centre_offset"),
        ("force-weighted height", "force_weighted_height"),
    ):
        assert told["axle"][title] == on_paper(float(steer[key].reshape(-1)[0]), "length", unit)
    # No limit is stated over bump and roll together.
    assert not any(title.startswith("allowed") for title in told["axle"])


def beside(figure: Figure) -> dict[str, dict[str, str]]:
    """The table under a drawing: titles and values by column."""
    rows = [(text.get_position(), text.get_text()) for text in figure.texts]
    heads = {words: at for at, words in rows if words in ("left wheel", "right wheel", "axle")}
    found: dict[str, dict[str, str]] = {}
    starts = sorted((at[0], words) for words, at in heads.items())
    for i, (start, name) in enumerate(starts):
        end = starts[i + 1][0] if i + 1 < len(starts) else 1.0
        below = [(at, words) for at, words in rows if start - 1e-9 <= at[0] < end and at[1] < heads[name][1] - 1e-9]
        lines: dict[float, list[tuple[float, str]]] = {}
        for (x, y), words in below:
            lines.setdefault(round(y, 6), []).append((x, words))
        pairs = [sorted(line) for line in lines.values() if len(line) == 2]
        found[name] = {title: value for (_, title), (_, value) in pairs}
    assert [name for _, name in starts] == ["right wheel", "axle", "left wheel"]
    return found


def on_paper(value: float, kind: str, unit: str) -> str:
    """With its sign, and from a metre on with a digit less."""
    digits = decimals(kind, unit) - (1 if kind == "length" and abs(value) >= 1000.0 else 0)
    text = f"{value * factor(kind, unit):+.{digits}f} {symbol(kind, unit)}".strip()
    return text.replace("-", "\N{MINUS SIGN}")


@pytest.mark.parametrize(
    ("bump", "roll", "key"),
    [(0.0, 0.0, "roll_centre_height"), (0.0, 1.0, "force_weighted_height"), (12.0, 0.0, "")],
    ids=["ride height", "roll", "bump"],
)
def test_what_is_allowed_stands_under_the_height_that_counts(bump: float, roll: float, key: str) -> None:
    """At ride height the roll centre is judged, in roll the height that the body feels, in bump nothing (no limit)."""
    car = demo_car("lowered_coupe.toml")
    stance = stances(car.front, np.array([bump]), np.radians([roll]))
    rows = [row[1] for row in position_rows(stance, car.unit, car.limits.of(car.front))]
    axle = [(title.replace("\N{MINUS SIGN}", "-"), value.replace("\N{MINUS SIGN}", "-")) for title, value in rows]
    judged = [place for place, (title, _) in enumerate(axle) if title.startswith("allowed")]
    assert len(judged) == bool(key)
    for place in judged:
        assert axle[place - 1][0] == {"roll_centre_height": "roll-centre height"}.get(key, "force-weighted height")
        height = float(sweep_roll(car.front, np.radians([roll]))[key][0])
        assert axle[place] == ("allowed -25.4 to 76.2 mm", "inside" if -25.4 <= height <= 76.2 else "OUTSIDE")
        assert axle[place - 1][1] == f"{height:+.1f} mm"

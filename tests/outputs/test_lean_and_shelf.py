"""What `lean` and `shelf` write, tell and draw, against the library's arrays in N, mm and radians and own factors.

The damping ratio is c / (2 sqrt(k m)) and the natural frequency sqrt(k / m) / (2 pi) (formula), at the wheel.
"""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from kinematics import read_car
from kinematics.car.units import Units
from kinematics.inputs.plans.shelf_file import read_shelf
from kinematics.loads.report import LeanSheet, lean_sheet, whole_car
from kinematics.loads.shelf import Ranking, rank
from kinematics.numbers.quantity import Dimension
from reports.words.lean import lean_words
from reports.words.numbers import shown
from tests.outputs.conftest import Garage, run
from tests.outputs.read_back import assert_same, assert_shown, columns, factor, in_title, lined_table, rows, symbol
from tests.outputs.two_cars import CAR, STANDARD_GRAVITY, written

AXLES, SIDES = ("front", "rear"), ("left", "right")


@cache
def sheet(garage: Garage) -> LeanSheet:
    car = garage.car()
    return lean_sheet(car, car.limits.working)


@cache
def ranking(garage: Garage) -> Ranking:
    car = garage.car()
    return rank(whole_car(car), read_shelf(garage.path("mm", "shelf.toml"), car), car.limits)


def _lean(found: LeanSheet) -> dict[str, tuple[str, np.ndarray]]:
    balance = found.balance
    told = {
        "lateral_acceleration": ("acceleration", balance.acceleration / STANDARD_GRAVITY),
        "roll": ("angle", balance.roll),
    }
    for i, axle in enumerate(AXLES):
        # Half of what the right, outer wheel has more than the left one, less that at rest.
        moved = 0.5 * (balance.load[i, 1] - balance.load[i, 0])
        told |= {
            f"heave_{axle}": ("length", balance.heave[i]),
            f"load_moved_{axle}": ("force", moved - moved[0]),
            f"lateral_acceleration_held_{axle}": ("acceleration", found.grip.held[i] / STANDARD_GRAVITY),
        }
        for k, side in enumerate(SIDES):
            told |= {
                f"travel_{axle}_{side}": ("length", balance.travel[i, k]),
                f"wheel_load_{axle}_{side}": ("force", balance.load[i, k]),
                f"bump_stop_force_{axle}_{side}": ("force", balance.stop_force[i, k]),
            }
    return told


def _rates(found: LeanSheet) -> dict[str, tuple[str, np.ndarray]]:
    told = {"travel": ("length", np.concatenate([np.linspace(-25.0, 0.0, 11), np.linspace(0.0, 20.0, 11)[1:]]))}
    for axle, one in (("front", found.front.rates), ("rear", found.rear.rates)):
        for k, side in enumerate(SIDES):
            told |= {
                f"motion_ratio_{axle}_{side}": ("ratio", one.motion_ratio[k]),
                f"motion_ratio_in_roll_{axle}_{side}": ("ratio", one.motion_ratio_in_roll[k]),
                f"spring_force_{axle}_{side}": ("force", one.spring_force[k]),
                f"wheel_rate_{axle}_{side}": ("rate", one.wheel_rate[k]),
                f"wheel_rate_in_roll_{axle}_{side}": ("rate", one.wheel_rate_in_roll[k]),
                f"bar_in_roll_{axle}_{side}": ("rate", one.bar_in_roll[k]),
            }
    return told


@pytest.mark.campaign
def test_notes_of_lean(garage: Garage) -> None:
    found = sheet(garage).balance
    notes = [row["note"] for row in rows(garage.ran("lean", "mm").folder / "lean.csv")]
    assert not found.solved.all()
    for state, note in enumerate(notes):
        gone = [f"{a} {s}" for i, a in enumerate(AXLES) for k, s in enumerate(SIDES) if found.load[i, k, state] <= 0.0]
        if found.solved[state]:
            assert note == (f"off the ground: {', '.join(gone)}" if gone else "")
        else:
            assert note.startswith("no balance was found here: ")


@pytest.mark.campaign
def test_scales_and_file_that_differ(tmp_path: Path, unit: str) -> None:
    """Sprung are 500 kg in front and 403 behind, on a wheelbase of 2560 mm; the file says 1190 mm (formula)."""
    text = written(CAR.replace("behind_front = L(1142)", "behind_front = L(1190)"), unit)
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    out = " ".join(run(["lean", "car.toml"], tmp_path).out.split())
    form = "{0:.1f} mm ({1:.2f} in)" if unit == "mm" else "{1:.2f} in ({0:.1f} mm)"  # the owner's unit first
    scales, file = (form.format(mm, mm / 25.4) for mm in (2560.0 * 403.0 / 903.0, 1190.0))
    assert f"centre of gravity {scales} behind the front wheel centres, the file {file};" in out


@pytest.mark.campaign
def test_from_when_stops_are_touched(tmp_path: Path, unit: str) -> None:
    """With a stop 14 mm off, it is from the first lateral acceleration on at which the stop carries something."""
    (tmp_path / "car.toml").write_text(written(CAR.replace("gap = L(32)", "gap = L(14)"), unit), encoding="utf-8")
    car = read_car(tmp_path / "car.toml")
    found = lean_sheet(car, car.limits.working).balance
    out = " ".join(run(["lean", "car.toml"], tmp_path).out.split())
    first = int(np.flatnonzero((found.stop_force[0] > 0.0).any(axis=0))[0])
    assert first > 0
    told = re.search(r"note: front: a bump stop is touched from about ([\d.]+) g on", out)
    assert told is not None
    assert float(told[1]) == pytest.approx(found.acceleration[first] / STANDARD_GRAVITY, abs=0.0051)
    assert "note: rear: a bump stop" not in out
    assert "the scales put" not in out


def test_textbook_roll_by_hand(garage: Garage) -> None:
    """At 1 g: m g h / (K - m g h), h from the roll axis where the sprung mass is, 403 of 903 kg behind (formula)."""
    found = sheet(garage)
    front, rear = found.front, found.rear
    height = whole_car(garage.car()).centre_of_gravity
    arm = height - (front.roll_centre + (rear.roll_centre - front.roll_centre) * 403.0 / 903.0)
    moment = 903.0 * STANDARD_GRAVITY * arm
    assert abs(rear.roll_centre - front.roll_centre) > 50.0
    assert found.textbook.roll == pytest.approx(
        moment / (front.roll.stiffness + rear.roll.stiffness - moment), rel=1e-6
    )


def test_where_no_wheel_lifts(garage: Garage) -> None:
    """Told up to the last acceleration at which there is a balance, beyond which there is none."""
    found = sheet(garage)
    last = found.balance.acceleration[found.balance.solved].max() / STANDARD_GRAVITY
    (told,) = (line for line in lean_words(replace(found, lift=None), Units(garage.car().unit)) if "No wheel" in line)
    (number,) = re.findall(r"up to ([\d.]+) g; beyond it no balance was found", told)
    assert float(number) == pytest.approx(last, abs=0.0051)


@pytest.mark.campaign
@pytest.mark.parametrize(("block", "bound"), [(380.0, True), (355.0, False)])
def test_a_coil_bound_spring(block: float, bound: bool, tmp_path: Path) -> None:
    """The strut is 392 mm long; over 20 mm of bump it gets to some 373, and 25 of droop make it longer (formula)."""
    text = written(CAR, "mm").replace('along = "strut"\n', f'along = "strut"\nblock_length = {block}\n')
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    out = run(["lean", "car.toml"], tmp_path).out
    assert ("front: a spring is coil bound" in out) == bound


@pytest.mark.parametrize("table", ["lean", "wheel_rates"])
def test_columns(garage: Garage, table: str, unit: str) -> None:
    told = columns(garage.ran("lean", unit).folder / f"{table}.csv")
    wanted = _lean(sheet(garage)) if table == "lean" else _rates(sheet(garage))
    assert set(told) == {f"{key}{in_title(kind, unit)}" for key, (kind, _) in wanted.items()}
    known = sheet(garage).balance.solved if table == "lean" else np.ones(21, dtype=bool)
    for key, (kind, values) in wanted.items():
        told_here = told[f"{key}{in_title(kind, unit)}"]
        assert_same(told_here, np.where(known, values * factor(kind, unit), np.nan), key)


def test_springs_at_ride_height(garage: Garage, unit: str) -> None:
    found = sheet(garage)
    table = {row["number"]: row for row in lined_table(garage.ran("lean", unit).out, "two axles: springs")}
    for axle, one, total, unsprung, damper in (
        ("front", found.front, 572.0, 36.0, 2.6),
        ("rear", found.rear, 523.0, 60.0, 2.2),
    ):
        rates, at = one.rates, int(np.argmin(np.abs(one.rates.travel)))
        assert abs(rates.travel[at]) < 1e-9
        wheel = rates.wheel_rate[:, at].mean()
        half_track = 0.5 * one.roll.track
        springs, bar = (
            2.0 * half_track**2 * part[:, at].mean() for part in (rates.wheel_rate_in_roll, rates.bar_in_roll)
        )
        tyre = {"front": 210.0, "rear": 190.0}[axle]
        both = 1.0 / (1.0 / (springs + bar) + 1.0 / (2.0 * half_track**2 * tyre))
        sprung = total / 2.0 - unsprung  # kg at each wheel
        ride = 1.0 / (1.0 / wheel + 1.0 / tyre)
        height = {"front": found.front.roll_centre, "rear": found.rear.roll_centre}[axle]
        for title, kind, value, decimals in (
            ("weight on the axle", "mass", total, None),
            ("spring force at rest", "force", rates.spring_force[:, at].mean(), None),
            ("spring travel per wheel travel, in bump", "ratio", rates.motion_ratio[:, at].mean(), None),
            ("the same in roll", "ratio", rates.motion_ratio_in_roll[:, at].mean(), None),
            ("wheel rate", "rate", wheel, 2),
            ("bar at the wheel, in roll", "rate", rates.bar_in_roll[:, at].mean(), 2),
            ("roll stiffness of the springs", "roll stiffness", springs, None),
            ("roll stiffness of the bar", "roll stiffness", bar, None),
            ("roll stiffness with the tyres in series", "roll stiffness", both, None),
            ("ride frequency", "frequency", np.sqrt(ride * 1000.0 / sprung) / (2.0 * np.pi), None),
            ("roll centre", "length", height, 1),
        ):
            assert_shown(table[title][axle], float(value), kind, unit, decimals)
            assert table[title]["unit"] == symbol(kind, unit)
        ends = table["wheel rate, working droop to bump"][axle].split(" to ")
        assert_shown(ends[0], rates.wheel_rate[:, 0].mean(), "rate", unit, 1)
        assert_shown(ends[1], rates.wheel_rate[:, -1].mean(), "rate", unit, 1)
        if axle == "front":
            # The front damper stands on the strut: it moves as the spring does. N s/mm is 1000 N s/m.
            ratio = (rates.motion_ratio[:, at] ** 2).mean()
            damping = ratio * damper * 1000.0 / (2.0 * np.sqrt(wheel * 1000.0 * sprung))
            assert_shown(table["damping ratio"][axle], damping, "ratio", unit, 2)
    assert table["damping ratio"]["rear"] != table["damping ratio"]["front"]


def test_load_moved_at_one_g(garage: Garage, unit: str) -> None:
    """Textbook: geometric m a h / t, elastic K phi / t, unsprung the same with its own height (formula, by hand)."""
    found = sheet(garage)
    table = {row["part"]: row for row in lined_table(garage.ran("lean", unit).out, "Load moved")}
    lean = found.textbook.roll
    for i, (axle, one, unsprung, radius) in enumerate(
        (("front", found.front, 72.0, 300.0), ("rear", found.rear, 120.0, 302.0))
    ):
        track, sprung = one.roll.track, (572.0 - 72.0, 523.0 - 120.0)[i]
        geometric = sprung * STANDARD_GRAVITY * one.roll_centre / track
        elastic = one.roll.stiffness * lean / track
        own = unsprung * STANDARD_GRAVITY * radius / track
        state = int(np.argmin(np.abs(found.balance.acceleration - STANDARD_GRAVITY)))
        assert found.balance.acceleration[state] == pytest.approx(STANDARD_GRAVITY, rel=1e-9)
        loads = found.balance.load[i]
        balance = 0.5 * ((loads[1] - loads[0])[state] - (loads[1] - loads[0])[0])
        for part, value in (
            ("geometric", geometric),
            ("elastic", elastic),
            ("unsprung", own),
            ("total, textbook", geometric + elastic + own),
            ("total, in balance", balance),
        ):
            assert_shown(table[part][axle], float(value), "force", unit)
            assert table[part]["unit"] == symbol("force", unit)


def test_lean_in_words(garage: Garage, unit: str) -> None:
    found, out = sheet(garage), garage.ran("lean", unit).out
    balance = found.balance
    one_g = int(np.argmin(np.abs(balance.acceleration - STANDARD_GRAVITY)))
    # From rest to the first step of the curve the roll is as good as straight.
    slope = np.degrees(balance.roll[1] - balance.roll[0]) / (balance.acceleration[1] / STANDARD_GRAVITY)
    told = float(out.split("Roll gradient: ")[1].split(" deg per g")[0])
    assert told == pytest.approx(slope, abs=0.02)
    textbook = np.degrees(found.textbook.roll)
    assert f"in balance, from rest; {textbook:.2f} by the textbook" in out
    moved = 0.5 * (balance.load[:, 1] - balance.load[:, 0])
    share = 100.0 * (moved[0, 1] - moved[0, 0]) / (moved[:, 1] - moved[:, 0]).sum()
    assert float(out.split("load moved: ")[1].split(" %")[0]) == pytest.approx(share, abs=0.15)
    # Of all that the textbook moves, front and rear, the front axle's part.
    parts = [one.geometric + one.elastic + one.unsprung for one in (found.textbook.front, found.textbook.rear)]
    assert f" in balance, from rest; {100.0 * parts[0] / sum(parts):.1f} % by the textbook." in out
    front, rear = (f"{value / (1.0 if unit == 'mm' else 25.4):+.1f} {unit}" for value in balance.heave[:, one_g])
    said, rolled = " ".join(out.split()), np.degrees(balance.roll[one_g])
    assert f"body rolls {rolled:.2f} deg over the ground, tyres included" in said
    assert f" and rises at the front {front}, at the rear {rear}. Over the hubs" in said
    # Over the hubs: less by the angle at which the outer tyre is squashed and the inner one let out, over the track.
    over = []
    for i, axle in enumerate((found.car.front.axle, found.car.rear.axle)):
        more = (balance.load[i, :, one_g] - balance.load[i, :, 0]) / found.car.axles[i].loads.tyre_rate
        over.append(rolled - np.degrees((more[1] - more[0]) / np.ptp(axle.contact[:, 1])))
    told = said.partition("in sweeps and limits, it rolls ")[2].split(" deg at the ")
    assert [float(told[0]), float(told[1].split("and ")[1])] == pytest.approx(over, abs=0.02)
    first = [np.flatnonzero(balance.load[i, 0] <= 1e-6)[0] for i in range(2) if (balance.load[i, 0] <= 1e-6).any()]
    assert "The front left wheel leaves the ground at about " in out
    lifts = float(out.split("leaves the ground at about ")[1].split(" g")[0])
    steps = balance.acceleration / STANDARD_GRAVITY
    assert steps[min(first) - 1] - 0.006 <= lifts <= steps[min(first)] + 0.006
    # The end gives up where what it could hold meets what is asked for.
    for axle, name in enumerate(AXLES):
        spare = found.grip.held[axle] - balance.acceleration
        at = int(np.flatnonzero(spare < 0.0)[0])
        limit = float(out.split(f"{name} at ")[1].split(" g")[0])
        assert steps[at - 1] - 0.006 <= limit <= steps[at] + 0.006


def test_figure_of_lean(garage: Garage, unit: str) -> None:
    found, figure = sheet(garage), garage.ran("lean", unit).figures["lean"]
    g = found.balance.acceleration / STANDARD_GRAVITY
    force, there = factor("force", unit), np.where(found.balance.solved, 1.0, np.nan)
    roll, load = np.degrees(found.balance.roll) * there, found.balance.load * force * there
    panels = (
        ("roll of the body [deg] (leaning outwards)", [roll, np.degrees(found.textbook.roll) * g]),
        (f"wheel loads [{symbol('force', unit)}]", [*load[0], *load[1]]),
        (
            "lateral acceleration that each end's simple tyres could hold [g]",
            [*(found.grip.held / STANDARD_GRAVITY * there), g],
        ),
    )
    names = (
        ["in balance", "textbook, straight line"],
        ["front left", "front right", "rear left", "rear right"],
        ["front tyres hold", "rear tyres hold", "asked for"],
    )
    assert_panels(figure, panels, names, g)
    assert figure.axes[-1].get_xlabel() == "lateral acceleration [g]"


def test_figure_of_rates(garage: Garage, unit: str) -> None:
    found, figure = sheet(garage), garage.ran("lean", unit).figures["wheel_rates"]
    both = (found.front.rates, found.rear.rates)
    rate, force = factor("rate", unit), factor("force", unit)
    wheel = [
        values.mean(axis=0) * rate
        for one in both
        for values in (one.wheel_rate, one.wheel_rate_in_roll + one.bar_in_roll)
    ]
    panels = (
        (f"wheel rate [{symbol('rate', unit)}]", wheel),
        (f"spring travel per wheel travel, in bump [{unit}/{unit}]", [one.motion_ratio.mean(axis=0) for one in both]),
        (f"spring force [{symbol('force', unit)}]", [one.spring_force.mean(axis=0) * force for one in both]),
    )
    names = (
        ["front, in bump", "front, in roll with bar", "rear, in bump", "rear, in roll with bar"],
        ["front", "rear"],
        ["front", "rear"],
    )
    assert_panels(figure, panels, names, both[0].travel * factor("length", unit))


def assert_panels(figure, panels, names, along) -> None:  # type: ignore[no-untyped-def]
    assert len(figure.axes) == len(panels)
    for axes, (label, curves), words in zip(figure.axes, panels, names, strict=True):
        assert axes.get_ylabel() == label
        lines = axes.get_lines()
        assert len(lines) == len(curves)
        legend = axes.get_legend()
        assert [text.get_text() for text in legend.get_texts()] in (words, [*words, "95 % of such cars"])
        for line, mark, values in zip(lines, legend.get_lines(), curves, strict=True):
            assert (line.get_color(), line.get_linestyle()) == (mark.get_color(), mark.get_linestyle())
            assert_same(line.get_xydata()[:, 0], along, label)
            assert_same(line.get_xydata()[:, 1], values, label)
            low, high = axes.get_ylim()
            assert low - 1e-9 <= np.nanmin(values)
            assert np.nanmax(values) <= high + 1e-9
        looks = {(line.get_color(), line.get_linestyle()) for line in lines}
        assert len(looks) == len(lines)


def test_shelf_file(garage: Garage, unit: str) -> None:
    found, told = ranking(garage), rows(garage.path(unit, "shelf.csv") if garage.ran("shelf", unit) else None)
    per = in_title("rate", unit)
    assert len(told) == len(found.names) == 12
    for i, row in enumerate(told):
        assert (
            tuple(row[place] for place in ("front_springs", "rear_springs", "front_bar", "rear_bar")) == found.names[i]
        )
        for k, place in enumerate(("front_springs", "rear_springs", "front_bar", "rear_bar")):
            assert float(row[f"{place}{per}"]) == pytest.approx(found.rates[i, k] * factor("rate", unit), rel=1e-9)
        for title, value in (
            ("roll_gradient_deg_per_g", found.gradient[i]),
            ("front_share_percent", 100.0 * found.front_share[i]),
            (f"heave_front_{unit}", found.heave[0, i] * factor("length", unit)),
            (f"heave_rear_{unit}", found.heave[1, i] * factor("length", unit)),
            ("limits_missed_at_rest", found.missed[i]),
            ("outside_percent", 100.0 * found.outside[i]),
        ):
            assert float(row[title]) == pytest.approx(value, rel=1e-6, abs=1e-6), title
    springs = {"stiff": 45.0, "long": 45.0, "as fitted": 34.0}
    for row in told:
        assert float(row[f"front_springs{per}"]) == pytest.approx(springs[row["front_springs"]] * factor("rate", unit))


@pytest.mark.campaign
def test_shelf_wants_by_hand(garage: Garage) -> None:
    """A want is missed by so much of its range: 0.6 deg/g, 8 % of share, 6 mm; each limit missed adds one (formula)."""
    for row in rows(garage.path("mm", "shelf.csv") if garage.ran("shelf", "mm") else None):
        share, height = float(row["front_share_percent"]), float(row["heave_front_mm"])
        gradient = float(row["roll_gradient_deg_per_g"])
        missed = max(0.0, gradient - 2.2, 1.6 - gradient) / 0.6 + max(0.0, share - 58.0, 50.0 - share) / 8.0
        missed += max(0.0, abs(height) - 6.0) / 6.0
        missed += float(row["limits_missed_at_rest"])
        assert float(row["outside_percent"]) == pytest.approx(100.0 * missed, rel=1e-6, abs=1e-6)


def test_shelf_in_the_terminal(garage: Garage, unit: str) -> None:
    found, lines = ranking(garage), garage.ran("shelf", unit).out.splitlines()
    start = next(i for i, line in enumerate(lines) if line.strip().startswith("─")) + 1
    for i, line in enumerate(lines[start : start + len(found.names)]):
        cells = [cell for cell in line.strip().split("  ") if cell.strip()]
        cells = [cell.strip() for cell in cells]
        assert tuple(cells[:3]) == found.names[i][:3]
        assert_shown(cells[3], found.gradient[i], "frequency", unit, 2)
        assert_shown(cells[4], found.front_share[i], "part", unit)
        for cell, value in zip(cells[5:7], found.heave[:, i], strict=True):
            assert_shown(cell, value, "length", unit, 1)
            assert cell[0] in "+-"
        # What stands in the file, rounded: travel itself is checked where it is made.
        for cell, title in zip(cells[7:9], (f"bump_to_go_{unit}", f"droop_to_go_{unit}"), strict=True):
            written_there = rows(garage.path(unit, "shelf.csv"))[i][title]
            assert cell.rstrip("!") == (
                f"{float(written_there):.{1 if unit == 'mm' else 2}f}" if written_there else "-"
            )
        assert cells[9] == str(int(found.missed[i]))
        assert cells[10] == ("holds" if found.outside[i] <= 0.0 else f"{100.0 * found.outside[i]:.0f} %")
    heads = " ".join(lines[start - 5 : start - 1]).split()
    assert heads.count(unit) == 4
    assert {"deg/g", "%"} <= set(heads)


def test_what_is_nowhere_is_told_by_its_kind(garage: Garage) -> None:
    """A length runs off to infinity; an angle or a ratio is none."""
    unit = garage.car().unit
    told = [shown(np.nan, kind, unit) for kind in (Dimension.LENGTH, Dimension.ANGLE, Dimension.RATIO)]
    assert told == ["at infinity", "none", "none"]

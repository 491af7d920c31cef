"""`--write-car` and `draw --plan`: a chosen plan as a car file, and drawn.

The written file is read back and swept beside the axle that the plan makes; single points are held against arithmetic
by hand: what hangs on the body goes with it, and links keep their lengths.
"""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from kinematics import Axle, read_car, sweep_bump, sweep_grid, sweep_roll
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.planning.plans import carry_out
from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR, in_inches
from tests.short_run import at_places

PLANS = """
units = "mm"
[[plan]]
name = "down"
[[plan.change]]
what = "ride height"
by = -9
[[plan]]
name = "down on longer joints"
[[plan.change]]
what = "ride height"
by = -7.5
[[plan.change]]
what = "longer ball joint"
by = 15
[[plan.change]]
what = "tie-rod shim"
by = 15
[plan.align.front]
camber = -2.4
[[plan]]
name = "pivots"
[[plan.change]]
what = "inner pivots"
up = 6
out = -4
[[plan]]
name = "left alone"
[[plan.change]]
what = "tie-rod shim"
side = "left"
by = 4
[[plan]]
name = "too low"
[[plan.change]]
what = "ride height"
by = -55
[[plan]]
name = "forbidden"
[[plan.change]]
what = "strut top"
out = -3
[[rule]]
words = "Towers stay."
changes = "strut top"
"""
CHASSIS = ("lower_pivot_front", "lower_pivot_rear", "strut_top", "tie_rod_inner")
# Points are written to 0.001 mm (0.0001 in is 0.0025 mm), and levers of a roll centre multiply that by some ten.
WRITTEN = {"mm": 0.0006, "in": 0.0015}
FOLLOWS = {"mm": 0.02, "in": 0.05}


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")
    adjuster = '[front.adjusters]\ncamber = { by = "strut top", range = [-1, 1] }\n\n[limits]'
    (tmp_path / "inch.toml").write_text(in_inches().replace("[limits]", adjuster, 1), encoding="utf-8")
    (tmp_path / "saloon.toml").write_text(demo_text("rear_drive_saloon.toml"), encoding="utf-8")
    (tmp_path / "plans.toml").write_text(PLANS, encoding="utf-8")
    return tmp_path


def alone(plan: str) -> str:
    """A plan file with nothing else in it: others would only be tried besides."""
    head, *parts = PLANS.partition("[[rule]]")[0].split("[[plan]]")
    (own,) = [part for part in parts if f'name = "{plan}"' in part]
    return f"{head}[[plan]]{own}"


def written(plan: str, car: str = "car.toml") -> Axle:
    Path("alone.toml").write_text(alone(plan), encoding="utf-8")
    assert main(["compare", car, "alone.toml", "--write-car", plan, "after.toml"]) in (0, 1)
    return read_car("after.toml").front


def planned(plan: str, car: str = "car.toml") -> Axle:
    own = read_car(car)
    (made,) = [one for one in read_plans(["plans.toml"], own).plans if one.name == plan]
    return carry_out(own, [made])[0]["front"].axle


def assert_moves_alike(one: Axle, other: Axle, unit: str) -> None:
    travel, roll = np.linspace(-25.0, 20.0, 10), np.radians(np.linspace(-1.2, 1.2, 5))
    for mine, twin in (
        (sweep_bump(one, travel), sweep_bump(other, travel)),
        (sweep_roll(one, roll), sweep_roll(other, roll)),
        (sweep_grid(one, travel, roll), sweep_grid(other, travel, roll)),
    ):
        for key in ("camber", "toe", "force_weighted_height", "wheel_centre_z"):
            near = 1e-4 if key in ("camber", "toe") else FOLLOWS[unit]  # rad, mm
            np.testing.assert_allclose(mine[key], twin[key], rtol=0.0, atol=near, err_msg=key)


@pytest.mark.usefixtures("garage")
# A short run has one plan in each of the two units.
@pytest.mark.parametrize(
    ("plan", "car", "unit"),
    [
        ("down on longer joints", "car.toml", "mm"),
        ("pivots", "inch.toml", "in"),
        *(
            pytest.param(plan, "inch.toml", "in", marks=pytest.mark.campaign)
            for plan in ("down on longer joints", "left alone", "down")
        ),
        *(
            pytest.param(plan, "car.toml", "mm", marks=pytest.mark.campaign)
            for plan in ("down", "pivots", "left alone")
        ),
    ],
)
def test_it_reads_back_to_the_plans_points_and_moves_like_it(plan: str, car: str, unit: str) -> None:
    found, wanted = written(plan, car), planned(plan, car)
    for key, both in wanted.points.items():
        np.testing.assert_allclose(found.points[key], both, rtol=0.0, atol=WRITTEN[unit], err_msg=key)
    assert_moves_alike(found, wanted, unit)


@pytest.mark.usefixtures("garage")
def test_the_body_goes_down_and_links_keep_their_lengths() -> None:
    """By hand: 9 mm off every height on the body; the top mount slides out or in as camber is set back; rods stay."""
    before, after = read_car("car.toml").front, written("down")
    for key in CHASSIS:
        np.testing.assert_allclose(after.points[key][:, 2], before.points[key][:, 2] - 9.0, rtol=0.0, atol=0.0006)
    for key in ("lower_pivot_front", "lower_pivot_rear"):
        np.testing.assert_allclose(after.points[key][:, :2], before.points[key][:, :2], rtol=0.0, atol=0.0006)
        lengths = [np.linalg.norm(one.points[key] - one.points["lower_ball_joint"], axis=-1) for one in (before, after)]
        np.testing.assert_allclose(lengths[1], lengths[0], rtol=0.0, atol=0.002)
    assert after.camber == pytest.approx(before.camber)
    assert after.toe == pytest.approx(before.toe)


@pytest.mark.usefixtures("garage")
def test_pivots_move_on_the_body_by_what_the_plan_says() -> None:
    before, after = read_car("car.toml").front, written("pivots")
    for key in ("lower_pivot_front", "lower_pivot_rear"):
        moved = after.points[key] - before.points[key]
        np.testing.assert_allclose(moved, [[0.0, -4.0, 6.0], [0.0, 4.0, 6.0]], rtol=0.0, atol=0.0006)


@pytest.mark.usefixtures("garage")
def test_what_is_said_of_it_besides_stays_or_is_used_up() -> None:
    """Doubt and limits as they were; the bump stop is as much nearer as the wheel has gone up, some 9 mm."""
    written("down")
    before, after = (tomllib.loads(Path(name).read_text(encoding="utf-8")) for name in ("car.toml", "after.toml"))
    for key in ("measured_to", "limits"):
        assert after[key] == before[key]
    assert after["front"]["points"]["tie_rod_inner"]["known_to"] == 5
    assert after["front"]["wheel"]["camber_known_to"] == 0.1
    assert before["front"]["stops"]["bump"] - after["front"]["stops"]["bump"] == pytest.approx(9.0, abs=0.3)
    assert after["body"]["centre_of_gravity"]["up"] == pytest.approx(510.0 - 9.0)


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_both_axles_are_written(capsys: pytest.CaptureFixture[str]) -> None:
    main(["compare", "saloon.toml", "--change", "ride height", "-8", "--write-car", "this change", "low.toml"])
    assert "wrote low.toml" in capsys.readouterr().out
    # What the file cannot tell anew it says: ends of the bar and the rear springs are written as they were.
    assert "Ends of springs, bars and dampers stand as before the plan" in Path("low.toml").read_text(encoding="utf-8")
    before, after = read_car("saloon.toml"), read_car("low.toml")
    assert [axle.suspension for axle in after.axles] == [axle.suspension for axle in before.axles]
    assert sweep_bump(after.rear, np.zeros(1))["roll_centre_height"] == pytest.approx(
        sweep_bump(before.rear, np.zeros(1))["roll_centre_height"], abs=0.02
    )


@pytest.mark.campaign
def test_a_table_of_doubt_goes_with_it(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "survey.toml").write_text(demo_text("lowered_coupe_survey.toml"), encoding="utf-8")
    main(["survey", "survey.toml", "surveyed.toml"])
    assert written("down", "surveyed.toml").doubt is not None
    assert (garage / "after_doubt.csv").exists()
    before, after = (read_car(name).front.doubt for name in ("surveyed.toml", "after.toml"))
    assert before is not None
    assert after is not None
    assert (before.of_others, after.of_others) == ("", "")
    np.testing.assert_allclose(after.influence, before.influence, rtol=1e-6, atol=1e-9)
    capsys.readouterr()
    assert main(["show", "after.toml"]) == 1
    assert "; give or take " in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("plan", "file", "says"),
    at_places(
        [
            ("too low", "after.toml", '"too low": cannot be built: '),
            ("forbidden", "after.toml", 'is forbidden, for the rule states no at_most: "Towers stay."'),
            ("dwon", "after.toml", "PLAN: there is no plan 'dwon'; did you mean"),
            ("down", "after.csv", "after.csv: a car file's name must end in .toml"),
            ("down", "car.toml", "car.toml: is there already"),
        ],
        0,
        2,
        4,
    ),
)
def test_refusals(garage: Path, plan: str, file: str, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    before = {path.name: path.read_bytes() for path in garage.iterdir()}
    assert main(["compare", "car.toml", "plans.toml", "--write-car", plan, file]) == 2
    assert says.replace("'", '"') in capsys.readouterr().err.replace("'", '"')
    assert {path.name: path.read_bytes() for path in garage.iterdir()} == before


@pytest.mark.usefixtures("garage")
def test_springs_are_not_told_by_points(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["compare", "saloon.toml", "--change", "spring spacer", "4", "--write-car", "this change", "after.toml"]
    assert main(words) == 2
    assert "changes the spring spacer" in capsys.readouterr().err
    assert not Path("after.toml").exists()


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_it_is_written_over_where_that_is_asked() -> None:
    written("down")
    first = Path("after.toml").read_bytes()
    Path("alone.toml").write_text(alone("pivots"), encoding="utf-8")
    assert main(["compare", "car.toml", "alone.toml", "--write-car", "pivots", "after.toml"]) == 2
    assert Path("after.toml").read_bytes() == first
    assert main(["compare", "car.toml", "alone.toml", "--write-car", "pivots", "after.toml", "--replace"]) in (0, 1)
    assert Path("after.toml").read_bytes() != first


MEANS = """
units = "mm"
[[may]]
what = "ride height"
from = 0
to = 24
step = 4
"""


@pytest.mark.campaign
def test_find_writes_a_plan_too(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "sound.toml").write_text(SOUND_CAR, encoding="utf-8")
    (garage / "means.toml").write_text(MEANS, encoding="utf-8")
    main(["find", "sound.toml", "means.toml", "--into", "out", "--write-car", "best", "best.toml"])
    assert "wrote best.toml" in capsys.readouterr().out
    mine, twin = (read_car(name).front for name in ("best.toml", "out/find_best.toml"))
    for key, both in twin.points.items():
        np.testing.assert_array_equal(mine.points[key], both)
    assert main(["find", "sound.toml", "means.toml", "--write-car", "worst", "none.toml"]) == 2
    assert "there is no plan" in capsys.readouterr().err
    assert not Path("none.toml").exists()


@pytest.mark.usefixtures("garage")
def test_a_plan_is_drawn_where_it_moves(monkeypatch: pytest.MonkeyPatch) -> None:
    """At 12 mm of bump and 1 degree of roll, the roll centre that the changed axle's own sweep has there."""
    drawn: list[Figure] = []
    monkeypatch.setattr(Figure, "savefig", lambda self, file, **_: (drawn.append(self), file.write(b"x")))
    words = ["--plan", "plans.toml", "down on longer joints", "--bump", "12", "--roll", "1"]
    assert main(["draw", "car.toml", "a.svg", *words]) == 0
    sweep = sweep_grid(planned("down on longer joints"), np.array([12.0]), np.radians([1.0]))
    height = float(sweep["roll_centre_height"].reshape(-1)[0])
    texts = " ".join(text.get_text() for axes in drawn[0].axes for text in axes.texts)
    where = "above" if height > 0.0 else "below"
    assert f"roll centre {abs(height):.1f} mm {where} ground" in " ".join(texts.split())


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize(
    ("plan", "says"), [("dwon", "there is no plan"), ("no file", "plans.toml"), ("too low", "cannot be built")]
)
def test_what_cannot_be_drawn(plan: str, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    if plan == "too low":
        Path("plans.toml").write_text(PLANS.replace("by = -55", "by = -140"), encoding="utf-8")
    assert main(["draw", "car.toml", "a.svg", "--plan", "plans.toml", plan]) == 2
    assert says in capsys.readouterr().err
    assert not Path("a.svg").exists()

"""A bar's drop link and arm over the travel, against the triangle that they make with the bar's axis.

The far end of the drop link goes up with the wheel centre. Of a triangle with lever r, drop link q and the angle
w between them the third side is r^2 + q^2 - 2 r q cos w (law of cosines, formula): how far the far end then is
from the bar's axis, and with that at which travel.
"""

import csv
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from kinematics import Axle, Car
from kinematics.car.springs_and_bars import Attachment, Bar, BarEnds
from kinematics.inputs.demo_cars import demo_car, demo_text
from kinematics.loads.movements import arm_end_movement
from kinematics.loads.setup import calibrated
from kinematics.motion.moving_axle import moving
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan
from kinematics.planning.settling import rigged
from kinematics.planning.travel_budget import CornerTravel, not_told, travel_budgets
from kinematics.planning.travel_ends import EndKind
from reports.command_line import main
from reports.words.not_checked import LEFT_TO_COMPARE, not_checked_words
from tests.plans.test_settling import done, on, straight_car
from tests.plans.test_travel_budget import AT, WORKING, of_kind

OUT, LEVER, LINK = 600.0, 200.0, 90.0
# Where the axis and the arm's end lie from the far end of the drop link: ahead and up, the link upright.
SHAPES = {
    "arm level": ((-LEVER, -LINK), (0.0, -LINK)),
    "arm ahead, hanging": ((160.0, LINK + 120.0), (0.0, LINK)),
    "link aslant": ((-LEVER - 40.0, -LINK), (-40.0, -LINK)),
}
NEARLY = math.radians(15.0), math.radians(165.0)


def car_with(shape: str, allowed: tuple[float, float] | None = None, aside: float = 0.0) -> Car:
    """The car whose wheels go straight up, with such a bar; aside: how far inwards the arm's end is [mm]."""
    car = straight_car()
    axle = car.front
    assert axle.loads is not None
    far = axle.points["wheel_centre"] * [1.0, 0.0, 1.0] + np.array([[0.0, OUT, 0.0], [0.0, -OUT, 0.0]])
    inwards = np.array([[0.0, -aside, 0.0], [0.0, aside, 0.0]])
    axis, end = (far + np.array([ahead, 0.0, up]) + inwards for ahead, up in SHAPES[shape])
    ends = BarEnds(axis, end, Attachment(far, "axle"), allowed)
    loads = replace(axle.loads, bar=Bar(20.0, ends))
    return replace(car, axles=(replace(axle, loads=loads), car.rear))


def nearest(shape: str, angles: tuple[float, float], axle: Axle, lifted: float = 0.0) -> tuple[float, float]:
    """Nearest travel in bump and in droop at which drop link and arm stand at one of two angles; NaN where none does.

    The body of that axle stands so much higher than measured; how far back links take the wheel is read from it.
    """
    (ahead, up), (end_ahead, end_up) = SHAPES[shape]
    lever, link = math.hypot(ahead - end_ahead, up - end_up), math.hypot(end_ahead, end_up)
    travels = np.linspace(-150.0, 150.0, 3001)
    gone = moving(axle, -150.0, 150.0).at(np.ones((2, 1)) * travels).wheel_centre[0, :, 0]
    apart = np.hypot(gone - ahead, travels - lifted - up)
    ways: list[list[float]] = [[], []]
    for angle in angles:
        third = math.sqrt(lever**2 + link**2 - 2.0 * lever * link * math.cos(angle))
        short = CubicSpline(travels, apart - third).roots(extrapolate=False)
        ways[0] += [one for one in short if one > 0.0]
        ways[1] += [-one for one in short if one < 0.0]
    return min(ways[0], default=math.nan), min(ways[1], default=math.nan)


def told(corner: CornerTravel, kind: EndKind) -> tuple[float, float]:
    return of_kind(corner.bump, kind), of_kind(corner.droop, kind)


def same(found: tuple[float, float], expected: tuple[float, float]) -> None:
    assert found == pytest.approx(expected, abs=AT, nan_ok=True)


@pytest.mark.campaign
@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("lifted", [0.0, -12.0, 15.0])
def test_where_a_drop_link_comes_to_its_dead_centre(shape: str, lifted: float) -> None:
    """After a plan too: the bar goes with the body and its drop link keeps its length, so a lower body is nearer."""
    car = car_with(shape)
    heights = [Plan("tried", (on("front", "ride height", lifted), on("rear", "ride height", lifted)))]
    corners = travel_budgets(car, heights if lifted else [], WORKING)[-1].corners[:2]
    axle = done(car, *heights[0].changes)["front"].axle if lifted else car.front
    for corner in corners:
        same(told(corner, EndKind.BAR_LINK_NEAR), nearest(shape, NEARLY, axle, lifted))
        same(told(corner, EndKind.BAR_LINK_OVER), nearest(shape, (0.0, math.pi), axle, lifted))
        assert math.isnan(of_kind((*corner.bump, *corner.droop), EndKind.BAR_LINK))


@pytest.mark.parametrize("shape", SHAPES)
def test_the_angle_that_a_file_allows(shape: str) -> None:
    allowed = math.radians(40.0), math.radians(140.0)
    car = car_with(shape, allowed)
    for corner in travel_budgets(car, [], WORKING)[0].corners[:2]:
        same(told(corner, EndKind.BAR_LINK), nearest(shape, allowed, car.front))
        kinds = {end.kind for _, ends in corner.ways() for end in ends}
        assert kinds.isdisjoint({EndKind.BAR_LINK_NEAR, EndKind.BAR_LINK_OVER})


def test_a_drop_link_that_leans_sideways_is_seen_from_the_side() -> None:
    """What it leans inwards never changes, for it goes straight up: from the side it is the same triangle."""
    upright, leaning = (
        travel_budgets(car_with("arm level", None, one), [], WORKING)[0].corners[0] for one in (0.0, 70.0)
    )
    for kind in (EndKind.BAR_LINK_NEAR, EndKind.BAR_LINK_OVER):
        same(told(leaning, kind), told(upright, kind))


def test_springs_of_a_lowered_car_move_the_bar_as_the_same_travel_did() -> None:
    """The linkage does not know whether the body came down or the wheel went up: arms turn by the same (property)."""
    car = demo_car("rear_drive_saloon.toml")
    lower = [Change(axle, "ride height", -14.0) for axle in ("front", "rear")]
    setup = rigged(car, done(car, *lower), lower).car.front
    before = calibrated(car.front)
    assert setup.loads.bar is not None
    assert before.loads.bar is not None
    lowered = arm_end_movement(setup.loads.bar, setup.moving.at(np.array([[-5.0, 0.0, 8.0]] * 2)))
    # The wheel's travel in the body at which the measured car stands as the lowered one does.
    height = setup.axle.points["wheel_centre"][:, 2] - done(car, *lower)["front"].raised
    came = height - car.front.points["wheel_centre"][:, 2]
    measured = arm_end_movement(before.loads.bar, before.moving.at(came[:, None] + np.array([[-5.0, 0.0, 8.0]])))
    for side in range(2):
        assert np.diff(lowered.value[side]) == pytest.approx(np.diff(measured.value[side]), abs=0.03)
    assert lowered.value[:, 1] == pytest.approx(0.0, abs=1e-9)


def test_a_bar_by_its_ratio_is_not_told() -> None:
    assert EndKind.BAR_LINK in not_told(straight_car().front)
    assert EndKind.BAR_LINK not in not_told(car_with("arm level").front)
    assert EndKind.BAR_LINK not in not_told(demo_car("rear_drive_saloon.toml").rear)  # it has no bar


SALOON = demo_text("rear_drive_saloon.toml")
LINK_END = "drop_link_end = { ahead = 40, out = 600, up = 186,"
# A short link that hangs 20 mm behind the arm's end comes over centre soon; the other is only near it.
SHORT = "drop_link_end = { ahead = 25, out = 595, up = 290,"


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


def written(*swaps: tuple[str, str]) -> None:
    text = SALOON
    for before, after in swaps:
        assert text.count(before) == 1
        text = text.replace(before, after)
    Path("car.toml").write_text(text, encoding="utf-8")


def test_a_link_over_centre_in_words(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    written((LINK_END, SHORT))
    assert main(["travel", "car.toml", "--into", "out"]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "bar link over centre" in out
    assert "Next: fit a drop link of another length" in out
    assert "dead centre after" in out
    with (garage / "out/travel.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["ended by"].startswith("bar link")]
    assert {row["ended by"] for row in rows} == {"bar link near centre", "bar link over centre"}
    over = [float(row["travel [mm]"]) for row in rows if row["ended by"] == "bar link over centre"]
    assert min(over) < 25.0


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        ("[60, 120]", ""),
        ("[120, 60]", "front.bar.link_angle: read [120, 60]; the least comes first"),
        ("[10, 80]", "front.bar.link_angle: read [10, 80], but as measured drop link and arm stand at 90.0 degrees"),
        ("[10]", "front.bar.link_angle: read [10]; two angles are allowed, least and most, like [20, 160]"),
        ("[-5, 100]", "read -5; 0 to 180 degrees are allowed"),
        ('"wide"', 'front.bar.link_angle: read "wide"; two angles are allowed'),
    ],
)
def test_what_a_file_may_allow(entry: str, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    written(("arm = 210  ", f"link_angle = {entry}\narm = 210  "))
    assert main(["travel", "car.toml", "--all"]) == (2 if says else 0)
    told_here = capsys.readouterr()
    if says:
        assert says in " ".join(told_here.err.split())
    else:
        assert "bar link angle" in told_here.out


def test_an_angle_without_the_bars_ends(capsys: pytest.CaptureFixture[str]) -> None:
    geometry = SALOON[SALOON.index("axis = {") : SALOON.index("[rear]")]
    written((geometry, "motion_ratio = 0.6\nlink_angle = [20, 160]\n\n"))
    assert main(["show", "car.toml"]) == 2
    assert "front.bar.link_angle: means nothing without axis, arm_end and drop_link_end" in capsys.readouterr().err


@pytest.mark.campaign
def test_a_plan_that_takes_a_link_past_its_angle_cannot_be_built(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """As measured the working travel fits, 20 mm lower it does not, and the plan says what gives way."""
    written(("arm = 210  ", "link_angle = [85, 170]\narm = 210  "))
    assert main(["travel", "car.toml"]) == 0
    capsys.readouterr()
    main(["compare", "car.toml", "--change", "ride height", "-20"])
    said = " ".join(capsys.readouterr().out.split())
    assert "(bar link angle), 25.0 mm is used" in said


def test_what_search_leaves_to_compare() -> None:
    car = demo_car("rear_drive_saloon.toml")
    assert "bar links" in " ".join(not_checked_words(car, LEFT_TO_COMPARE))
    assert "bar links" not in " ".join(not_checked_words(demo_car("five_link_tourer.toml"), LEFT_TO_COMPARE))

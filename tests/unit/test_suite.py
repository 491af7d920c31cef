"""The suite itself: a test's random cars are its own, its name can be asked for, and no clock on the wall decides."""

import importlib.util
import re
import sys
from pathlib import Path

import pytest
from hypothesis import given

from kinematics.car.suspensions import SUSPENSIONS
from tests.properties.plausible_cars import REPEATABLE, axles

TESTS = Path(__file__).parents[1]
THIS_FILE = Path(__file__)


def drawn() -> list[bytes]:
    """Cars of one type, as a property test has them."""
    cars: list[bytes] = []

    @REPEATABLE
    @given(axles(SUSPENSIONS["five link"]))
    def collect(axle: object) -> None:
        cars.append(b"".join(point.tobytes() for point in axle.points.values()))  # type: ignore[attr-defined]

    collect()
    return cars


def test_cars_do_not_depend_on_the_code_that_is_loaded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, campaign: bool
) -> None:
    """Hypothesis draws constants of a project's own modules now and then, of those that are loaded so far."""
    if campaign:
        pytest.skip("the campaign draws other cars each time")
    before = drawn()
    path = tmp_path / "full_of_numbers.py"
    path.write_text(f"NUMBERS = {[place / 997.0 for place in range(1, 600)]}\n", encoding="utf-8")
    spec = importlib.util.spec_from_file_location("full_of_numbers", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    monkeypatch.setitem(sys.modules, "full_of_numbers", module)
    spec.loader.exec_module(module)
    assert drawn() == before
    assert len(set(before)) > 1


def test_a_types_name_can_be_asked_for(request: pytest.FixtureRequest) -> None:
    """`-k five-link` finds what concerns it: no name of a test has a type's name with spaces in it."""
    spaced = [name for name in SUSPENSIONS if " " in name]
    assert not [item.nodeid for item in request.session.items if any(name in item.nodeid for name in spaced)]


CLOCKS = re.compile(r"ITIMER_REAL|SIGALRM|signal\.alarm|timeout=\d|perf_counter|(?:<|>) *time\.|time\.\w+\(\) *-")


@pytest.mark.parametrize("path", sorted(TESTS.rglob("test_*.py")), ids=lambda path: path.stem)
def test_no_clock_on_the_wall_decides(path: Path) -> None:
    """On a busy machine everything takes longer; a hang is caught by the processor's work."""
    if path != THIS_FILE:
        assert not CLOCKS.findall(path.read_text(encoding="utf-8"))

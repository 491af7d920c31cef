"""A file that an editor began with a byte order mark, or whose lines end as on Windows, stays so whatever is saved."""

from collections.abc import Callable
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from tests.page.served import Page, laid_open
from tests.page.test_fractions_typed import TAPE
from tests.page.test_means_on_the_page import SAID
from tests.page.test_springs_form import OF_THE_BODY, ON_BOTH
from tests.page.test_words_beside_boxes import BOTH

MARK = b"\xef\xbb\xbf"  # UTF-8's byte order mark (Unicode standard)
CHANGE = {"axle": "front", "what": "longer ball joint", "by": 0.5}
Laid = Callable[[Path, str], bytes]


def with_mark(path: Path, text: str) -> bytes:
    path.write_bytes(MARK + text.encode())
    return path.read_bytes()


def with_two_letters(path: Path, text: str) -> bytes:
    path.write_bytes(text.replace("\n", "\r\n").encode())
    return path.read_bytes()


def with_both(path: Path, text: str) -> bytes:
    path.write_bytes(MARK + text.replace("\n", "\r\n").encode())
    return path.read_bytes()


def same_layout(before: bytes, after: bytes) -> bool:
    """Whether it begins with the mark or not, and every line ends as all did."""
    bare = after.count(b"\n") - after.count(b"\r\n")
    marks = after.count(MARK), before.count(MARK), after.startswith(MARK), before.startswith(MARK)
    return marks[0] == marks[1] and marks[2] == marks[3] and bare == (0 if b"\r\n" in before else after.count(b"\n"))


@pytest.fixture(params=[with_mark, with_two_letters, with_both])
def laid(request: pytest.FixtureRequest) -> Laid:
    laid: Laid = request.param
    return laid


def test_a_car_that_is_saved_and_taken_back(laid: Laid, tmp_path: Path) -> None:
    path = tmp_path / "my_car.toml"
    before = laid(path, BOTH)
    page = Page(path)
    typed = {"front.points.lower_ball_joint.out": "27 3/8", **ON_BOTH, **OF_THE_BODY}  # whole sections are new
    told = page.post("save", {"typed": typed, "seen": page.get("form")["seen"]})
    assert path.read_bytes() != before
    assert same_layout(before, path.read_bytes())
    page.post("unsave", {"seen": told["seen"]})
    assert path.read_bytes() == before


def test_a_line_that_is_changed_leaves_all_others(laid: Laid, tmp_path: Path) -> None:
    path = tmp_path / "my_car.toml"
    before = laid(path, TAPE)
    page = Page(path)
    page.post("save", {"typed": {"front.wheel.camber": "-1.25"}, "seen": page.get("form")["seen"]})
    assert path.read_bytes() == before.replace(b"camber = -1.5", b"camber = -1.25")


def test_plans_that_are_kept_removed_and_put_back(laid: Laid, tmp_path: Path) -> None:
    page = Page(laid_open(tmp_path))
    before = laid(page.bench.plans, demo_text("lowered_coupe_plans.toml"))
    told = page.post("keep", {"changes": [CHANGE], "name": "mine", "seen": page.get("plans")["seen"]})
    assert same_layout(before, page.bench.plans.read_bytes())
    assert page.bench.plans.read_bytes().startswith(before.rstrip())
    kept = page.bench.plans.read_bytes()
    told = page.post("forget", {"name": "mine", "seen": told["seen"]})
    assert same_layout(before, page.bench.plans.read_bytes())
    page.post("put-back", {"seen": told["seen"]})
    assert page.bench.plans.read_bytes() == kept


def test_readings_and_means(laid: Laid, tmp_path: Path) -> None:
    path = tmp_path / "my_car.toml"
    path.write_text(TAPE, encoding="utf-8")
    page = Page(path)
    page.post("survey", {"axle": "front"})
    survey = path.with_name("my_car_survey.toml")
    before = laid(survey, survey.read_text("utf-8"))
    typed = {"front.readings.1.reads": "7 1/8"}
    page.post("survey-saved", {"typed": typed, "seen": page.get("survey")["seen"]})
    assert survey.read_bytes() == before.replace(b'reads = "?"', b'reads = "7 1/8"', 2).replace(b'"7 1/8"', b'"?"', 1)
    page.post("means", {**SAID, "seen": page.get("means")["seen"]})
    before = laid(page.bench.means, page.bench.means.read_text("utf-8"))
    told = page.get("means")
    assert told["own"]
    page.post("means", {"may": SAID["may"][:1], "seen": told["seen"]})
    assert same_layout(before, page.bench.means.read_bytes())

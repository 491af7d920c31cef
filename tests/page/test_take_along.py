"""What is taken along from the page are the files that the commands write, to the last byte."""

import io
import zipfile
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from reports.page import take_along
from reports.page.take_along import Parcel, Taken
from tests.page.served import KEY, Answer, Page, laid_open


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Page:
    path = laid_open(tmp_path_factory.mktemp("page"))
    path.with_name("my_car_plans.toml").write_text(demo_text("lowered_coupe_plans.toml"), encoding="utf-8")
    return Page(path)


def taken(page: Page, parcel: str, name: str) -> Answer:
    return page.request("GET", f"/{KEY}/take/{parcel}/{name}")


def names(page: Page) -> dict[str, list[str]]:
    return {one["key"]: one["files"] for one in page.get("take")["parcels"]}


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_tables_are_those_of_the_commands(page: Page, tmp_path: Path) -> None:
    told = names(page)
    assert "lean" not in told  # this car tells no springs
    assert main(["sweep", str(page.bench.path), str(tmp_path / "swept")]) in (0, 1)
    written = sorted(path.name.replace(".png", ".pdf") for path in (tmp_path / "swept").iterdir())
    assert sorted(told["sweeps"][1:]) == written
    for name in ("front_bump.csv", "front_roll.csv"):
        answer = taken(page, "sweeps", name)
        assert answer.content == (tmp_path / "swept" / name).read_bytes()
        assert answer.headers["content-disposition"] == f"attachment; filename*=UTF-8''{name}"
        assert answer.headers["content-type"] == "application/octet-stream"


def test_files_are_those_beside_the_car(page: Page) -> None:
    assert names(page)["files"] == ["files.zip", "my_car.toml", "my_car_plans.toml"]
    assert taken(page, "files", "my_car_plans.toml").content == page.bench.plans.read_bytes()
    with zipfile.ZipFile(io.BytesIO(taken(page, "files", "files.zip").content)) as archive:
        assert archive.namelist() == ["my_car.toml", "my_car_plans.toml"]
        assert archive.read("my_car.toml") == page.bench.path.read_bytes()


@pytest.mark.campaign
def test_a_figure(page: Page) -> None:
    figure = next(name for name in names(page)["sweeps"] if name.endswith(".pdf"))
    assert taken(page, "sweeps", figure).content.startswith(b"%PDF")


@pytest.mark.campaign
@pytest.mark.parametrize("ending", [".html", ".pdf"])
def test_the_report(ending: str, page: Page, tmp_path: Path) -> None:
    assert names(page)["report"] == ["report.zip", "my_car_report.html", "my_car_report.pdf"]
    there = tmp_path / f"report{ending}"
    assert main(["report", str(page.bench.path), str(there), str(page.bench.plans)]) in (0, 1)
    assert taken(page, "report", f"my_car_report{ending}").content == there.read_bytes()


@pytest.mark.campaign
def test_doubt(page: Page, tmp_path: Path) -> None:
    assert main(["doubt", str(page.bench.path), "--into", str(tmp_path)]) in (0, 1)
    name = "front_doubt_ride_height.csv"
    assert name in names(page)["doubt"]
    assert taken(page, "doubt", name).content == (tmp_path / name).read_bytes()


@pytest.mark.parametrize(("parcel", "name"), [("files", "my_car_means.toml"), ("nothing", "x"), ("files", "..%2fx")])
def test_nothing_else_can_be_taken(parcel: str, name: str, page: Page) -> None:
    assert taken(page, parcel, name).status == 404
    assert page.request("GET", f"/{KEY}x/take/files/my_car.toml").status == 404


def test_what_is_registered_is_offered(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    one = Parcel("told", "What is told", lambda *_: [Taken("told.txt", lambda file: file.write(b"so"))])  # type: ignore[arg-type,return-value]
    monkeypatch.setattr(take_along, "PARCELS", [*take_along.PARCELS, one])
    assert names(page)["told"] == ["told.txt"]
    assert taken(page, "told", "told.txt").content == b"so"

"""Every command once for the car in mm and once in inches: all tests here share its words, files and figures."""

import contextlib
import io
import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from matplotlib.figure import Figure

from kinematics import Car, read_car
from kinematics.loads.balanced_share import with_balanced_shares
from reports.command_line import main
from tests.outputs.surveyed import SURVEY
from tests.outputs.two_cars import CAR, MM_PER_INCH, PLANS, SHELF, written


@dataclass(frozen=True)
class Run:
    """What a command told and wrote; figures by their file's name without ending."""

    status: int
    out: str
    err: str
    folder: Path
    figures: dict[str, Figure]


def lengths(unit: str, *mm: float) -> list[str]:
    return [repr(value / (MM_PER_INCH if unit == "in" else 1.0)) for value in mm]


_FINE = ["--roll-step", "0.5", "--outer-share", "0.65", "--drawing", "svg"]
_COMMANDS: dict[str, Callable[[str], list[str]]] = {
    "show": lambda _: ["show", "car.toml", "--all"],
    "sweep": lambda unit: [
        "sweep", "car.toml", "sweep", "--all", "--travel", *lengths(unit, -60, 60), "--step", *lengths(unit, 5),
        "--heave", *lengths(unit, 4), *_FINE,
    ],
    "right wheel": lambda unit: [
        "sweep", "car.toml", "right wheel", "--wheels", "right", "--step", *lengths(unit, 20), "--roll-step", "3",
        "--rack", *lengths(unit, 30), "--drawing", "svg",
    ],
    "lean": lambda _: ["lean", "car.toml", "--into", "lean", "--drawing", "svg"],
    "shelf": lambda _: ["shelf", "car.toml", "shelf.toml", "shelf.csv"],
    "compare": lambda unit: [
        "compare", "car.toml", "plans.toml", "--all", "--into", "compare", "--doubt", "--draws", "100", "--step",
        *lengths(unit, 20), "--roll-step", "1.5", "--drawing", "svg",
    ],
    "doubt": lambda _: ["doubt", "car.toml", "--all", "--into", "doubt", "--draws", "100", "--drawing", "svg"],
    "survey": lambda _: ["survey", "survey.toml", "surveyed.toml", "--all"],
    "draw": lambda unit: [
        "draw", "car.toml", "draw.svg", "--bump", *lengths(unit, 12), "--roll", "1.5", "--rack", *lengths(unit, 20),
    ],
}  # fmt: skip


class Garage:
    """Folders with the same files in mm and in inches, and what the commands made of them."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._runs: dict[tuple[str, str], Run] = {}
        self._cars: dict[str, Car] = {}
        for unit in ("mm", "in"):
            (folder / unit).mkdir()
            for name, text in (("car", CAR), ("plans", PLANS), ("shelf", SHELF), ("survey", SURVEY)):
                (folder / unit / f"{name}.toml").write_text(written(text, unit), encoding="utf-8")

    def path(self, unit: str, name: str) -> Path:
        return self._folder / unit / name

    def car(self, unit: str = "mm") -> Car:
        """The car as a command takes it: with the outer shares that its own balance gives."""
        if unit not in self._cars:
            car = read_car(self.path(unit, "car.toml"))
            self._cars[unit] = replace(car, limits=with_balanced_shares(car.limits, car))
        return self._cars[unit]

    def ran(self, name: str, unit: str) -> Run:
        if (name, unit) not in self._runs:
            self._runs[name, unit] = run(_COMMANDS[name](unit), self._folder / unit, name)
        return self._runs[name, unit]


def run(arguments: list[str], folder: Path, into: str = "") -> Run:
    """Run a command in a folder. A figure is kept, and a number stands in its file, by which it is found again."""
    drawn: list[Figure] = []

    def keep(figure: Figure, file: io.BytesIO, **_: object) -> None:
        drawn.append(figure)
        file.write(f"figure {len(drawn) - 1}".encode())

    out, err = io.StringIO(), io.StringIO()
    here = Path.cwd()
    with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        patch.setattr(Figure, "savefig", keep)
        patch.setenv("COLUMNS", "2000")
        patch.delenv("FORCE_COLOR", raising=False)
        os.chdir(folder)
        try:
            status = main(arguments)
        finally:
            os.chdir(here)
    found = folder / into if (folder / into).is_dir() else folder
    figures = {}
    for path in found.glob("*.svg"):
        number = re.fullmatch(rb"figure (\d+)", path.read_bytes())
        if number and int(number[1]) < len(drawn):
            figures[path.stem] = drawn[int(number[1])]
    return Run(status, out.getvalue(), err.getvalue(), found, figures)


@pytest.fixture(scope="session")
def garage(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garage]:
    return Garage(tmp_path_factory.mktemp("garage"))


# Inches tell more: in mm a factor that is left out is not missed. A short run has mm where a test names it.
@pytest.fixture(params=[pytest.param("mm", marks=pytest.mark.campaign), "in"])
def unit(request: pytest.FixtureRequest) -> str:
    return str(request.param)

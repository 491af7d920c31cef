"""A whole report, from what was solved to the file, against drawing the figures that it holds."""

import tempfile
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from benchmarks.timing import Row, best_of
from kinematics.car.lengths import LengthUnit
from kinematics.inputs.demo_cars import DEMO_CARS, demo_text
from reports.command_line import parsed
from reports.commands.car_and_limits import read_with_limits
from reports.commands.report import written_report
from reports.commands.sweep import sweep_job
from reports.outputs.output import ink
from reports.paper.blocks import Document
from reports.paper.contents import contents
from reports.paper.inked import all_on_pages
from reports.paper.solved import Asked, solve_report

_CAR = "rear-drive-saloon"


def rows(quick: bool) -> Iterator[Row]:
    """Two rows: the saloon's report as PDF and as HTML, its figures drawn in the same format."""
    document, unit = _document()
    pictures = document.pictures
    figures = {
        ".pdf": lambda: all_on_pages(pictures),
        ".html": lambda: [ink(one.draw, "svg") for one in pictures],
    }
    for ending, drawing in figures.items():
        writing = partial(written_report, document, ending, "a4", unit)
        times = best_of(1 if quick else 5, 1, writing, drawing)
        about = f"{len(pictures)} figures; solved before"
        yield Row(f"a report ({ending}) of the demo saloon", *times, about, against="drawing its figures")


def _document() -> tuple[Document, LengthUnit]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / DEMO_CARS[_CAR]
        path.write_text(demo_text(DEMO_CARS[_CAR]), encoding="utf-8")
        options = parsed(["report", str(path), "report.pdf"])
        car, limits = read_with_limits(options)
        solved = solve_report(car, limits, sweep_job(options, car, limits), Asked([], [], "", {}), [str(path)], "")
        return contents(solved, ""), car.unit

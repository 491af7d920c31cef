"""One cold sweep from the command line, in a new process, against loading the libraries that it uses."""

import io
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from benchmarks.timing import Row, best_of, shortest
from kinematics.doubt.solved_car import SolvedAxle, solve
from kinematics.inputs.demo_cars import demo_car, demo_text
from reports.command_line import parsed
from reports.commands.sweep import sweep_job
from reports.outputs.output import Output
from reports.outputs.sweep_files import axle_outputs

_LIBRARIES = (
    "numpy, scipy.optimize, matplotlib.figure, matplotlib.backends.backend_agg, pydantic, tomlkit, rich.console"
)
_PROGRAM = "import sys; from reports.command_line import main; sys.exit(main())"


def rows(quick: bool) -> Iterator[Row]:
    """One row: the demo car's front axle, all tables and figures."""
    with tempfile.TemporaryDirectory() as folder:
        car = Path(folder) / "car.toml"
        car.write_text(demo_text(), encoding="utf-8")
        words = ("sweep", str(car), str(Path(folder) / "out"), "--replace")
        times = best_of(
            1 if quick else 5, 1, lambda: run_cold(_PROGRAM, *words), lambda: run_cold(f"import {_LIBRARIES}")
        )
    yield Row(
        "a cold `cornersweep sweep` of the demo car",
        *times,
        _shares(words, 1 if quick else 3),
        against="loading its libraries",
    )


def run_cold(program: str, *words: str) -> None:
    """Run a program in a new Python; RuntimeError with what it said if it ends with more than 1."""
    done = subprocess.run([sys.executable, "-c", program, *words], capture_output=True, check=False)
    # A car outside its limits ends with 1.
    if done.returncode not in (0, 1):
        raise RuntimeError(done.stderr.decode())


def _shares(words: Sequence[str], repeats: int) -> str:
    """What the rest of the time goes into, measured in this process, where all is loaded."""
    car = demo_car()
    job = sweep_job(parsed(words), car)
    files = axle_outputs(car, car.front, job, car.limits, "png")
    tables, figures = ([one for one in files if one.name.endswith(ending)] for ending in (".csv", ".png"))
    (solved,) = solve(car, job, car.limits).axles
    solving = shortest(lambda: solve(car, job, car.limits), repeats)
    writing, drawing = (shortest(lambda some=some: _written(some, solved), repeats) for some in (tables, figures))
    return (
        f"warm, {1e3 * solving:.0f} ms go into solving, {1e3 * writing:.0f} ms into {len(tables)} tables and "
        f"{1e3 * drawing:.0f} ms into {len(figures)} figures"
    )


def _written(files: list[Output[SolvedAxle]], solved: SolvedAxle) -> None:
    for file in files:
        file.fill(solved, io.BytesIO())

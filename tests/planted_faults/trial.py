"""A copy of the tree in which faults are planted and tests run, each run in a process of its own."""

import importlib
import itertools
import os
import resource
import shutil
import sys
from pathlib import Path
from typing import NoReturn

ROOT = Path(__file__).parents[2]
PACKAGES = ("solvers", "kinematics", "reports")
_COPIED = (*PACKAGES, "tests", "benchmarks", "pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE")
_SECONDS = itertools.count(1_000_000_000)
# s of the processor: a fault that makes a loop endless has been noticed
_MOST_WORK, _MOST_OF_CAMPAIGN = 240, 1800
_NOTHING_TO_RUN = 5  # pytest's exit code where all that was named waits for the campaign
# What every test needs and no fault touches is loaded once, before processes part.
_LOADED = (
    "numpy", "scipy.stats", "scipy.optimize", "scipy.interpolate", "scipy.spatial.transform", "pytest", "hypothesis",
    "matplotlib.figure", "matplotlib.backends.backend_agg", "matplotlib.backends.backend_svg", "pydantic", "tomlkit",
    "rich.table", "rich.progress", "reportlab.platypus", "pypdf",
)  # fmt: skip


def load() -> None:
    """Load what all runs share; one core a run, as in every run of the tests, and what is compiled is kept."""
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    # What is compiled once serves all runs but for the file with the fault: a tenth of the time.
    sys.dont_write_bytecode = False
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    for name in _LOADED:
        importlib.import_module(name)


def copied(copy: Path) -> None:
    """Copy the tree."""
    copy.mkdir()
    for name in _COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        elif source.exists():
            shutil.copy(source, copy / name)


def put(file: Path, text: str) -> None:
    """Write a file at a second of its own: Python takes what it has compiled for current by size and second."""
    file.write_text(text, encoding="utf-8")
    second = next(_SECONDS)
    os.utime(file, (second, second))


def passes(copy: Path, tests: list[str], *, campaign: bool = False) -> bool:
    """Whether tests pass in the copy as it stands: those of a short run, or all of a campaign."""
    child = os.fork()
    if child == 0:
        _run(copy, tests, campaign=campaign)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) in (0, _NOTHING_TO_RUN)


def _run(copy: Path, tests: list[str], *, campaign: bool) -> NoReturn:
    """Run tests in this process and end it."""
    status = 1
    try:
        most = _MOST_OF_CAMPAIGN if campaign else _MOST_WORK
        resource.setrlimit(resource.RLIMIT_CPU, (most, most))
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        os.chdir(copy)
        os.environ["PYTHONPATH"] = str(copy)
        sys.path[:] = [str(copy), *(one for one in sys.path if Path(one or ".").resolve() != ROOT)]
        for name in [one for one in sys.modules if one.split(".")[0] in (*PACKAGES, "tests", "benchmarks")]:
            del sys.modules[name]
        importlib.invalidate_caches()
        pytest = importlib.import_module("pytest")
        early = "ignore::pytest.PytestAssertRewriteWarning"  # of what was loaded before
        whole = ["--campaign", "--hypothesis-seed=1"] if campaign else []
        status = int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-W", early, *whole, *tests]))
    finally:
        os._exit(status)

"""What is tried, kept in a plan file of its own beside the car as it is done, so that it outlives page and server."""

from pathlib import Path

from kinematics.inputs.plans.plan_text import plan_text
from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.planning.plan import Plan
from reports.documents.amounts import Record
from reports.page.bench import OpenCar
from reports.page.plan_store import read_kept
from reports.page.trial import Asked, entries_of, plan_of
from reports.page.written_back import write_back

_HEAD = "What was last tried on the page and not kept; it goes when nothing is tried."
_NAME = "tried on the page"


class Tried(Asked):
    """What is tried, and the version of the file that the page knows."""

    seen: str


def trial_beside(car_file: Path) -> Path:
    """Where what is tried is kept: beside the car, named after it."""
    return car_file.with_name(f"{car_file.stem}_trial.toml")


def read_trial(path: Path, opened: OpenCar) -> Record:
    """What was tried last, nothing where there is no file; InputFaultError where it does not fit the car any more."""
    kept = read_kept(path, opened.car)
    plan = kept.file.plans[0] if kept.file.plans else Plan(_NAME)
    return {"seen": kept.version, **entries_of(plan, opened.car.unit)}


def keep_trial(path: Path, opened: OpenCar, asked: Tried) -> Record:
    """Keep what is tried, whole or not at all; InputFaultError where another page has tried something meanwhile."""
    there = read_trial(path, opened)
    if there["seen"] != asked.seen:
        text = "another page has tried something else meanwhile; nothing of it is written over"
        raise InputFaultError(str(path), [Fault("", text)])
    if asked.changes or asked.align:
        write_back(path, plan_text([plan_of(opened, asked, _NAME)], (), opened.car.unit, [_HEAD]))
    else:
        path.unlink(missing_ok=True)
    return read_trial(path, opened)

"""What can be taken along from the page: files, tables and figures, by parcels; a new kind is an entry of PARCELS."""

import argparse
import io
import threading
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from kinematics.doubt.assessment import Assessment
from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.sweeps.asked import made_ready, over_working
from reports.commands.car_and_limits import written_so
from reports.commands.doubt import DoubtFiles, assess_car, question_of, traced, usually_asked_about
from reports.commands.report import taken_up, written_report
from reports.commands.sweep import SweepFiles, solve_car, sweep_job
from reports.documents.amounts import Record
from reports.outputs.doubt_files import AssessedAxle
from reports.outputs.lean_files import LeanFound, lean_outputs
from reports.outputs.output import Output
from reports.page.bench import Bench, OpenCar
from reports.page.leaning import lacks, shelf_beside
from reports.page.plan_store import read_kept
from reports.page.surveying import survey_beside
from reports.page.trial_store import trial_beside
from reports.shared_options import USUAL_SWEEP

_DRAWING = "pdf"
_DRAWS = 1000
_INK = threading.Lock()  # Matplotlib draws for one at a time
_USUAL = argparse.Namespace(**USUAL_SWEEP)


@dataclass(frozen=True)
class Taken:
    """One file to be taken: its name, and what fills it when it is asked for."""

    name: str
    fill: Callable[[BinaryIO], None]


@dataclass(frozen=True)
class Parcel:
    """Files that belong together; taken: those that there are of a car, none where there is nothing to tell."""

    key: str
    title: str
    taken: Callable[[Bench, OpenCar], Sequence[Taken]]


def parcels(bench: Bench, opened: OpenCar) -> Record:
    """Every parcel with the names of its files; one archive of all, where they are several."""
    told = []
    for parcel in PARCELS:
        names = [one.name for one in parcel.taken(bench, opened)]
        if names:
            archive = [_archive(parcel)] if len(names) > 1 else []
            told.append({"key": parcel.key, "title": parcel.title, "files": [*archive, *names]})
    return {"parcels": told}


def content(bench: Bench, opened: OpenCar, key: str, name: str) -> bytes:
    """A file's whole content; InputFaultError where there is none of that name."""
    parcel = next((one for one in PARCELS if one.key == key), None)
    own = {one.name: one for one in parcel.taken(bench, opened)} if parcel is not None else {}
    with _INK:
        if parcel is not None and own and name == _archive(parcel):
            return _packed(list(own.values()))
        if name not in own:
            raise InputFaultError("the page", [Fault("", "there is no such file to be taken")])
        return _filled(own[name])


def _archive(parcel: Parcel) -> str:
    return f"{parcel.key}.zip"


def _filled(one: Taken) -> bytes:
    file = io.BytesIO()
    one.fill(file)
    return file.getvalue()


def _packed(files: Sequence[Taken]) -> bytes:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for one in files:
            archive.writestr(one.name, _filled(one))
    return whole.getvalue()


def _of(outputs: Sequence[Output[Any]], solved: Callable[[], object]) -> list[Taken]:
    """Files that are filled from what is solved once they are asked for."""

    def filling(output: Output[Any]) -> Callable[[BinaryIO], None]:
        return lambda file: output.fill(solved(), file)

    return [Taken(one.name, filling(one)) for one in outputs]


def _files(bench: Bench, opened: OpenCar) -> list[Taken]:
    del opened
    there = [bench.path, bench.plans, bench.means, shelf_beside(bench.path), survey_beside(bench.path)]
    there += [trial_beside(bench.path), *([bench.limits] if bench.limits is not None else [])]

    return [Taken(path.name, _copying(path)) for path in there if path.exists()]


def _copying(path: Path) -> Callable[[BinaryIO], None]:
    def copy(file: BinaryIO) -> None:
        file.write(path.read_bytes())

    return copy


def _once(bench: Bench, key: tuple[str, str], solve: Callable[[], Any]) -> Any:
    """What was solved of a version of the car, kept for its next file; the sliders do not wait for it."""
    if key not in bench.solved:
        bench.solved.clear()
        bench.solved[key] = solve()
    return bench.solved[key]


def _sweeps(bench: Bench, opened: OpenCar) -> list[Taken]:
    car, limits = opened.car, opened.limits
    files = SweepFiles.of(car, sweep_job(_USUAL, car, limits), limits, _DRAWING)

    def solved() -> Any:
        return _once(bench, ("swept", opened.version), lambda: solve_car(car, files.job, limits))

    taken = [one for i, own in enumerate(files.axles) for one in _of(own, lambda i=i: solved().axles[i])]  # type: ignore[misc]
    return [*taken, *_of(files.car, solved)]


def _doubts(bench: Bench, opened: OpenCar) -> list[Taken]:
    car, limits = opened.car, opened.limits
    files = DoubtFiles.of(car, limits, Path(), _DRAWING)

    def assessed(i: int) -> AssessedAxle:
        def solve() -> list[Assessment]:
            asked = over_working(limits.working)
            ready = {axle.name: made_ready(axle, *asked, *question_of(axle, limits).asked) for axle in car.axles}
            return assess_car(car, limits, _DRAWS, 1, ready)

        found = _once(bench, ("assessed", opened.version), solve)[i]
        return AssessedAxle(found, traced(found, usually_asked_about()))

    return [one for i, own in enumerate(files.axles) for one in _of(own, lambda i=i: assessed(i))]  # type: ignore[misc]


def _leans(bench: Bench, opened: OpenCar) -> list[Taken]:
    if lacks(opened):
        return []
    key = ("lean sheet", opened.version)
    outputs = lean_outputs(opened.car, _DRAWING)
    return _of(outputs, lambda: _once(bench, key, lambda: LeanFound.of(opened.car, opened.limits.working)))


def _reports(bench: Bench, opened: OpenCar) -> list[Taken]:
    def filling(ending: str) -> Callable[[BinaryIO], None]:
        def fill(file: BinaryIO) -> None:
            from reports.paper.contents import contents

            file.write(written_report(contents(_reported(bench, opened)), ending, None, opened.car.unit))

        return fill

    return [Taken(f"{bench.path.stem}_report{ending}", filling(ending)) for ending in (".html", ".pdf")]


def _reported(bench: Bench, opened: OpenCar) -> Any:
    """What the command `report` solves, with the plans that are kept."""
    from reports.paper.solved import Asked, solve_report

    kept = read_kept(bench.plans, opened.car)
    car, limits = written_so(opened.car, fractions=kept.file.fractions), opened.limits
    asked = Asked(kept.file.plans, kept.file.rules, "", taken_up(kept.file.plans, [str(bench.plans)]))
    job = sweep_job(_USUAL, car, limits)
    return _once(
        bench,
        ("report", f"{opened.version} {kept.version}"),
        lambda: solve_report(car, limits, job, asked, bench.files, str(bench.means)),
    )


# In the order in which they are shown.
PARCELS: list[Parcel] = [
    Parcel("report", "All of it in one file, to print or to hand on", _reports),
    Parcel("files", "The files of this car", _files),
    Parcel("sweeps", "Curves and tables, as measured", _sweeps),
    Parcel("doubt", "How far to trust the numbers", _doubts),
    Parcel("lean", "Springs and lean", _leans),
]

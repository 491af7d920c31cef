"""What the page has open: a car on its bench, or nothing yet, and then what can be begun with.

A blank or a demo car is written into a file that its owner names, in the folder where the command was started.
"""

import re
import threading
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from kinematics.car.lengths import UNITS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.blank_file import blank_car_file
from kinematics.inputs.demo_cars import DEMO_CARS, DEMO_MEANS, DEMO_PLANS, DEMO_SHELVES, DEMO_SURVEYS, demo_text
from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from kinematics.inputs.reading.file_fields import Table
from kinematics.inputs.reading.plain_text import escaped
from reports.documents.amounts import Record
from reports.outputs.safe_write import write_content
from reports.page.bench import Bench
from reports.page.surveying import Fitted, blank_survey, survey_beside
from reports.page.table_import import PointTable, imported

_PLAIN = re.compile(r"[^/\\:*?\"<>|\x00-\x1f\x7f.][^/\\:*?\"<>|\x00-\x1f\x7f]*")
_LONGEST = 80
_BESIDE = {"plans": DEMO_PLANS, "means": DEMO_MEANS, "shelf": DEMO_SHELVES, "survey": DEMO_SURVEYS}
_ABOUT = {
    "hill-climb-hatchback": "struts in front; how far may it be lowered?",
    "lowered-coupe": "struts in front, lowered; its roll centre is under the ground",
    "rear-drive-saloon": "wishbones and a live axle, with weights, springs and bars",
    "five-link-tourer": "five links at the rear",
}


class Begun(Table):
    """What to begin with, a blank or a survey of a suspension type, or a demo car, and the car file that it is for."""

    what: Literal["blank", "survey", "demo"]
    which: str
    file: Annotated[str, Field(max_length=_LONGEST)]
    units: Literal["mm", "in"] = "mm"
    axle: Literal["front", "rear"] | None = None


@dataclass
class Desk:
    """A bench once there is one.

    folder: where files that are begun go; beside: limits, plans and means where options name them.
    """

    bench: Bench | None = None
    folder: Path = field(default_factory=Path)
    beside: tuple[Path | None, ...] = ()
    writing: threading.Lock = field(default_factory=threading.Lock)

    @property
    def on_it(self) -> Bench:
        """The bench; InputFaultError where no car is open yet."""
        if self.bench is None:
            raise InputFaultError("the page", [Fault("", "no car is open yet: choose one to begin with")])
        return self.bench


def choices(desk: Desk) -> Record:
    """What can be begun with, and where it goes."""
    kinds = [
        {"name": name, "words": kind.title, "axle": "front" if kind.rack else "rear"}
        for name, kind in SUSPENSIONS.items()
    ]
    demos = [{"name": name, "words": f"{name.replace('-', ' ')}: {_ABOUT[name]}"} for name in DEMO_CARS]
    return {
        "folder": escaped(str(desk.folder.resolve())),
        "file": _free_name(desk.folder),
        "kinds": kinds,
        "demos": demos,
    }


def begin(desk: Desk, asked: Begun) -> Record:
    """Write a blank or a demo car, never over what is there, and open it."""
    _refuse_another(desk)
    path = desk.folder / plain_name(asked.file)
    texts = _texts(asked, path)
    _refuse_there([path, *texts])
    for one, text in texts.items():
        write_content(one, text)
    desk.bench = Bench(path, *desk.beside)
    return {"file": escaped(path.name)}


class TableBegun(PointTable):
    """A table of points, and the car file that it goes into."""

    file: Annotated[str, Field(max_length=_LONGEST)]


def begin_from_table(desk: Desk, asked: TableBegun) -> Record:
    """Write a car file from a table of points, never over what is there, and open it."""
    _refuse_another(desk)
    path = desk.folder / plain_name(asked.file)
    _refuse_there([path])
    imported(asked, path)
    desk.bench = Bench(path, *desk.beside)
    return {"file": escaped(path.name)}


def _refuse_another(desk: Desk) -> None:
    if desk.bench is not None:
        raise InputFaultError("the page", [Fault("", f"{desk.bench.path.name} is open already: load the page anew")])


def _refuse_there(paths: Iterable[Path]) -> None:
    there = [Fault(one.name, "is there already; choose another name") for one in paths if one.exists()]
    if there:
        raise InputFaultError("nothing written", there)


def plain_name(written: str) -> str:
    """A plain file name: no other folder can be named."""
    name = written.strip()
    if not _PLAIN.fullmatch(name):
        raise InputFaultError(
            "the page", [Fault("file", f"read {shown(written)}; a plain name is wanted: my_car.toml")]
        )
    return name if name.lower().endswith(".toml") else f"{name}.toml"


def _free_name(folder: Path) -> str:
    names = ("my_car.toml", *(f"my_car_{count}.toml" for count in range(2, 100)))
    return next((name for name in names if not (folder / name).exists()), "")


def _texts(asked: Begun, path: Path) -> dict[Path, str]:
    """What is written, by its file."""
    if asked.what == "demo":
        return _demo(asked.which, path)
    kind = SUSPENSIONS.get(asked.which)
    if kind is None:
        raise InputFaultError("the page", [Fault("which", f"read {shown(asked.which)}; there is no such type")])
    axle = asked.axle or ("front" if kind.rack else "rear")
    if asked.what == "survey":
        return {survey_beside(path): blank_survey(kind.name, asked.units, axle)}
    return {path: blank_car_file(kind, UNITS[asked.units], axle)}


def _demo(which: str, path: Path) -> dict[Path, str]:
    """The car and what goes with it, each beside it and named after it."""
    if which not in DEMO_CARS:
        raise InputFaultError("the page", [Fault("which", f"read {shown(which)}; there is no such demo car")])
    texts = {path: demo_text(DEMO_CARS[which])}
    for ending, there in _BESIDE.items():
        if which in there:
            texts[path.with_name(f"{path.stem}_{ending}.toml")] = demo_text(there[which])
    return texts


def fitted(desk: Desk, asked: Fitted) -> Record:
    """Write what a survey's fit found into a new car file beside it, and open that."""
    from reports.page.survey_verdict import survey_fitted  # loads slowly

    bench = desk.on_it
    path = bench.path.with_name(plain_name(asked.file))
    survey_fitted(survey_beside(bench.path), path, asked)
    if path != bench.path:
        desk.bench = Bench(path, *desk.beside)
    return {"file": escaped(path.name)}

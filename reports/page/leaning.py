"""The car in balance in a corner, as measured and as tried, and the springs and bars that lie there to be tried."""

import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Annotated

from pydantic import Field

from kinematics.car.units import Units
from kinematics.inputs.plans.means_file import read_means
from kinematics.inputs.plans.shelf_file import read_shelf
from kinematics.loads.load_numbers import UNDER_LOAD
from kinematics.loads.readiness import Need, NotReadyError, refuse_unready
from kinematics.loads.report import MOST_G, whole_car
from kinematics.loads.shelf import BarChoice, SpringChoice
from kinematics.loads.under_load import Manoeuvre, UnderLoad, raised_from_rest
from kinematics.planning.settling import rigged
from reports.documents.amounts import Record
from reports.page.bench import Bench, OpenCar
from reports.page.trial import Asked, plan_of
from reports.words.lean import lack_words, told_of
from reports.words.numbers import shown
from reports.words.under_load import HOW_UNDER_LOAD, under_load_words


class Corner(Asked):
    """The lateral acceleration asked for [g], and what is tried."""

    lateral: Annotated[float, Field(gt=0.0, le=MOST_G, allow_inf_nan=False)]


def leaning(bench: Bench, opened: OpenCar, asked: Corner) -> Record:
    """Every number in the corner, as measured and as tried; what the car lacks for it, where it lacks something."""
    corner = (Manoeuvre(asked.lateral),)
    try:
        key = ("leaning", asked.lateral)
        measured = bench.kept(opened, key, lambda: raised_from_rest(whole_car(opened.car), corner))
        tried = _tried(bench, opened, asked, corner)
    except NotReadyError as found:
        return {"lacks": _lacks_words(found)}
    last = tried or measured
    return {
        "rows": list(_rows(measured, tried, opened)),
        "words": under_load_words(last),
        "how": HOW_UNDER_LOAD,
        "stands": _stands(last, opened),
    }


def _tried(bench: Bench, opened: OpenCar, asked: Corner, corner: tuple[Manoeuvre, ...]) -> UnderLoad | None:
    """As tried; None where nothing is, or where it cannot be built."""
    if not asked.changes and not asked.align:
        return None
    plan = plan_of(opened, asked)
    after = bench.carried_out(opened, plan)
    if any(one.refusals for one in after.values()):
        return None
    found = rigged(opened.car, after, plan.changes, opened.springs)
    return raised_from_rest(found.car, corner, found.ballast)


def _rows(measured: UnderLoad, tried: UnderLoad | None, opened: OpenCar) -> Iterator[Record]:
    """Title, place, unit, and the number as measured and as tried, at the end or at the last balance before it."""
    for number in (one for one in UNDER_LOAD if one.in_table):
        for place, values in number.by_place(measured).items():
            found = [(values, measured)]
            if tried is not None:
                found.append((number.by_place(tried)[place], tried))
            ends = [float(own[0, one.last[0]]) for own, one in found]
            if not any(map(math.isfinite, ends)):
                continue  # of braking or driving
            words = [shown(end, number.dimension, opened.car.unit) if math.isfinite(end) else "none" for end in ends]
            unit = number.dimension.unit(opened.car.unit)
            yield {"key": number.key, "title": number.title, "place": place, "unit": unit, "words": words}


def _stands(found: UnderLoad, opened: OpenCar) -> Record:
    """Where the sliders stand when the body stands so over an axle."""
    at, unit = found.last[0], opened.car.unit
    told: Record = {}
    for i, axle in enumerate(("front", "rear")):
        # The drawing's tyres do not squash: what they add is left out.
        roll, heave = float(found.in_springs[i, 0, at]), -float(found.shaped(found.found.travel)[i, :, 0, at].mean())
        told[axle] = {"heave": round(unit.from_mm(heave), 4), "roll": round(math.degrees(roll), 4)}
    return told


def lacks(opened: OpenCar) -> Record:
    """What the car file has to tell before the car leans; boxes: whether the page has a box for all of it."""
    try:
        refuse_unready(opened.car)
    except NotReadyError as found:
        return {"lacks": _lacks_words(found), "boxes": Need.BOTH_AXLES not in {one.need for one in found.lacks}}
    return {"lacks": "", "boxes": True}


def _lacks_words(found: NotReadyError) -> str:
    """In words that stand beside the form's boxes, where it is all to be filled in; else what is wrong."""
    return f"lean needs {found}" if all(map(told_of, found.lacks)) else lack_words(found.lacks)


def at_hand(bench: Bench, opened: OpenCar) -> Record:
    """Springs and bars of the means file, and of the shelf file, beside the car: each fills one slider."""
    unit = Units(opened.car.unit)
    pieces = [
        _piece(*one.place, one.name, one.change.by / unit.rate)
        for one in (read_means(bench.means, opened.car).pieces if bench.means.exists() else ())
    ]
    shelf = shelf_beside(bench.path)
    if shelf.exists():
        read = read_shelf(shelf, opened.car)
        lists: list[tuple[str, str, Sequence[SpringChoice | BarChoice]]] = [
            ("front", "spring rate", read.front_springs),
            ("rear", "spring rate", read.rear_springs),
            ("front", "bar rate", read.front_bars),
            ("rear", "bar rate", read.rear_bars),
        ]
        pieces += [
            _piece(axle, what, one.name, one.rate / unit.rate)
            for axle, what, own in lists
            for one in own
            if _packed(one)
        ]
    return {"unit": unit.rate_symbol, "pieces": pieces, "files": [bench.means.name, shelf.name]}


def shelf_beside(car_file: Path) -> Path:
    """Where springs and bars are looked for."""
    return car_file.with_name(f"{car_file.stem}_shelf.toml")


def _packed(one: SpringChoice | BarChoice) -> bool:
    """Not a spring with a length of its own: packed to the height, only its rate counts."""
    return getattr(one, "free_length", None) is None


def _piece(axle: str, what: str, name: str, rate: float) -> Record:
    return {"axle": axle, "what": what, "name": name, "rate": float(f"{rate:.6g}")}

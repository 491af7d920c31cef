"""Damaged files: refused in words with exit status 2, or read to a sound result; never a traceback, and soon.

ROBUSTNESS_EXAMPLES=2000 in the environment makes a longer run of it. Four times as many as cars are drawn otherwise.
"""

import functools
import io
import os
import re
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from pypdf import PdfReader, PdfWriter

from kinematics import InputFaultError, demo_car
from kinematics.car.lengths import MM
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_file import read_car, read_limits
from kinematics.inputs.demo_cars import DEMO_CARS, DEMO_SHELVES, demo_text
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.inputs.plans.shelf_file import read_shelf
from kinematics.inputs.tables.doubt_file import doubt_text
from reports.sheet.measuring_sheet import measuring_sheet
from tests.command_line.free_linkage_text import as_free_linkage
from tests.robustness.mutants import damaged_bytes, damaged_keys
from tests.robustness.option_words import run
from tests.robustness.time_limits import NoEndError, time_limit
from tests.short_run import at_places

EXAMPLES = int(os.environ.get("ROBUSTNESS_EXAMPLES", 4 * settings().max_examples))
FUZZ = settings(max_examples=EXAMPLES, suppress_health_check=list(HealthCheck))
SECONDS = 20.0  # of work
COUPE = demo_text(DEMO_CARS["lowered-coupe"])
SALOON = demo_text(DEMO_CARS["rear-drive-saloon"])
TOURER = demo_text(DEMO_CARS["five-link-tourer"])
FREE = as_free_linkage(SUSPENSIONS["live axle with Watt linkage on the body"])
PLANS = demo_text("lowered_coupe_plans.toml")
SURVEY = demo_text("lowered_coupe_survey.toml")
SHELF = demo_text(DEMO_SHELVES["rear-drive-saloon"])
LIMITS = 'units = "mm"\n[limits]' + SALOON.split("[limits]")[1]

Result = tuple[object, str]


def by_command(*arguments: str) -> Result:
    ended = run(list(arguments))
    return ended.status, ended.told


def by_reader(read: Callable[[Path], object]) -> Callable[[Path], Result]:
    """Exit status as it would be, from reading alone: the quick way."""

    def result(path: Path) -> Result:
        try:
            with time_limit(SECONDS):
                read(path)
        except InputFaultError as fault:
            return 2, str(fault)
        return 0, ""

    return result


def show_too(path: Path) -> Result:
    """Read a car and, where it is one, print its numbers."""
    status, told = by_reader(read_car)(path)
    return (status, told) if status == 2 else by_command("show", str(path))


@functools.cache
def filled_sheet() -> bytes:
    content = measuring_sheet(SUSPENSIONS["strut"], MM, "front", "a4")
    writer = PdfWriter(clone_from=io.BytesIO(content))
    names = list(PdfReader(io.BytesIO(content)).get_fields() or {})
    for page in writer.pages:
        writer.update_page_form_field_values(page, dict.fromkeys(names, "184"), auto_regenerate=False)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


@functools.cache
def doubts() -> bytes:
    """A doubt file for the coupe, whose own doubts are equal and apart."""
    car = demo_car(DEMO_CARS["lowered-coupe"])
    return doubt_text({axle.name: axle.doubt for axle in car.axles if axle.doubt is not None}, car.unit).encode()


def with_doubts(path: Path) -> Result:
    stated = re.compile(r", (\w+_)?known_to = [\d.]+|^measured_to.*", re.MULTILINE)
    car = path.with_name("car.toml")
    car.write_text(f'doubt = "{path.name}"\n' + stated.sub("", COUPE), encoding="utf-8")
    return by_reader(lambda _: read_car(car))(path)


def imported(path: Path) -> Result:
    target = path.with_name("imported.toml")
    target.unlink(missing_ok=True)
    stated = ("--suspension", "strut", "--unit", "mm", "--ground", "0", "--camber", "-1", "--toe", "0")
    return by_command("import", str(path), str(target), *stated)


def from_sheet(path: Path) -> Result:
    target = path.with_name("from_sheet.toml")
    target.unlink(missing_ok=True)
    return by_command("sheet", "--filled-in", str(path), str(target))


def table() -> bytes:
    rows = ["name,ahead,out,up"]
    points = demo_car(DEMO_CARS["lowered-coupe"]).front.points
    rows += [",".join([key, *(f"{value:.1f}" for value in np.asarray(place)[0])]) for key, place in points.items()]
    return "\n".join(rows).encode()


# Each: a sound file, what to do with a damaged one, and whether it is TOML.
FILES: dict[str, tuple[Callable[[], bytes], Callable[[Path], Result], bool]] = {
    "car": (COUPE.encode, show_too, True),
    "car with springs": (SALOON.encode, show_too, True),
    "car on five links": (TOURER.encode, show_too, True),
    "free linkage": (FREE.encode, show_too, True),
    "plans": (PLANS.encode, by_reader(lambda path: read_plans([str(path)], demo_car())), True),
    "limits": (LIMITS.encode, by_reader(read_limits), True),
    "shelf": (SHELF.encode, by_reader(lambda path: read_shelf(path, demo_car(DEMO_CARS["rear-drive-saloon"]))), True),
    "survey": (SURVEY.encode, lambda path: by_command("survey", str(path)), True),
    "points": (table, imported, False),
    "doubts": (doubts, with_doubts, False),
    "sheet": (filled_sheet, from_sheet, False),
}
CASES = [(name, way) for name, (_, _, toml) in FILES.items() for way in (("bytes", "keys") if toml else ("bytes",))]


def misread(name: str, content: bytes, folder: Path) -> str:
    """What went wrong with a damaged file, "" for nothing."""
    path = folder / {"points": "points.csv", "doubts": "doubts.csv", "sheet": "sheet.pdf"}.get(name, "mutant.toml")
    path.write_bytes(content)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            status, told = FILES[name][1](path)
    except (Exception, NoEndError) as error:  # a traceback is what is looked for
        trace = error.__traceback__
        while trace is not None and trace.tb_next is not None:
            trace = trace.tb_next
        where = f"{trace.tb_frame.f_code.co_filename}:{trace.tb_lineno}" if trace is not None else ""
        return f"{type(error).__name__}: {str(error)[:300]} at {where}"
    if status not in (0, 1, 2):
        return f"status {status}: {told}"
    return "refused without a word" if status == 2 and not told.strip() else ""


@pytest.mark.parametrize("name", at_places(FILES, 0, 4, 8))
def test_the_sound_file_is_read(name: str, tmp_path: Path) -> None:
    path = tmp_path / {"points": "points.csv", "doubts": "doubts.csv", "sheet": "sheet.pdf"}.get(name, "sound.toml")
    path.write_bytes(FILES[name][0]())
    status, told = FILES[name][1](path)
    assert status in (0, 1), told


@pytest.mark.parametrize(("name", "way"), at_places(CASES, *range(0, len(CASES), 3)))
def test_damaged(name: str, way: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    sound, folder = FILES[name][0](), tmp_path_factory.mktemp("damaged")
    mutants = damaged_bytes(sound) if way == "bytes" else damaged_keys(sound.decode())

    @FUZZ
    @given(mutants)
    def damaged(content: bytes) -> None:
        wrong = misread(name, content, folder)
        assert not wrong, (wrong, content[:3000])

    damaged()

"""What was written down after a set-up, read back from its PDF or from the file that goes with it."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from kinematics.car.feet_and_inches import PLAIN_MARKS
from kinematics.car.lengths import UNITS
from kinematics.inputs.garage.set_up_readings import WrittenDown, read_set_up_file
from kinematics.inputs.reading.whole_file import whole_file_fault
from kinematics.setting.set_up import Entry, Measure, SetUp
from reports.sheet.handwriting import DEGREES, as_file_has_it
from reports.sheet.names import DOUBT
from reports.sheet.reader import read_blanks
from reports.sheet.set_up_names import list_of, read_set_up_keywords
from reports.words.set_up_numbers import TOES, unit_words

_PDF = ".pdf"


def read_written_down(path: Path) -> WrittenDown:
    """Read a filled-in sheet or file; InputFaultError says why it cannot be read."""
    return _from_pdf(path) if path.suffix.lower() == _PDF else read_set_up_file(path)


def _from_pdf(path: Path) -> WrittenDown:
    keywords, blanks = read_blanks(path)
    known = read_set_up_keywords(keywords)
    if known is None:
        raise whole_file_fault(path, "this PDF is no set-up sheet; `cornersweep setup` writes one to fill in")
    unit, sheet, cross, plan = known
    if not blanks:
        raise whole_file_fault(path, "its blanks are gone, as after printing into a new PDF; save it in the viewer")
    filled = {name: text for name, text in blanks.items() if text}
    values: dict[int, float | str] = {int(name): text for name, text in filled.items() if name.isdecimal()}
    doubts: dict[int, float | str] = {}
    for name, text in filled.items():
        number = name.removesuffix(DOUBT)
        if name.endswith(DOUBT) and number.isdecimal():
            # A row has one doubt, of its left and its right reading.
            doubts |= {one: text for one in (int(number), int(number) + 1) if one in values}
    return WrittenDown(str(path), sheet, plan, cross, unit, values, doubts)


def as_files_have_it(written: WrittenDown, entries: Sequence[Entry]) -> WrittenDown:
    """The same with what people write in boxes put as a file has it: feet and inches, decimal commas, units, dashes."""
    measures = {one.number: one.measure for one in entries}

    def put(number: int, value: float | str) -> float | str:
        if number not in measures or not isinstance(value, str):
            return value
        measure, unit = measures[number], written.unit
        length = _length_over_tyre(value) if measure in TOES else None
        if length is not None:
            return length
        others = [unit_words(measure, unit)] if measure is Measure.LOAD else DEGREES
        return as_file_has_it(value, unit if measure is Measure.HEIGHT else None, others)

    values, doubts = ({no: put(no, value) for no, value in one.items()} for one in (written.values, written.doubts))
    return replace(written, values=values, doubts=doubts)


def _length_over_tyre(value: str) -> str | None:
    """Toe that was written as a length with its unit, its number as a file has it; None where it is none."""
    plain = value.translate(PLAIN_MARKS).strip()
    unit = next((one for one in UNITS.values() if plain.lower().endswith(one.symbol)), None)
    unit = UNITS["in"] if unit is None and plain.endswith('"') else unit
    return None if unit is None else f"{as_file_has_it(plain, unit)} {unit.symbol}"


def refuse_other_sheet(written: WrittenDown, planned: SetUp, path: Path) -> None:
    """Raise InputFaultError where the sheet's numbers are not those of this set-up."""
    if written.unit.symbol != planned.car.unit.symbol:
        sheet, car = ("inches" if one.symbol == "in" else "mm" for one in (written.unit, planned.car.unit))
        text = f"this sheet is in {sheet}, the car file in {car}; write a new one"
        raise whole_file_fault(path, text)
    if written.sheet != list_of(planned):
        text = (
            f'this sheet asks for other numbers than "{planned.plan.name}" now has: the car file or the plan has '
            "changed since. Use the files that it was written from, or write a new sheet"
        )
        raise whole_file_fault(path, text)

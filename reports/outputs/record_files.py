"""The files of a car's record: what changed between states, each state's numbers, and the timeline."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.registry import QUANTITIES
from kinematics.record.between import Between, Solved
from kinematics.record.state import State
from reports.outputs.csv_files import write_rows
from reports.outputs.output import Output, drawn
from reports.words.record import dimension_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_NOT_TOLD = "a car file does not say how well it was measured"


@dataclass(frozen=True)
class SolvedRecord:
    """States, each solved by axle, and what changed between them; unit: in which all is told."""

    states: Sequence[State]
    solved: Sequence[Mapping[str, Solved]]
    compared: Sequence[Between]
    unit: LengthUnit


def record_outputs(drawing: str) -> list[Output[SolvedRecord]]:
    """Every file; drawing: the figure's ending."""

    def draw(found: SolvedRecord) -> "Figure":
        from reports.figures.timeline import timeline

        return timeline(found.states, found.solved, found.unit)

    return [
        Output("changes.csv", _write_changes),
        Output("states.csv", _write_states),
        Output(f"timeline.{drawing}", drawn(draw, drawing)),
    ]


_CHANGES = ("before", "after", "axle", "what", "way", "side", "unit", "was", "is", "change", "either_way_95", "note")


def _write_changes(found: SolvedRecord, file: BinaryIO) -> None:
    write_rows(_CHANGES, (row for one in found.compared for row in _changes(one, found.unit)), file)


def _changes(found: Between, unit: LengthUnit) -> Iterator[list[object]]:
    for one in (*found.points, *found.numbers):
        kind = dimension_of(one)
        scale = kind.scale(unit)
        what, way = (one.point, one.key) if one.point else (one.key, "")
        numbers: list[object] = [value * scale for value in (one.before, one.after, one.change)]
        doubt: list[object] = ["", _NOT_TOLD] if one.either_way_95 is None else [one.either_way_95 * scale, ""]
        head = [found.before.key, found.after.key, one.axle, what, way, one.side, kind.unit(unit)]
        yield [*head, *numbers, *doubt]
    for part in found.parts:
        scale = part.dimension.scale(unit)
        told = ["" if value is None else value * scale for value in (part.before, part.after)]
        change: object = "" if part.before is None or part.after is None else (part.after - part.before) * scale
        head = [found.before.key, found.after.key, part.axle, part.what, "", part.side, part.dimension.unit(unit)]
        yield [*head, *told, change, "", "" if change != "" else "one of the files does not tell it"]


def _write_states(found: SolvedRecord, file: BinaryIO) -> None:
    head = ("state", "date", "axle", "number", "side", "unit", "value", "either_way_95", "note")
    rows = (
        row for state, axles in zip(found.states, found.solved, strict=True) for row in _state(state, axles, found.unit)
    )
    write_rows(head, rows, file)


def _state(state: State, axles: Mapping[str, Solved], unit: LengthUnit) -> Iterator[list[object]]:
    for name, own in axles.items():
        for key, values in own.values.items():
            kind = QUANTITIES[key].dimension
            ways = own.either_way_95(key)
            known = np.full(values.size, np.nan) if ways is None else ways.reshape(-1)
            note = _NOT_TOLD if ways is None else ""
            for i, side in enumerate(SIDE_NAMES if QUANTITIES[key].per_side else ("",)):
                numbers = [float(one.reshape(-1)[i]) * kind.scale(unit) for one in (values, known)]
                yield [state.key, state.date, name, key, side, kind.unit(unit), *numbers, note]

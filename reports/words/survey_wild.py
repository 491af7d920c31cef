"""Why a fit is nothing that a car can have: what was fitted, and the readings from which that comes."""

from kinematics.car.lengths import LengthUnit
from kinematics.inputs.reading.faults import Fault
from kinematics.survey.explanations import Culprit
from kinematics.survey.judged import JudgedFit
from reports.words.readings import by_number
from reports.words.survey import told_readings
from reports.words.survey_told import SUSPECT, look_again_lines, suspect_lines
from reports.words.suspicious import LOOK_AGAIN

_MOST = 8  # readings of a point


def wild_words(fault: Fault, judged: JudgedFit) -> str:
    """What no car can have, with what it comes from: what is suspect, or else all that was read of the point."""
    said = f"as fitted, {fault.message}"
    named = [f"{SUSPECT} {_called(one)}" for one in judged.culprits if one.readings]
    named += [f"{SUSPECT} {' and '.join(map(str, one.curves))}" for one in judged.misfits]
    if judged.odd:
        named.insert(0, LOOK_AGAIN)
    if named:
        return _with(said, f"see {', '.join(named)} below")
    own = _readings_of(fault.key, judged)
    return _with(said, f"the readings agree, so look again at {own}") if own else said


def explaining_lines(judged: JudgedFit, unit: LengthUnit) -> list[str]:
    """What is to be looked at again and what is suspect, in full."""
    odd = [f"{LOOK_AGAIN}  {text}" for text in look_again_lines(judged, unit)]
    return [*odd, *(f"{SUSPECT}  {text}" for text in suspect_lines(judged, unit))]


def _with(said: str, more: str) -> str:
    return f"{said} {more[0].upper()}{more[1:]}" if said.endswith("?") else f"{said}; {more}"


def _called(culprit: Culprit) -> str:
    readings = (of for one in culprit.explanations for of in told_readings(one))
    return " or ".join(dict.fromkeys(by_number(one.number, one.name) for one in readings))


def _readings_of(key: str, judged: JudgedFit) -> str:
    """All that was read of the point that a key names, such as "front.points.strut_top.up"; "" where it names none."""
    words = key.split(".")
    point = words[words.index("points") + 1] if "points" in words[:-1] else ""
    readings = judged.fit.survey.readings
    own = [one for one in readings if point in {name.removeprefix("left ").removeprefix("right ") for name in one.of}]
    return ", ".join(by_number(judged.numbers.of(one), str(one)) for one in own[:_MOST])

"""Which number of the measuring sheet each reading of a survey has."""

from kinematics.car.car import SIDE_NAMES
from kinematics.survey.further_readings import asked_by_sheet, place_key
from kinematics.survey.reading_list import reading_list
from kinematics.survey.readings import Reading, Survey

_AS_LISTED = {"camber": "camber", "toe": "toe_in"}


class SheetNumbers:
    """The sheet's numbers, from 1, of a survey's readings and wheel angles; none where the sheet does not ask for it.

    What is read more than once has the same number each time, and where each side is measured by itself both sides
    have one.
    """

    def __init__(self, survey: Survey) -> None:
        self._survey = survey
        asked = (one for one in asked_by_sheet(survey) if one.reading is not None)
        self._known = {place_key(one.reading): one.number for one in asked if one.reading is not None}

    def of(self, reading: Reading) -> int | None:
        """The number of a reading."""
        return self._known.get(place_key(reading))

    def of_each(self) -> tuple[int | None, ...]:
        """The number of each of the survey's readings."""
        return tuple(self.of(one) for one in self._survey.readings)

    def of_wheel_angle(self, angle: str) -> dict[str, int]:
        """The number of "camber" or "toe" for each side."""
        kind = self._survey.axle.suspension
        if kind.listed:
            return {}
        entries = [one for one in reading_list(kind) if one.kind == _AS_LISTED.get(angle)]
        return {side: one.number for side in SIDE_NAMES for one in entries if one.of == (side,)}

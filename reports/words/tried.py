"""What is tried on paper in one or two sentences: where the roll centre then is, and how many checks hold."""

from kinematics.car.lengths import LengthUnit
from kinematics.planning.comparison import Outcome
from reports.words.compared import held_words, roll_centre
from reports.words.headline import standing_words
from reports.words.plans import refusal_words


def tried_words(outcome: Outcome, axle: str, unit: LengthUnit) -> str:
    """How the car fares after a plan; why it cannot be so, first, where it cannot."""
    if not outcome.numbers:
        return f"Tried on paper: cannot be built so: {refusal_words(outcome.troubles, unit)[0]}."
    standing = standing_words(roll_centre(outcome, axle), outcome.findings, axle, unit)
    so = "" if outcome.buildable else " Not to be built so."
    return f"Tried on paper:{so} {axle} {standing}; {held_words(outcome)}."

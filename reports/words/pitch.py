"""Words for a body that pitches."""

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from reports.words.numbers import told

PITCHED = (
    "the curves and tables are of the pitched body, about each axle's own place on the ground; what is told at ride "
    "height, the verdict and the side view are of the car as measured; the roll axis is of the body pitched about the "
    "middle between the axles"
)


def pitch_words(pitch: float, unit: LengthUnit) -> str:
    """How far a body is pitched [rad], and which way."""
    way = "nose down" if pitch > 0.0 else "nose up"
    return f"pitched {told(abs(pitch), Dimension.ANGLE, unit, sign=False)} {way}"

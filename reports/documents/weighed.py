"""The document of `weigh`: where the weight is, as weighed and as the car races."""

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.weighing.centre_of_gravity import HEIGHT, Weighed
from reports.documents.amounts import NOT_TOLD, Record, amount
from reports.words.weighed import TITLES


def weighed_document(as_weighed: Weighed, racing: Weighed, unit: LengthUnit) -> Record:
    """Both with each number's doubt; the height is null where no axle was raised."""
    return {"as_weighed": _weighed(as_weighed, unit), "ready_to_race": _weighed(racing, unit)}


def _weighed(found: Weighed, unit: LengthUnit) -> Record:
    numbers: list[Record] = []
    for key, (title, kind) in TITLES.items():
        known = found.values.get(key)
        head: Record = {"key": key, "title": title}
        if known is None:
            assert key == HEIGHT  # all others come from level pads
            numbers.append({**head, **amount(float("nan"), kind, unit, NOT_TOLD)})
        else:
            way = amount(known.either_way_95, kind, unit)["value"]
            numbers.append({**head, **amount(known.value, kind, unit), "either_way_95": way})
    wheels = [
        {"axle": axle, "side": side, **amount(float(found.load[i, j]), Dimension.MASS, unit)}
        for i, axle in enumerate(("front", "rear"))
        for j, side in enumerate(("left", "right"))
    ]
    return {"numbers": numbers, "wheels": wheels}

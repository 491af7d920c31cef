"""What the scales said, in words: where the weight is, how well that is known, and what to write into the car file."""

from collections.abc import Mapping

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.weighing.centre_of_gravity import HEIGHT, Known, Weighed
from reports.words.numbers import PLUS_MINUS, told
from reports.words.wrapped import wrapped

TITLES: Mapping[str, tuple[str, Dimension]] = {
    "total": ("the whole car", Dimension.MASS),
    "front_share": ("front axle's share", Dimension.PER_CENT),
    "left_share": ("left side's share", Dimension.PER_CENT),
    "cross_weight": ("cross-weight (front right, rear left)", Dimension.PER_CENT),
    "behind_front": ("centre of gravity: behind front wheels", Dimension.LENGTH),
    "aside": ("left of the middle", Dimension.LENGTH),
    "up": ("over the ground", Dimension.LENGTH),
}
_MASS_DIGITS = 1
HOW_SURE = (
    f"{PLUS_MINUS}: 95 % of such weighings, to first order, from the doubt of pads, lengths and lift; the car is taken "
    "as rigid, its springs blocked while one end is raised. What is added counts as exact."
)
SHARED_BY_LEVERS = (
    "Wheels share what is added by their distances from it; springs decide how much of it each takes across. For a "
    "cross-weight that counts, weigh with all aboard."
)
_NOT_SPRUNG = (
    "With both axles' `unsprung` and wheelbase in [body] there, the sprung mass's centre of gravity could be told too."
)
NOT_RAISED = "Its height takes a second weighing with one axle raised: [raised] in the scales file."


def known_words(key: str, known: Known, unit: LengthUnit) -> str:
    """A number with half of its 95 % interval."""
    kind = TITLES[key][1]
    digits = _MASS_DIGITS if kind is Dimension.MASS else None
    value = told(known.value, kind, unit, sign=key == "aside", decimals=digits)
    number, _, symbol = value.partition(" ")
    way = told(known.either_way_95, kind, unit, sign=False, decimals=digits).partition(" ")[0]
    return f"{number} {PLUS_MINUS} {way} {symbol}"


def weighed_headline(found: Weighed, unit: LengthUnit) -> list[str]:
    """Where the weight is, in one sentence."""
    said = {key: known_words(key, one, unit) for key, one in found.values.items()}
    text = (
        f"{said['total']}, {said['front_share']} on the front axle; cross-weight {said['cross_weight']}; centre of "
        f"gravity {said['behind_front']} behind the front wheels{f', {said[HEIGHT]} up' if HEIGHT in said else ''}."
    )
    return wrapped(text)


def for_the_car_words(weights: Mapping[str, Mapping[str, float]], gravity: Mapping[str, float] | None) -> list[str]:
    """Lines of a car file: weights of each axle, and the sprung mass's centre of gravity."""
    lines = [
        f"[{axle}.weights] {', '.join(f'{side} = {load:g}' for side, load in both.items())}"
        for axle, both in weights.items()
    ]
    if gravity is None:
        return [*lines, _NOT_SPRUNG]
    ways = ", ".join(f"{way} = {value:g}" for way, value in gravity.items())
    return [*lines, f"[body] centre_of_gravity = {{ {ways} }}   # of the sprung mass"]

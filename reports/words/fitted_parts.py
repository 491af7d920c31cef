"""What to fit where, a sentence for each change of a plan, in the order of work in a garage."""

from collections.abc import Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.planning.changes import Change
from reports.words.numbers import told_planned
from reports.words.plans import amount_words, part_words, place_words

# What is bolted and welded comes first, then what it carries; what is only set comes with the set-up itself.
_ORDER = (
    "inner pivots", "strut top", "point", "tie-rod inner", "rack raised", "link length", "longer ball joint",
    "tie-rod shim", "spring rate", "spring length", "cut coils", "spring spacer", "bar rate", "wheel spacer",
    "tyre radius", "ballast",
)  # fmt: skip
_SET = ("ride height",)


def fitting_steps(changes: Sequence[Change], unit: LengthUnit) -> list[str]:
    """A sentence for each change that is fitted, in order."""
    fitted = [one for one in changes if one.what not in _SET]
    return [fitting_words(one, unit) for one in sorted(fitted, key=lambda one: _ORDER.index(one.what))]


def fitting_words(change: Change, unit: LengthUnit) -> str:
    """What to do for one change."""
    side = {(1.0, 0.0): ", left", (0.0, 1.0): ", right"}.get(change.sides, "")
    return f"{change.axle[0].upper()}{change.axle[1:]}{side}: {_done(change, unit)}{part_words(change)}."


def _done(change: Change, unit: LengthUnit) -> str:
    far, up = told_planned(abs(change.by), unit), change.by >= 0.0
    point, lower = change.point.replace("_", " "), "lower" if up else "higher"
    packing = ("put packing of", "under") if up else ("take packing of", "from under")
    said = {
        "longer ball joint": f"fit a lower ball joint whose ball sits {far} {lower} in the upright",
        "tie-rod shim": f"shim the outer tie-rod end to sit {far} {lower} in the upright",
        "rack raised": f"fix the steering rack {far} {'higher' if up else 'lower'} on the body, both ends alike",
        "link length": f"make the link at {point} {far} {'longer' if up else 'shorter'}",
        "spring length": f"fit springs of the same rate, {far} {'longer' if up else 'shorter'} when free",
        "spring spacer": f"{packing[0]} {far} {packing[1]} the springs",
        "tyre radius": f"fit tyres of {far} {'more' if up else 'less'} loaded radius",
        "wheel spacer": f"set the wheels {far} {'out' if up else 'in'}, by spacers or other wheels",
    }
    if change.what in said:
        return said[change.what]
    rated = amount_words(change, unit)
    plain = {
        "spring rate": f"fit springs of {rated}",
        "bar rate": f"fit an anti-roll bar of {rated} at the arm end",
        "cut coils": f"shorten the springs {rated}",
        "ballast": f"fix ballast of {rated}{place_words(change, unit) or ' over this axle'}",
    }
    moved = {
        "inner pivots": "both inner pivots of the lower arm",
        "strut top": "the strut's top mount",
        "tie-rod inner": "the inner tie-rod joint",
        "point": point,
    }
    return plain[change.what] if change.what in plain else f"move {moved[change.what]} {_way(change, unit)}"


def _way(change: Change, unit: LengthUnit) -> str:
    """How far a point goes, and which way."""
    names = (("ahead", "back"), ("out", "in"), ("up", "down"))
    ways = zip(names, change.shift, strict=True)
    return ", ".join(f"{told_planned(abs(far), unit)} {way[far < 0.0]}" for way, far in ways if far)

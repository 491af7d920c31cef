"""What the page shows first: the car, the verdict on it in words, its axles, their sliders and curves."""

from collections.abc import Iterator

from kinematics.car.car import Axle
from kinematics.car.limits import COMMON_PRACTICE, FORCE_WEIGHTED, STATED, Limit
from kinematics.inputs.reading.plain_text import escaped
from kinematics.loads.report import MOST_G
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.body import stances
from reports.cautions import CAUTION
from reports.documents.amounts import Record, plain
from reports.page.bench import Bench, OpenCar
from reports.page.leaning import lacks
from reports.page.offers import offers
from reports.page.position import CURVES, as_measured, shown_beside
from reports.page.reach import sliders
from reports.page.verdict_words import verdict_record
from reports.page.views import frames
from reports.page.whole_side import other_axle
from reports.words.on_paper import paper_words
from reports.words.suspicious import look_again_words
from reports.words.verdict import MEANT_BY_FORCE_WEIGHTED, ranges_words


def look(bench: Bench, opened: OpenCar) -> Record:
    """The car as measured, in its owner's unit."""
    car = opened.car
    return {
        "version": opened.version,
        "car": {
            "name": escaped(car.name),
            "unit": car.unit.symbol,
            "in_mm": car.unit.in_mm,
            "file": escaped(bench.path.name),
        },
        "caution": CAUTION,
        "look_again": [escaped(one) for one in look_again_words([one.rest for one in opened.measured.axles], car.unit)],
        "notes": list(_notes(opened)),
        "verdict": verdict_record(opened),
        "leaning": {**lacks(opened), "most": MOST_G},
        "axles": [_axle(bench, opened, axle) for axle in car.axles],
    }


def _notes(opened: OpenCar) -> Iterator[str]:
    """What the checks do not say."""
    yield from paper_words(opened.car)
    findings = opened.measured.findings
    if findings:
        yield ranges_words(opened.limits.working, opened.car.unit)
    if any(one.limit.key == FORCE_WEIGHTED.key for one in findings):
        yield f"{QUANTITIES[FORCE_WEIGHTED.key].title.capitalize()}: {MEANT_BY_FORCE_WEIGHTED}."
    if any(one.limit.source != STATED for one in findings):
        yield f"* not in the file, but {COMMON_PRACTICE}."


def _axle(bench: Bench, opened: OpenCar, axle: Axle) -> Record:
    unit, limits = opened.car.unit, opened.limits.of(axle)
    rest = stances(bench.ready(axle, opened.reach), [0.0], [0.0])
    other = other_axle(opened.car, as_measured(opened), axle.name)
    there = None if other is None else stances(bench.ready(other.axle, opened.reach), [0.0], [0.0])
    return {
        "axle": axle.name,
        "suspension": axle.suspension.title,
        "frames": frames(rest, there, 0.0 if other is None else other.ahead),
        "doubt": axle.doubt is not None,
        "sliders": sliders(axle, opened.reach, unit),
        "numbers": {key: _known(key) for key in shown_beside(axle)},
        "offers": offers(opened.car, axle),
        "curves": [_curve(opened, key, limits) for key in CURVES],
    }


def _known(key: str) -> Record:
    """What is known of a number before it has a value."""
    known = QUANTITIES[key]
    return {"title": known.title, "meaning": "; ".join(filter(None, (known.meaning, known.sign)))}


def _curve(opened: OpenCar, key: str, limits: tuple[Limit, ...]) -> Record:
    """A number that curves show, and the range allowed where that is asked along travel or roll."""
    unit, known = opened.car.unit, QUANTITIES[key]
    scale = known.dimension.scale(unit)
    meaning = MEANT_BY_FORCE_WEIGHTED if key == FORCE_WEIGHTED.key else known.meaning
    allowed = {
        part: {"low": plain(limit.low, scale), "high": plain(limit.high, scale)}
        for limit in limits
        if limit.key == key
        for part in ("travel", "roll")
        if limit.along(part)
    }
    return {
        "key": key,
        "title": known.title,
        "unit": known.dimension.unit(unit),
        "sign": known.sign,
        "meaning": meaning,
        "allowed": allowed,
    }

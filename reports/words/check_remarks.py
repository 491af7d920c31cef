"""What a table of checks does not say of a car as measured: over what it was judged, what not, what a mark means."""

from collections.abc import Iterator

from kinematics.car.limits import COMMON_PRACTICE, FORCE_WEIGHTED, STATED, Limits
from kinematics.doubt.solved_car import MeasuredCar
from kinematics.numbers.registry import QUANTITIES
from reports.words.gaps import told_once
from reports.words.not_judged import BUMP_STEER, bump_steer_words
from reports.words.on_paper import as_it_is
from reports.words.verdict import MEANT_BY_FORCE_WEIGHTED, combined_words, ranges_words


def check_remarks(solved: MeasuredCar, limits: Limits, most: int | None = None) -> Iterator[str]:
    """Sentences, each a paragraph; most: reasons why not all can be reached."""
    unit, findings = solved.car.unit, solved.findings
    if findings:
        first = solved.axles[0]
        steer = first.rest.values.get(BUMP_STEER)
        named = [] if steer is None else [(as_it_is(solved.car), steer[:, 0].tolist())]
        yield from filter(None, [" ".join(bump_steer_words(first.axle, limits, named, unit))])
    yield from (combined_words(one.combined, unit) for one in solved.axles if one.combined is not None)
    if findings:
        yield ranges_words(limits.working, unit)
    if any(one.limit.key == FORCE_WEIGHTED.key for one in findings):
        yield f"{QUANTITIES[FORCE_WEIGHTED.key].short.capitalize()}: {MEANT_BY_FORCE_WEIGHTED}."
    if any(one.limit.source != STATED for one in findings):
        yield f"* not in the file, but {COMMON_PRACTICE}."
    reasons = told_once(reason for one in findings for reason in one.trouble)
    yield from (f"Not all can be reached: {reason}." for reason in reasons[:most])

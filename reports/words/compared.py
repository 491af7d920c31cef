"""A comparison's answer in words: the car as measured, the best plan, and what is tightest or in the way of each."""

import shlex
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE
from kinematics.doubt.planned import PlanSureness
from kinematics.finding.ranking import AS_SURE
from kinematics.inputs.reading.plain_text import shortened
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.comparison import Comparison, Outcome
from kinematics.planning.other_springs import told_by_no_car
from kinematics.planning.plan import AS_MEASURED, Plan
from reports.words.headline import NOT_SAID, find_line, height_words, in_two_lines, next_line, standing_words
from reports.words.numbers import PLUS_MINUS, per_cent, told
from reports.words.on_paper import as_it_is
from reports.words.plans import none_better_words, refusal_words
from reports.words.verdict import all_checks, check_name, runs_off, telling_decimals
from reports.words.wrapped import WIDTH

_SURE = 0.95
_LONG = 50  # characters of a rule, in a table
RANKED_BY = "checks that hold, then room in the tightest as a part of its range"
NOT_ROOM = "Stops, adjusters and joints only rule plans out; `find` counts the room to them."
Sure = Mapping[str, PlanSureness]  # by a plan's name


def comparison_headline(comparison: Comparison, sure: Sure, then: str) -> list[str]:
    """The answer in at most three lines: what ranks first; then: what to do next."""
    best = best_plan(comparison)
    none_better = f"{none_better_words(comparison).removesuffix('.')}{_surer_words(comparison, sure)}."
    most_room = best is not None and sum(map(holds_all, comparison.outcomes)) > 1
    return [*in_two_lines(_tries(comparison, sure, best, none_better, most_room=most_room)), then]


def _surer_words(comparison: Comparison, sure: Sure) -> str:
    """Which plan is clearly likelier to hold all than the car as measured, where that holds all too and ranks first."""
    holding = [one for one in comparison.outcomes if holds_all(one)]
    chances = {one.plan.name: found.chance for one in holding if (found := sure.get(one.plan.name)) is not None}
    known = {name: chance for name, chance in chances.items() if chance is not None}
    now, surest = known.get(AS_MEASURED.name), max(known, key=lambda name: known[name], default="")
    if now is None or known[surest] - now < AS_SURE:
        return ""
    return f'; "{shortened(surest, _LONG // 2)}" is surer to hold all ({per_cent(known[surest])})'


def chosen_headline(comparison: Comparison, sure: Sure, then: str, chosen: Outcome | None) -> list[str]:
    """The same of a plan that was chosen otherwise than by its rank; None: the means want the car as it is."""
    return [*in_two_lines(_tries(comparison, sure, chosen, wanted_words(comparison))), then]


def wanted_words(comparison: Comparison) -> str:
    """That the means want the car as it is."""
    return f"No plan of the means is wanted more than the car {as_it_is(comparison.car)}."


def next_after(comparison: Comparison, files: Sequence[str], means: str, tried: Sequence[str], *, found: bool) -> str:
    """What to do after a comparison: take the best plan, or look for a better one where nothing holds all.

    tried: the words of a command line that name the plans. found: whether `find` made them.
    """
    best = best_plan(comparison)
    if best is None or not holds_all(best):
        return next_without(comparison, files, means, found=found)
    command, *words = taking(best.plan, tried)
    full = next_line(command, files, *words)
    if command == "setup":
        return full
    short = [f"Next: the same with --write-car {shlex.quote(name)} after.toml" for name in (best.plan.name, "PLAN")]
    return next(line for line in (full, *short) if len(line) <= WIDTH)


def next_without(comparison: Comparison, files: Sequence[str], means: str, *, found: bool) -> str:
    """What to do where no plan that does better holds all: nobody is sent to `find` for what holds, nor back to it."""
    if holds_all(comparison.outcomes[0]) and any(axle.doubt is not None for axle in comparison.car.axles):
        return next_line("doubt", files)
    if found or holds_all(comparison.outcomes[0]):
        return next_line("influence", files[:1])
    return find_line(files, means, comparison.car.unit)


def taking(plan: Plan, tried: Sequence[str]) -> list[str]:
    """The words of the command that takes a plan up: as a car file or, where none tells it, as a sheet."""
    if told_by_no_car(plan.changes):
        return ["setup", *tried, "--plan", plan.name]
    return ["compare", *tried, "--write-car", plan.name, "after.toml"]


def best_plan(comparison: Comparison) -> Outcome | None:
    """The best plan that can be built, if it does better than the car as measured."""
    best = comparison.ranked[0]
    return best if best.buildable and best is not comparison.outcomes[0] else None


def holds_all(outcome: Outcome) -> bool:
    """Whether it can be built and there are limits, all of which hold."""
    return outcome.buildable and bool(outcome.findings) and outcome.holding == len(outcome.findings)


def _tries(
    comparison: Comparison, sure: Sure, best: Outcome | None, none_better: str, *, most_room: bool = False
) -> Iterator[str]:
    """Ways to say it, the fullest first. most_room: whether others hold all too, and room is why this one is told."""
    measured = comparison.outcomes[0]
    unit, axle = comparison.car.unit, comparison.car.axles[0].name
    now = f"{axle.capitalize()} {standing_words(roll_centre(measured, axle), measured.findings, axle, unit)}."
    short = f"{axle.capitalize()} {standing_words(roll_centre(measured, axle), (), axle, unit)}."
    if best is None:
        yield f"{now} {none_better}"
        yield f"{short} {none_better}"
        return
    if not best.buildable:
        yield f'{now} "{shortened(best.plan.name, _LONG // 2)}" cannot be built.'
        return
    after = height_words(roll_centre(best, axle), unit)
    held = f"{held_words(best)}{_chance(comparison, best, sure)}"
    how = _sure(sure.get(best.plan.name), axle, unit)
    for before in (now, short):
        for name in (best.plan.name, shortened(best.plan.name, _LONG // 2)):
            taken = f'{"Most room with" if most_room else "With"} "{name}"{":" if most_room else ""} {after}'
            yield f"{before} {taken}{how and f', give or take {how}'}; {held}."
            yield f"{before} {taken}{how and f' ({PLUS_MINUS} {how})'}; {held}."
            yield f"{before} {taken}; {held}."
    yield f'{short} With "{shortened(best.plan.name, _LONG // 2)}" {after}; {held_words(best)}.'


def held_words(outcome: Outcome) -> str:
    """How many checks hold."""
    count = len(outcome.findings)
    if not count:
        return "no limits are stated"
    if outcome.holding == count:
        return all_checks(count)
    return f"{outcome.holding} of {count} checks hold{'s' if outcome.holding == 1 else ''}"


def held_of(outcome: Outcome) -> str:
    """The same for a table: "3 of 5"."""
    return f"{outcome.holding} of {len(outcome.findings)}" if outcome.findings else "-"


def _chance(comparison: Comparison, best: Outcome, sure: Sure) -> str:
    """The chance with which all checks hold, if they do."""
    if not holds_all(best):
        return ""
    found = sure.get(best.plan.name)
    if found is not None and found.chance is not None:
        return f", chance {per_cent(found.chance)}"
    judged = {one.axle for one in best.findings}
    unknown = any(axle.doubt is None for axle in comparison.car.axles if axle.name in judged)
    return f"; {NOT_SAID}" if unknown else ""


def _sure(found: PlanSureness | None, axle: str, unit: LengthUnit) -> str:
    around = None if found is None else found.half_width.get(axle, {}).get(ROLL_CENTRE.key)
    if around is None or not np.isfinite(around).all():
        return ""
    return told(float(around.reshape(-1)[0]), Dimension.LENGTH, unit, sign=False)


def roll_centre(outcome: Outcome, axle: str) -> float:
    """Its height at ride height [mm], NaN where the plan has none."""
    return next(iter(outcome.values(axle, ROLL_CENTRE.key)), np.nan)


def roll_centre_words(outcome: Outcome, axle: str, unit: LengthUnit) -> str:
    """The same for a table, a dash where nothing could be solved."""
    return height_words(roll_centre(outcome, axle), unit) if outcome.numbers else "-"


def decides_words(outcome: Outcome, unit: LengthUnit, found: PlanSureness | None = None) -> str:
    """What decides about a plan: why it may not be built, else the check farthest out, least sure, or tightest.

    Few words, for a table; the axle is named where there are two. found: how sure it is, where that is known.
    """
    if outcome.troubles:
        return f"cannot be: {refusal_words(outcome.troubles, unit)[0].partition('; ')[0]}"
    if outcome.breaches and not all(one.allowed for one in outcome.breaches):
        broken = next(one for one in outcome.breaches if not one.allowed)
        return f'breaks a rule: "{shortened(broken.rule.words, _LONG)}"'
    if not outcome.findings:
        return "no limits are stated"
    worst = outcome.tightest
    if worst.holds and found is not None and found.each:
        chance, doubtful = min(((_of_each(one, found), one) for one in outcome.findings), key=lambda pair: pair[0])
        if chance < _SURE:
            return f"least sure, {per_cent(chance)}: {_named(doubtful, outcome)}"
    what = _named(worst, outcome)
    if worst.holds:
        return f"{_room(worst, unit)} of room left: {what}"
    if worst.margin >= 0.0:
        return f"not all of it can be reached: {what}"
    if runs_off(worst):
        return f"runs to infinity: {what}"
    low = worst.worst < worst.limit.low
    return f"{_room(worst, unit)} too {'low' if low else 'high'}: {what}"


def _of_each(finding: Finding, found: PlanSureness) -> float:
    """The chance that one limit holds; of one whose axle states no doubt, as if it were sure."""
    return found.each.get((finding.axle, finding.limit.key, finding.over), 1.0)


def _named(finding: Finding, outcome: Outcome) -> str:
    return f"{f'{finding.axle} ' if len(outcome.axles) > 1 else ''}{check_name(finding)}, {finding.over}"


def _room(finding: Finding, unit: LengthUnit) -> str:
    kind = QUANTITIES[finding.limit.key].dimension
    return told(abs(finding.margin), kind, unit, sign=False, decimals=telling_decimals(finding, unit))

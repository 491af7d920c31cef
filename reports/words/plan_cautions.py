"""Words of caution that belong to a kind of change, told wherever a plan makes one."""

from collections.abc import Iterator, Sequence

from kinematics.planning.plans import Plan

_OF = {
    "cut coils": (
        "Cut coils: never with a flame, and never at an end that is ground, tapered or tempered for its seat. The cut "
        "end must lie in a seat made for it; at full droop the spring must stay seated; bump stops must end the travel "
        "before the coils touch. Class rules and local law may forbid it; a spring made for that height is better."
    ),
}


def plan_cautions(plans: Sequence[Plan]) -> Iterator[str]:
    """Each caution once, of all kinds of change that these plans make."""
    made = {change.what for plan in plans for change in plan.changes}
    yield from (text for what, text in _OF.items() if what in made)

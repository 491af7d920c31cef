"""What makes a run short: which of a check's cases it has, all others for the campaign; and no figures unasked."""

from collections.abc import Iterable

import pytest
from _pytest.mark.structures import ParameterSet


def at_places(cases: Iterable[object], *places: int) -> list[ParameterSet]:
    """What to parametrize a test with: in a short run the cases at these places, counted from 0, else all of them.

    A tuple is the values of several arguments; where it is the value of one, it stands in another.
    """
    marked = []
    for place, case in enumerate(cases):
        values, marks, name = case if isinstance(case, ParameterSet) else (_values(case), (), None)
        resting = () if place in places else (pytest.mark.campaign,)
        marked.append(pytest.param(*values, marks=[*marks, *resting], id=name))
    return marked


def leave_undrawn(patch: pytest.MonkeyPatch) -> None:
    """Make no figures where a test looks at tables: they take most of a command's time."""
    patch.setattr("reports.outputs.output.ink", lambda *_: b"not drawn")


def _values(case: object) -> tuple[object, ...]:
    return tuple(case) if isinstance(case, tuple) else (case,)

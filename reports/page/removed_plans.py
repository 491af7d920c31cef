"""Plans that were taken out of the plan file on the page, so that each can be put back."""

from dataclasses import dataclass

from kinematics.planning.plan import Plan

_MOST = 20


@dataclass(frozen=True)
class Removed:
    """A plan, the plan file's text before it was taken out, and the version of the file after."""

    plan: Plan
    before: str
    version: str


class RemovedPlans:
    """The last ones, the newest at the end."""

    def __init__(self) -> None:
        self._kept: list[Removed] = []

    def add(self, one: Removed) -> None:
        """A plan was taken out."""
        self._kept = [*self._kept, one][-_MOST:]

    @property
    def last(self) -> Removed | None:
        """The one that is put back next."""
        return self._kept[-1] if self._kept else None

    def put_back(self) -> None:
        """The last one is in the file again."""
        self._kept.pop()

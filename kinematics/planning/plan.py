"""A plan: a named list of changes, and the alignment wanted after it."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from kinematics.planning.changes import Change


@dataclass(frozen=True)
class Targets:
    """Alignment asked for after a plan [rad], each wheel; None keeps what was measured."""

    camber: float | None = None
    toe: float | None = None

    def or_else(self, base: "Targets") -> "Targets":
        """Fill what is not asked for here from other targets."""
        camber = base.camber if self.camber is None else self.camber
        return Targets(camber, base.toe if self.toe is None else self.toe)


@dataclass(frozen=True, repr=False)
class Plan:
    """A named list of changes and the alignment wanted after it. why: the owner's own words."""

    name: str
    changes: tuple[Change, ...] = ()
    targets: Mapping[str, Targets] = field(default_factory=dict)
    why: str = ""

    def __repr__(self) -> str:
        return f"<plan {self.name!r}: {', '.join(map(repr, self.changes)) or 'nothing changed'}>"

    def on_top_of(self, base: "Plan") -> "Plan":
        """Return this plan with another's changes made before its own; its own alignment targets count first."""
        targets = dict(base.targets)
        for axle, own in self.targets.items():
            targets[axle] = own.or_else(targets.get(axle, Targets()))
        return replace(self, changes=base.changes + self.changes, targets=targets)


AS_MEASURED = Plan("as measured")

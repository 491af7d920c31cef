"""Springs and bars that lie there, and combinations of them in place of what is fitted."""

from dataclasses import dataclass
from math import prod

from kinematics.loads.shelf import AS_FITTED
from kinematics.planning.changes import Change
from solvers.vectors import Array

MOST_FITTINGS = 500
PLACES = tuple((axle, what) for what in ("spring rate", "bar rate") for axle in ("front", "rear"))
_PARTS = {"spring rate": "spring", "bar rate": "bar"}


@dataclass(frozen=True)
class Piece:
    """A pair of springs or a bar that lies there; change: "spring rate" or "bar rate" of its axle, its rate [N/mm]."""

    name: str
    change: Change
    price: float = 0.0
    hours: float = 0.0

    @property
    def place(self) -> tuple[str, str]:
        """The axle, and the kind of change: which of what is fitted it takes the place of."""
        return self.change.axle, self.change.what


@dataclass(frozen=True)
class Fitting:
    """One combination of springs and bars: the pieces that are fitted anew, none where all stays as it is.

    size: how far their rates are from what is fitted, each as a part of the farthest that lies there, summed. gradient,
    front_share: how the car as measured leans with them, roll [deg/g] and the front axle's part of the load moved;
    None where that is not known.
    """

    pieces: tuple[Piece, ...] = ()
    size: float = 0.0
    gradient: float | None = None
    front_share: float | None = None

    @property
    def price(self) -> float:
        """What all pieces cost."""
        return sum(one.price for one in self.pieces)

    @property
    def hours(self) -> float:
        """Hours of work to fit them."""
        return sum(one.hours for one in self.pieces)

    def at(self, place: tuple[str, str]) -> str:
        """The name of what stands at a place."""
        return next((one.name for one in self.pieces if one.place == place), AS_FITTED)


AS_IT_IS = Fitting()


@dataclass(frozen=True)
class OnSprings:
    """How a car stands and leans after all that a plan changes: roll [deg/g], the front axle's part of the load moved.

    packing: of each spring more than as measured, by axle and side (2, 2) [mm], which keeps the plan's ride height.
    """

    gradient: float
    front_share: float
    packing: Array


def place_name(place: tuple[str, str]) -> str:
    """A place as its list in a file is named, such as "front_spring"."""
    return f"{place[0]}_{_PARTS[place[1]]}"


def fittings_of(pieces: tuple[Piece, ...]) -> int:
    """How many combinations there are, what is fitted standing among each place's pieces."""
    return prod(1 + sum(one.place == place for one in pieces) for place in PLACES)

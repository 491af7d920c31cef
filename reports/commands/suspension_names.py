"""A suspension type as a person names it on the command line."""

from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean, shown


def suspension_named(written: str, command: str) -> SuspensionType:
    """The type of that name; InputFaultError of a command tells which ones there are."""
    by_words = {_words(name): kind for name, kind in SUSPENSIONS.items()}
    kind = by_words.get(_words(written))
    if kind is not None:
        return kind
    begun = [one for one in SUSPENSIONS if _words(one).startswith(_words(written))]
    hint = f"; did you mean one of: {', '.join(begun)}" if begun else did_you_mean(written, SUSPENSIONS)
    raise InputFaultError(command, [Fault("suspension", f"read {shown(written)}{hint}")])


def _words(name: str) -> str:
    """A type's name without what one need not remember of it: capitals, hyphens, underlines."""
    return name.lower().replace("-", " ").replace("_", " ")

"""A name that is not there: the nearest of those that are, in the words of an error."""

import difflib
from collections.abc import Collection
from typing import Any, ClassVar, NoReturn, TypeVar

from solvers.read_only_mapping import ReadOnlyMapping

_CLOSE = 0.5
_MOST_NAMED = 12  # of the names that are there, where none is near
_BEHIND_A_KEY = {"left", "right", "deg", "rad", "mm", "in", "inch", "per", "percent"}  # in the names of columns
_Value = TypeVar("_Value")


def nearest_name(name: object, known: Collection[Any], least: float = _CLOSE) -> Any | None:
    """The nearest of the known names, also to the name of a column; None where none is near."""
    by_text = {_text(one): one for one in known}
    words = _text(name).split("_")
    while len(words) > 1 and words[-1] in _BEHIND_A_KEY:
        words.pop()
        if "_".join(words) in by_text:
            return by_text["_".join(words)]
    close = difflib.get_close_matches(_text(name), by_text, n=1, cutoff=least)
    return by_text[close[0]] if close else None


def hint(name: object, known: Collection[Any], most: int | None = None) -> str:
    """The end of a sentence about a name that is not there: the nearest, or else those that are, or the first."""
    near = nearest_name(name, known)
    if near is not None:
        return f"; did you mean {near!r}?"
    more = ", ..." if most is not None and len(known) > most else ""
    return f"; there are {', '.join(list(map(_text, known))[:most])}{more}"


def unknown(key: object, known: Collection[Any], what: str) -> KeyError:
    """A KeyError for a name that is not there, with the nearest, or else with those that are."""
    return KeyError(f"{key!r} is no {what} here{hint(key, known, _MOST_NAMED)}")


class Named(ReadOnlyMapping[str, _Value]):
    """A mapping that cannot be written to; a wrong name gets the nearest. what: one of its values is called."""

    what: ClassVar[str] = "name"

    def __missing__(self, key: object) -> NoReturn:
        raise unknown(key, self, self.what)


def _text(name: object) -> str:
    return ", ".join(map(str, name)) if isinstance(name, tuple) else str(name)

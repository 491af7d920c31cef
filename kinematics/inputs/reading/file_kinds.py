"""Which kind of TOML file this is, known by keys that no other kind has, so that a wrong one is told in one fault."""

import shlex
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum, auto
from types import MappingProxyType
from typing import Any

from kinematics.inputs.reading.faults import Fault, InputFaultError


class FileKind(Enum):
    """The kinds of TOML file that there are."""

    CAR = auto()
    SURVEY = auto()
    PLANS = auto()
    MEANS = auto()
    SHELF = auto()
    SCALES = auto()
    LIMITS = auto()
    SET_UP = auto()


_Content = Mapping[str, Any]
_Has = Callable[[_Content], bool]


@dataclass(frozen=True)
class _Known:
    """name: what it is called; takes: the command that takes it, FILE standing for the file itself.

    has: whether a content has something that only this kind has; also: what of another kind is read as this one.
    """

    name: str
    takes: str
    has: _Has
    also: _Has = lambda _: False


def _any_of(*keys: str) -> _Has:
    return lambda written: any(key in written for key in keys)


def _axles(written: _Content) -> list[Mapping[str, Any]]:
    return [axle for axle in (written.get("front"), written.get("rear")) if isinstance(axle, Mapping)]


def _surveyed(written: _Content) -> bool:
    return "instruments" in written or any("readings" in axle for axle in _axles(written))


def _car(written: _Content) -> bool:
    return not _surveyed(written) and (_OF_CAR(written) or bool(_axles(written)))


def _limits_alone(written: _Content) -> bool:
    return "limits" in written and "name" not in written and not _car(written) and not _surveyed(written)


def _plans(written: _Content) -> bool:
    rules_alone = "rule" in written and not _means(written) and not _PIECES(written)
    return isinstance(written.get("plan"), (list, Mapping)) or rules_alone


def _means(written: _Content) -> bool:
    return _OF_MEANS(written) or isinstance(written.get("want"), str)


def _shelf(written: _Content) -> bool:
    """Springs and bars alone may be both; a shelf needs nothing else."""
    return isinstance(written.get("want"), Mapping) or (_PIECES(written) and not _means(written))


def _pieces_alone(written: _Content) -> bool:
    return _PIECES(written) and "want" not in written


_OF_CAR = _any_of("body", "measured_to", "doubt", "on_paper")
_OF_MEANS = _any_of("may", "chance", "most_parts", "lean")
_OF_SCALES = _any_of("level", "raised", "add", "front_track", "rear_track")
_OF_SET_UP = _any_of("sheet", "readings", "cross")
_PIECES = _any_of("front_spring", "rear_spring", "front_bar", "rear_bar")

_KINDS: Mapping[FileKind, _Known] = MappingProxyType(
    {
        FileKind.CAR: _Known("a car file", "show FILE", _car),
        FileKind.SURVEY: _Known("a survey", "survey FILE", _surveyed, also=_car),
        FileKind.PLANS: _Known("a plan file", "compare CAR FILE", _plans),
        FileKind.MEANS: _Known("a means file", "find CAR FILE", _means, also=_pieces_alone),
        FileKind.SHELF: _Known("a shelf file", "shelf CAR FILE", _shelf),
        FileKind.SCALES: _Known("a scales file", "weigh FILE CAR", _OF_SCALES),
        FileKind.LIMITS: _Known(
            "a file of limits alone",
            "show CAR --limits FILE",
            _limits_alone,
            also=lambda written: _car(written) or _surveyed(written),
        ),
        FileKind.SET_UP: _Known(
            "a file of what was read after a set-up", "setup CAR PLANS --measured FILE", _OF_SET_UP
        ),
    }
)


def refuse_other_kind(written: Mapping[str, Any], wanted: FileKind, source: str) -> None:
    """Raise InputFaultError, with one fault, where a file's content is of one kind, and of none that is wanted.

    What has anything that only the wanted kind has, or is of no kind or of several, is told key by key elsewhere.
    """
    kinds = [known for known in _KINDS.values() if known.has(written)]
    expected = _KINDS[wanted]
    if len(kinds) != 1 or kinds[0] is expected or expected.also(written):
        return
    takes = kinds[0].takes.replace("FILE", shlex.quote(source))
    text = f"this is {kinds[0].name}, and {expected.name} is wanted here; `cornersweep {takes}` takes it"
    raise InputFaultError(source, [Fault("", text)])

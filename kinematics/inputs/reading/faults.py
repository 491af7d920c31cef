"""Faults of an input, told to the person who wrote it: which key, what was read, what is allowed."""

import difflib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import accumulate

from kinematics.car.lengths import INCH, InchMarkError
from kinematics.inputs.reading.plain_text import escaped, shortened

STAND_IN = "-"  # the name of a file that is read from standard input
_MOST = 60  # faults that are told before the rest are counted
_MOST_TOLD = 7000  # bytes of all that is told; a screen or two
_MOST_IN_A_LINE = 1000  # characters of one fault
_MOST_IN_A_PLACE = 300  # characters of a key, or of a file's name with its folders
_LONGEST = 60  # characters of a value that are shown
_MOST_BITS = 4000  # of a whole number that is shown in digits; Python writes none of over 4300 digits
_MOST_SHOWN = 4  # entries of a list
_MOST_NAMES = 900  # characters of all the names that are allowed
_SEVERAL = 3  # lengths with inch marks, in a file in mm, from which on its unit is the likelier slip
_MOST_COMPARED = 100  # characters of a name that are compared with those known


@dataclass(frozen=True)
class Remedy:
    """What is allowed or to be done, as one who edits the file is told, and as one who fills in boxes of a form is."""

    in_file: str
    in_box: str


LEAVE_OUT = Remedy("leave it out", "leave it blank")
ONE_OF_TWO = Remedy("leave one of the two out", "leave one of the two blank")


def other_unit(symbol: str) -> Remedy:
    """What to look at where a size is no car's: the unit of the whole file, or that of the box."""
    return Remedy(f'is units = "{symbol}" right?', "is it in the unit that stands at the box?")


@dataclass(frozen=True)
class Fault:
    """One fault: the key it is at ("" for the whole file), what is wrong with it, and what to do.

    of: what else names the place to one who edits the file, and needs no word in a form. inch_mark: where it is that a
    length is marked as inches.
    """

    key: str
    wrong: str
    remedy: Remedy | None = None
    of: str = ""
    inch_mark: InchMarkError | None = field(default=None, compare=False)

    @property
    def message(self) -> str:
        """All of it for one who edits the file."""
        told = _joined(self.wrong, "" if self.remedy is None else self.remedy.in_file)
        return f"{told} ({self.of})" if self.of else told

    @property
    def in_box(self) -> str:
        """The same for one who fills in boxes, in one line; keys stand in it as the file has them."""
        told = _joined(self.wrong, "" if self.remedy is None else self.remedy.in_box)
        return shortened(escaped(told), _MOST_IN_A_LINE)

    def __str__(self) -> str:
        """Key and message in one line, short, without control characters."""
        message = shortened(escaped(self.message), _MOST_IN_A_LINE)
        return f"{shortened(escaped(self.key), _MOST_IN_A_PLACE)}: {message}" if self.key else message


class InputFaultError(Exception):
    """An input that cannot be used. source: the file or option; faults: everything found wrong with it.

    In its words several lengths that are marked as inches, in a file that is not, are one fault, of the unit.
    """

    def __init__(self, source: str, faults: Sequence[Fault]) -> None:
        self.source = source
        self.faults = tuple(faults)
        in_words = _once_for_the_unit(self.faults)
        count = "1 fault" if len(in_words) == 1 else f"{len(in_words)} faults"
        named = "standard input" if source == STAND_IN else shortened(escaped(source), _MOST_IN_A_PLACE)
        told = [f"{named}: {count}", *_told(in_words)]
        if len(told) <= len(in_words):
            told.append(f"  and {len(in_words) - len(told) + 1} more")
        super().__init__("\n".join(told))


class EntryError(ValueError):
    """An entry that is not taken, with what to do about it, on its way through a data model."""

    def __init__(self, wrong: str, remedy: Remedy) -> None:
        super().__init__(_joined(wrong, remedy.in_file))
        self.wrong, self.remedy = wrong, remedy


def _joined(*parts: str) -> str:
    return "; ".join(filter(None, parts))


def _once_for_the_unit(faults: Sequence[Fault]) -> Sequence[Fault]:
    marked = [(one.key, one.inch_mark) for one in faults if one.inch_mark is not None]
    if len(marked) < _SEVERAL:
        return faults
    (key, first), unit = marked[0], marked[0][1].unit.symbol
    said = (
        f"{len(marked)} lengths are marked as inches, like {shown(first.written)} at {key}, but this file is in {unit}"
    )
    what_to_do = f'is it in inches? Then write units = "{INCH.symbol}"; if not, write each in {unit}, with no mark'
    rest = [one for one in faults if one.inch_mark is None]
    return [Fault("units", said, Remedy(what_to_do, what_to_do)), *rest]


def _told(faults: Sequence[Fault]) -> list[str]:
    """The first faults, a line each, as many as a person would read."""
    lines: list[str] = []
    left = _MOST_TOLD
    for fault in faults[:_MOST]:
        line = f"  {fault}"
        left -= len(line.encode("utf-8", "replace"))
        if left < 0:
            break
        lines.append(line)
    return lines


_IN_A_LIST = re.compile(r"^(?P<of>.*?)(?: (?P<row>\d+))?, entry (?P<entry>\d+)$")


def path_of(key: str) -> str:
    """A fault's key as a path: `limits.travel.1` of `limits.travel, entry 2`; any other as it is."""
    found = _IN_A_LIST.match(key)
    if found is None:
        return key
    return ".".join([found["of"], *(str(int(found[one]) - 1) for one in ("row", "entry") if found[one])])


def key_of(place: Sequence[str | int]) -> str:
    """Where an entry is, for a person, who counts from one: `plan 1.change 2.by`, `limits.travel, entry 2`."""
    key = ""
    for part in place:
        if isinstance(part, int):
            key += f" {part + 1}"
        else:
            key += f".{part}" if key else part
    last = place[-1] if place else ""
    return f"{key.removesuffix(f' {last + 1}')}, entry {last + 1}" if isinstance(last, int) else key


def shown(value: object) -> str:
    """Return what was read much as its owner wrote it, cut short where long, without control characters."""
    if isinstance(value, (list, tuple)):
        more = ", ..." if len(value) > _MOST_SHOWN else ""
        return f"[{', '.join(_within(item) for item in value[:_MOST_SHOWN])}{more}]"
    return _one_shown(value)


def _within(value: object) -> str:
    """An entry of a list; lists in it are shown one step deep."""
    if isinstance(value, (list, tuple)):
        more = ", ..." if len(value) > _MOST_SHOWN else ""
        return f"[{', '.join(_one_shown(item) for item in value[:_MOST_SHOWN])}{more}]"
    return _one_shown(value)


def _one_shown(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, (list, tuple)):
        return "a list"
    if isinstance(value, int) and value.bit_length() > _MOST_BITS:
        return f"a whole number of some {value.bit_length() * 3 // 10} digits"
    text = _quoted(value[: _LONGEST + 1]) if isinstance(value, str) else escaped(str(value))
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."


def _quoted(text: str) -> str:
    marked = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped(marked)}"'


def did_you_mean(written: str, known: Iterable[str]) -> str:
    """Return a hint at the known key closest to what was written, or else at all that are known."""
    names = list(known)
    close = difflib.get_close_matches(written[:_MOST_COMPARED], names, n=1)
    if any("," in name for name in names):  # a plan's, whose commas would look like those between names
        close, names = [shown(name) for name in close], [shown(name) for name in names]
    if close:
        return f"; did you mean {close[0]}?"
    lengths = accumulate(len(name) + 2 for name in names)
    told = names[: sum(length <= _MOST_NAMES for length in lengths)]
    rest = f" and {len(names) - len(told)} more" if len(told) < len(names) else ""
    return f"; allowed: {', '.join(told)}{rest}"

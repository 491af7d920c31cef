"""TOML files spoiled by grammar: edits of the tree that a file holds, written out again in any of the ways TOML has."""

import copy
import datetime
import math
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from random import Random
from typing import Any

TEXTS = (
    "",
    " ",
    "?",
    "=1+1",
    "+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "[bold red]x[/]",
    "[link=file:///]x",
    ":car:",
    "$x^2$",
    "%s %n {0}",
    "a\x00b",
    "\x1b[2J\x1b[31m",
    "a\x7fb",
    "\x9b31m",
    "\N{RIGHT-TO-LEFT OVERRIDE}txt.exe",
    "\N{LEFT-TO-RIGHT ISOLATE}",
    "two\nlines",
    "two\u2028lines",
    "\N{AUTOMOBILE}\N{VARIATION SELECTOR-16}",
    "\N{COMBINING DIAERESIS}" * 9,
    "\N{ARABIC-INDIC DIGIT THREE}",
    "\N{HEBREW LETTER ALEF}",
    "\U0010ffff",
    "a" * 199,
    "a" * 201,
    "\N{AUTOMOBILE}" * 700,
    "9" * 5000,
    "x" * 90_000,
    "13 5/8",
    "13 5/0",
    "741 mm",
    "29,5",
    "1e999",
    "-0x10",
    "wheel_centre",
    "chassis",
    "front",
    "left",
    "strut",
    "as measured",
    "as fitted",
    "ride height",
    "../../x",
)
NUMBERS = (
    0, 1, -1, 2**31, 2**63, -(2**64), 10**399, 10**401, 16**5000, 0.0, -0.0, 1e-9, 1e5, 1e5 + 1, -1e5, 1.7e308, 5e-324,
    math.nan, math.inf, -math.inf, 1e-300, 0.1, 90.0, 180.0, 360.0,
)  # fmt: skip
KEYS = (
    "",
    " ",
    "a.b",
    "points",
    "wheel",
    "left",
    "right",
    "front",
    "rear",
    "name",
    "units",
    "known_to",
    "plan",
    "from",
    "=1",
    "a\x00",
    "\x1b[0m",
    "\u202ekey",
    "k" * 300,
    "__class__",
)
UNITS = ("mm", "in", "cm", "m", "inch", "MM", "", "deg", 1, None)
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_MANY = (1, 1, 2, 2, 3, 3, 60, 150, 400, 1200)

Place = tuple[Any, Any]  # what holds a value, and its key or number
Edit = Callable[[Random, Place, list[Place]], None]


def spoiled_tree(random: Random, tree: dict[str, Any]) -> bytes:
    """One to four edits of a copy of a tree, written out."""
    tree = copy.deepcopy(tree)
    with _as_deep_as_it_gets():
        for _ in range(random.choice((1, 1, 1, 1, 2, 2, 3, 4))):
            places = list(places_in(tree))
            if not places:
                break
            random.choice(EDITS)(random, random.choice(places), places)
        return written_out(tree, random).encode("utf-8", "surrogatepass")


@contextmanager
def _as_deep_as_it_gets() -> Iterator[None]:
    """A value put into others several times is deeper than calls usually may be; what reads it has the usual limit."""
    usual = sys.getrecursionlimit()
    sys.setrecursionlimit(20_000)
    try:
        yield
    finally:
        sys.setrecursionlimit(usual)


def places_in(tree: Any, depth: int = 0) -> Iterator[Place]:
    """Every place in nested tables and lists."""
    for key in list(tree) if isinstance(tree, dict) else range(min(len(tree), 100)):
        yield tree, key
        if isinstance(tree[key], (dict, list)) and depth < 12:
            yield from places_in(tree[key], depth + 1)


def _other_type(random: Random, place: Place, _: list[Place]) -> None:
    holder, key = place
    value = holder[key]
    if isinstance(value, dict):
        holder[key] = random.choice(([value], list(value.values()), list(value), 1, "table", True))
    elif isinstance(value, list):
        holder[key] = random.choice(
            ({str(number): one for number, one in enumerate(value)}, value[:1], value[0] if value else 0, "list", 2.5)
        )
    elif isinstance(value, str):
        holder[key] = random.choice((len(value), [value], {"name": value}, True, float(len(value)), list(value[:50])))
    else:
        holder[key] = random.choice((str(value)[:400], [value], {"by": value}, bool(value), f"{value!s:.30} mm"))


def _nested(random: Random, place: Place, _: list[Place]) -> None:
    holder, key = place
    for _deep in range(random.choice((1, 1, 2, 30, 200))):
        holder[key] = [holder[key]] if random.random() < 0.5 else {random.choice(KEYS): holder[key]}


def _doubled(random: Random, place: Place, _: list[Place]) -> None:
    holder, key = place
    times = random.choice(_MANY)
    if isinstance(holder, list):
        holder[key:key] = [holder[key]] * times
    elif isinstance(holder[key], list):
        holder[key] = holder[key] * times
    else:
        for number in range(times):
            holder[f"{key}_{number}"] = holder[key]


def _number(random: Random, place: Place, places: list[Place]) -> None:
    numbers = [(holder, key) for holder, key in places if _is_number(holder[key])]
    holder, key = random.choice(numbers or [place])
    holder[key] = random.choice(NUMBERS)


def _scaled(random: Random, _: Place, places: list[Place]) -> None:
    """A number in another unit, with another sign, or with a digit too many: what a person does."""
    numbers = [(holder, key) for holder, key in places if _is_number(holder[key]) and abs(holder[key]) < 1e300]
    if not numbers:
        return
    holder, key = random.choice(numbers)
    holder[key] *= random.choice((25.4, 1 / 25.4, 10, 0.1, -1, 1.001, 0.999, 1.01, 0.97, 1.1, 0, 57.29577951308232))


def _text(random: Random, place: Place, places: list[Place]) -> None:
    texts = [(holder, key) for holder, key in places if isinstance(holder[key], str)]
    holder, key = random.choice(texts or [place])
    new = random.choice(TEXTS)
    old = holder[key]
    holder[key] = new if random.random() < 0.6 or not isinstance(old, str) else old[: len(old) // 2] + new


def _key(random: Random, place: Place, places: list[Place]) -> None:
    holder, key = place
    if isinstance(holder, dict):
        known = [str(other) for _, other in places]
        holder[random.choice((random.choice(KEYS), random.choice(known), f"{key}s", str(key)[:-1]))] = holder.pop(key)


def _emptied(random: Random, place: Place, _: list[Place]) -> None:
    holder, key = place
    holder[key] = random.choice(({}, [], "", [{}], [[]]))


def _away(_random: Random, place: Place, _: list[Place]) -> None:
    holder, key = place
    del holder[key]


def _others(random: Random, place: Place, places: list[Place]) -> None:
    """Another's value in its place, or both exchanged: also what makes two points coincide."""
    holder, key = place
    other, its = random.choice(places)
    value = copy.deepcopy(other[its])
    if random.random() < 0.5 and not isinstance(holder[key], (dict, list)) and not isinstance(value, (dict, list)):
        other[its] = holder[key]
    holder[key] = value


def _unit(random: Random, place: Place, places: list[Place]) -> None:
    units = [(holder, key) for holder, key in places if key == "units"]
    holder, key = random.choice(units or [place])
    unit = random.choice(UNITS)
    holder[key] = "" if unit is None else unit


def _odd(random: Random, place: Place, _: list[Place]) -> None:
    holder, key = place
    holder[key] = random.choice(
        (datetime.date(2020, 2, 29), datetime.time(12), datetime.datetime(1, 1, 1, tzinfo=datetime.UTC), True, False)
    )


# Weighted by how often they stand here.
EDITS: tuple[Edit, ...] = (
    *[_scaled] * 6,
    *[_number, _text, _others] * 2,
    *[_other_type, _nested, _doubled, _key, _emptied, _away, _unit, _odd],
)


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def written_out(tree: dict[str, Any], random: Random) -> str:
    """A tree as TOML: tables in one line or under a heading, lists of tables either way."""
    return "\n".join(_section(tree, (), random)) + "\n"


def _section(table: dict[str, Any], path: tuple[str, ...], random: Random) -> Iterator[str]:
    later = []
    for key, value in table.items():
        tables = isinstance(value, dict) or (isinstance(value, list) and value and all(map(_is_table, value)))
        if tables and len(path) < 4 and random.random() < 0.9:
            later.append((key, value))
        else:
            yield f"{_key_text(key)} = {_value_text(value)}"
    for key, value in later:
        inner = (*path, key)
        name = ".".join(map(_key_text, inner))
        for one in value if isinstance(value, list) else [value]:
            yield f"[[{name}]]" if isinstance(value, list) else f"[{name}]"
            yield from _section(one, inner, random)


def _is_table(value: object) -> bool:
    return isinstance(value, dict)


def _key_text(key: object) -> str:
    return str(key) if _BARE.fullmatch(str(key)) else _quoted(str(key))


def _value_text(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key_text(key)} = {_value_text(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value_text, value)) + "]"
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) > 10**4000:
        return f"{abs(value):#x}"
    return value.isoformat() if isinstance(value, (datetime.date, datetime.time)) else str(value)


def _quoted(text: str) -> str:
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + re.sub("[\x00-\x1f\x7f]", lambda found: f"\\u{ord(found[0]):04x}", plain) + '"'

"""Files damaged on purpose, byte by byte and key by key, for Hypothesis: each draw makes one mutant of a sound file."""

import datetime
import math
import tomllib
from typing import Any

import tomlkit
from hypothesis import strategies as st

# What no file of ours has where it stands, and what a person, a spreadsheet or a script may leave there all the same.
VALUES: tuple[Any, ...] = (
    0,
    -1,
    1,
    2**63,
    -(10**30),
    10**400,
    0.0,
    -0.0,
    math.nan,
    math.inf,
    -math.inf,
    1.7e308,
    5e-324,
    1e-9,
    True,
    False,
    "",
    " ",
    "?",
    "nan",
    "1e999",
    "13 5/8",
    "1/0",
    "9" * 5000,
    "long " * 20_000,
    "\0",
    "a\nb\r\n",
    "\x1b[31m[bold]",
    "\N{RIGHT-TO-LEFT OVERRIDE}abc",
    "\N{AUTOMOBILE}\N{COMBINING DIAERESIS}",
    "\N{ARABIC-INDIC DIGIT THREE}",
    "../../../etc/hostname",
    "/dev/zero",
    "wheel_centre",
    "chassis",
    "front",
    "strut",
    "free linkage",
    [],
    {},
    [[]],
    [{}],
    [math.nan, math.nan],
    [0, 0],
    [-1e9, 1e9],
    ["a", "a"],
    ["wheel_centre", "wheel_centre"],
    [0] * 3000,
    {"": 1},
    {"ahead": 0, "out": 0, "up": 0},
    {"from": math.nan, "to": math.nan},
    {"a": {"b": {"c": [{"d": {}}]}}},
    datetime.date(2020, 2, 29),
    datetime.time(12, 0),
    datetime.datetime(1, 1, 1, tzinfo=datetime.UTC),
)
KEYS = (
    "",
    " ",
    "front",
    "rear",
    "left",
    "points",
    "wheel_centre",
    "known_to",
    "\N{AUTOMOBILE}",
    "a" * 3000,
    "\0",
    "a.b",
)

PIECES = (
    b"\0",
    b"\xff\xfe",
    b'"',
    b"[",
    b"{",
    b"=",
    b"\r",
    b"'''",
    b"-",
    b"9" * 99,
    b"e9",
    b",",
    b";",
    b".",
    b"nan",
    b"#",
)


@st.composite
def damaged_bytes(draw: st.DrawFn, content: bytes) -> bytes:
    """One to four of: bytes changed, a line cut, doubled, swapped or moved, a piece cut out, put in or repeated."""
    for _ in range(draw(st.integers(1, 4))):
        kind = draw(
            st.sampled_from(("bytes", "cut line", "double line", "swap lines", "cut", "put in", "end", "repeat"))
        )
        lines = content.split(b"\n")
        at, other = (draw(st.integers(0, max(0, len(content) - 1))) for _ in range(2))
        row, to = at * len(lines) // max(1, len(content)), other * len(lines) // max(1, len(content))
        if kind == "bytes":
            new = draw(st.binary(min_size=1, max_size=4))
            content = content[:at] + new + content[at + len(new) :]
        elif kind == "cut line":
            content = b"\n".join(lines[:row] + lines[row + 1 :])
        elif kind == "double line":
            content = b"\n".join(lines[: row + 1] + lines[row:])
        elif kind == "swap lines":
            lines[row], lines[to] = lines[to], lines[row]
            content = b"\n".join(lines)
        elif kind == "cut":
            content = content[:at] + content[at + draw(st.integers(1, 200)) :]
        elif kind == "put in":
            content = content[:at] + draw(st.sampled_from(PIECES)) + content[at:]
        elif kind == "end":
            content = content[:at]
        else:
            piece = content[at : at + draw(st.integers(1, 40))]
            content = content[:at] + piece * draw(st.sampled_from((2, 50, 2000))) + content[at:]
    return content


@st.composite
def damaged_keys(draw: st.DrawFn, text: str) -> bytes:
    """One to three of: a key renamed, a value replaced, taken away, doubled or exchanged for another's."""
    content: Any = tomllib.loads(text)
    for _ in range(draw(st.integers(1, 3))):
        places = list(_places(content))
        if not places:
            break
        holder, key = places[draw(st.integers(0, len(places) - 1))]
        kind = draw(st.sampled_from(("value", "value", "value", "rename", "away", "other's", "double")))
        if kind == "value":
            holder[key] = _copied(draw(st.sampled_from(VALUES)))
        elif kind == "away":
            del holder[key]
        elif kind == "other's":
            other, its = places[draw(st.integers(0, len(places) - 1))]
            holder[key] = _copied(other[its])
        elif isinstance(holder, dict):
            new = draw(st.sampled_from(KEYS)) if kind == "rename" else f"{key}_2"
            value = holder.pop(key) if kind == "rename" else _copied(holder[key])
            holder[new] = value
        else:
            holder.insert(key, _copied(holder[key]))
    return tomlkit.dumps(content).encode("utf-8", "surrogatepass")


def _places(content: Any) -> Any:
    """Every place in nested tables and lists: what holds it, and its key."""
    for key in list(content) if isinstance(content, dict) else range(len(content)):
        yield content, key
        if isinstance(content[key], (dict, list)) and len(content[key]) < 200:
            yield from _places(content[key])


def _copied(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copied(one) for key, one in value.items()}
    return [_copied(one) for one in value] if isinstance(value, list) else value

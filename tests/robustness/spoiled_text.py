"""Files spoiled below their grammar, byte by byte and word by word, and tables (CSV) spoiled by row and cell."""

import re
from random import Random

from tests.robustness.spoiled_trees import NUMBERS, TEXTS

_WORD = re.compile(rb"[\w.+-]+|\"[^\"\n]*\"|[^\w\s]")
_FIGURE = re.compile(rb"(?<![\w.])\d+(?:\.\d+)?(?![\w.])")
_PIECES = (
    b"\0", b"\x1b[31m", b"\x7f", b"\xff\xfe", b"\xc2\x9b", b"\xe2\x80\xae", b"\xe2\x80\xa8", b'"', b'"""', b"'''", b"[",
    b"]", b"[[", b"{", b"}", b"=", b"\r", b"\n", b"#", b",", b";", b".", b"-", b"+", b"e9", b"nan", b"inf", b"_", b"\\",
    b"9" * 300, b"9" * 5000, b"a." * 300,
    b"\xef\xbb\xbf", b"0x" + b"f" * 4000, b"\\u0000", b"\\UFFFFFFFF", b"1979-13-01",
)  # fmt: skip
_TITLES = ("name", "point", "x", "y", "z", "ahead", "out", "up", "x [m]", "y (in)", "z (furlong)", "", "axle", "unit")
_CELLS = (
    "",
    " ",
    "-",
    "nan",
    "inf",
    "1e999",
    "1,5",
    "1.5.2",
    "left",
    "right",
    "both",
    "ground",
    "centre_plane",
    '"',
    "'=x",
)

_NUMBERS = tuple(f"{one:.3g}" for one in NUMBERS if isinstance(one, float))


def spoiled_bytes(random: Random, content: bytes) -> bytes:
    """One to four edits of bytes, words and lines."""
    for _ in range(random.choice((1, 1, 2, 3, 4))):
        at, to = (random.randrange(len(content) + 1) for _ in range(2))
        kind = random.randrange(9)
        if kind == 0:
            content = content[:at] + random.randbytes(random.randint(1, 4)) + content[at + 1 :]
        elif kind == 1:
            content = content[:at] + random.choice(_PIECES) + content[at:]
        elif kind == 2:
            content = content[:at] + content[at + random.choice((1, 1, 5, 80)) :]
        elif kind == 3:
            content = content[:at] + content[at : at + 30] * random.choice((2, 30, 3000)) + content[at + 30 :]
        elif kind == 4:
            content = content[:at] + content[to : to + 40] + content[at:]
        elif kind == 5:
            content = content[:at]
        elif kind == 6:
            content = _words_swapped(random, content)
        elif kind == 7:
            content = _lines_moved(random, content)
        elif content:
            flipped = content[at - 1] ^ (1 << random.randrange(8))
            content = content[: at - 1] + bytes([flipped]) + content[at:] if at else content
    return content


def slipped(random: Random, content: bytes) -> bytes:
    """One to three numbers that were misread, mistyped or named otherwise: much of this is accepted."""
    for _ in range(random.choice((1, 1, 2, 3))):
        found = random.choice(list(_FIGURE.finditer(content)))
        digits = bytearray(found[0])
        at = random.randrange(len(digits))
        kind = random.randrange(5)
        if kind == 0 and digits[at : at + 1].isdigit():
            digits[at] = random.choice(b"0123456789")
        elif kind == 1:
            digits.reverse()
        elif kind == 2:
            digits = bytearray(f"{float(found[0]) * random.choice((0.9, 0.97, 0.999, 1.001, 1.01, 1.1)):.6g}".encode())
        elif kind == 3:
            digits = bytearray(random.choice(list(_FIGURE.finditer(content)))[0])
        elif len(digits) > 1:
            digits[at - 1], digits[at] = digits[at], digits[at - 1]
        content = content[: found.start()] + bytes(digits) + content[found.end() :]
    return content


def _words_swapped(random: Random, content: bytes) -> bytes:
    words = list(_WORD.finditer(content))
    if len(words) < 2:
        return content
    one, other = sorted(random.sample(words, 2), key=lambda word: word.start())
    middle = content[one.end() : other.start()]
    return content[: one.start()] + other[0] + middle + one[0] + content[other.end() :]


def _lines_moved(random: Random, content: bytes) -> bytes:
    lines = content.split(b"\n")
    at, to = (random.randrange(len(lines)) for _ in range(2))
    if random.random() < 0.5:
        lines.insert(to, lines[at])
    else:
        lines.insert(to, lines.pop(at))
    return b"\n".join(lines)


def spoiled_table(random: Random, content: bytes) -> bytes:
    """One to four edits of a table's rows, cells and titles."""
    rows = [line.split(",") for line in content.decode("utf-8").splitlines()]
    for _ in range(random.choice((1, 1, 2, 3, 4))):
        row = random.choice(rows)
        at = random.randrange(len(row)) if row else 0
        kind = random.randrange(10)
        if kind <= 2 and row:
            row[at] = random.choice(
                (*_CELLS, *TEXTS, *(f"{abs(one):.3g}" for one in NUMBERS if isinstance(one, float)))
            )
        elif kind == 3 and row:
            del row[at]
        elif kind == 4:
            row.insert(at, random.choice(_CELLS))
        elif kind == 5:
            rows.extend([list(row) for _ in range(random.choice((1, 1, 5, 3000)))])
        elif kind == 6 and len(rows) > 1:
            rows.remove(row)
        elif kind == 7 and rows[0]:
            rows[0][random.randrange(len(rows[0]))] = random.choice(_TITLES)
        elif kind == 8:
            for one in rows:
                one[at:at] = [random.choice(("0", "1", "x"))] * random.choice((1, 1, 3, 3000))
        else:
            random.shuffle(rows)
    mark = random.choice((",",) * 8 + (";", "\t"))
    return "\n".join(mark.join(row) for row in rows).encode("utf-8", "surrogatepass")

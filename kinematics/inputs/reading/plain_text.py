"""Which characters a text may hold: one place decides what of a file or a command line may reach a terminal."""

import re

# What moves a cursor, rings, ends a line or turns the direction of writing: C0, delete and C1 controls, the line and
# paragraph separators, and the bidirectional embeddings, overrides and isolates (Unicode, UAX #9, from memory).
_CONTROL = "\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069"
_HIDDEN = re.compile(f"[{_CONTROL}]")
_HIDDEN_IN_LINES = re.compile(f"[{_CONTROL}]".replace("\x00-\x1f", "\x00-\x08\x0b-\x1f"))
_UNSHOWN = re.compile(f"[{_CONTROL}\ud800-\udfff]")


def control_in(text: str, *, lines: bool = False) -> str:
    """Return the first control character of a text, "" where there is none; `lines`: tabs and line ends are allowed."""
    found = _HIDDEN_IN_LINES.search(text.replace("\r\n", "\n")) if lines else _HIDDEN.search(text)
    return found[0] if found else ""


def escaped(text: str, *, lines: bool = False) -> str:
    r"""Return a text with what must not reach a terminal written out, such as \x1b; `lines`: but for line ends."""
    return _UNSHOWN.sub(lambda found: found[0] if lines and found[0] == "\n" else named(found[0]), text)


def named(character: str) -> str:
    r"""Return a character as Python writes it out: \t, \x1b, \u202e."""
    return character.encode("unicode_escape", "surrogatepass").decode("ascii")


def shortened(text: str, most: int) -> str:
    """Return a text of at most so many characters: its beginning, and its end where there is room for both."""
    if len(text) <= most:
        return text
    tail = most // 3 if most >= 60 else 0
    return f"{text[: most - tail - 3]}...{text[len(text) - tail :]}"

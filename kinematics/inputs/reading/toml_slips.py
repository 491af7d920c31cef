"""What stops a TOML reader, in plain words: the slips that are made most, and what to do about them."""

import re

_SLIPS = (
    (re.compile(r"[\u201c\u201d\u201e]"), 'curly quotes are no quotes here: write "..." with straight ones'),
    (re.compile(r"=\s*-?(\d+[ -])?\d+/\d+"), 'a fraction must stand in quotes, like "13 5/8"'),
    (re.compile(r"=\s*-?\d+\s*[\u00bc-\u00be\u2150-\u215e]"), 'a fraction must stand in quotes, like "13 5/8"'),
    (re.compile(r"=\s*-?\d+,\d"), "a decimal point is needed, like 13.625"),
    (
        re.compile(r"=\s*[-+]?\d+\.?\d*\s*(mm|cm|m|in|inch|inches|ft|kg|lb|deg)\b"),
        "leave the unit out: `units` says it for the whole file",
    ),
)
_INCH_MARK = re.compile(r"(?<![\"\\])\"(?P<read>[^\"\\=]{0,20}\d\.?)\s*\"\"(?!\")")  # "13 1/8""
_KEY = re.compile(r"\s*(?P<key>[\w.\"'-]+)\s*=(?P<rest>.*)")
_TABLE = re.compile(r"\s*\[\[?(?P<name>[^\[\]#]+)\]")
_PLACE = re.compile(r"\s*\(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
_TWICE = re.compile(r"Cannot (?:declare|mutate|redefine)\b")
_WORD = re.compile(r"\s*(?P<word>[^\W\d]\w*)\s*(#.*)?")
_LONGEST = 80  # characters of a line that are shown
_WORDS = {"true": "true", "yes": "true", "on": "true", "false": "false", "no": "false", "off": "false"}


def plain_words(said: str, text: str) -> str:
    """What a reader said of a file's text, with the line that it stopped at; what is told of no slip is its own words.

    Readers of other versions say other things; what is not known here stays as they say it.
    """
    place = _PLACE.search(said)
    lines = text.split("\n")
    number = int(place["line"]) if place and place["line"] else None
    at = len(lines) if number is None else min(number, len(lines))
    line = "" if number is None else lines[at - 1].strip()
    plain = _twice(said, lines, at) or _unclosed(said, lines, at) or _value(said, line)
    if plain is None:
        return f"{said}{line and f': {line[:_LONGEST]}'}{_hint(line)}"
    where, words = plain
    begins = lines[where - 1].strip() if where else line
    there = "" if not where and number is None else f"line {where or at}: "
    return f"{there}{words}{begins and f': {begins[:_LONGEST]}'}{_hint(begins)}"


_Plain = tuple[int, str]  # the line it is on, 0 for that at which the reader stopped; and words


def _twice(said: str, lines: list[str], at: int) -> _Plain | None:
    """A table or a key that is there already."""
    if not (_TWICE.match(said) or said.startswith("Cannot overwrite a value")):
        return None
    own = _TABLE.match(lines[at - 1])
    if own is not None:
        name = own["name"].strip()
        first = _first(_TABLE, "name", name, lines, at)
        if not first:
            return 0, f"{name} is something else further up; leave one of the two out"
        doubled = lines[at - 1].lstrip().startswith("[["), lines[first - 1].lstrip().startswith("[[")
        if doubled[0] != doubled[1]:
            return 0, f"[{name}] and [[{name}]] are both there, the first on line {first}; write both alike"
        return 0, f"the table [{name}] is there twice, first on line {first}; join the two"
    # A value of several lines ends below its key.
    on = next((number for number in range(at, 0, -1) if _KEY.match(lines[number - 1])), None)
    found = None if on is None else _KEY.match(lines[on - 1])
    if on is None or found is None:
        return None
    begins = next((number for number in range(on - 1, 0, -1) if _TABLE.match(lines[number - 1])), 0)
    first = _first(_KEY, "key", found["key"], lines, on, begins)
    if not first:
        return None
    return on, f"{found['key']} is there twice, first on line {first}; leave one of the two out"


def _first(pattern: re.Pattern[str], group: str, name: str, lines: list[str], before: int, after: int = 0) -> int:
    """The first line, above one and below another, at which a name stands; 0 where none does."""
    for number in range(after + 1, before):
        found = pattern.match(lines[number - 1])
        if found is not None and found[group].strip() == name:
            return number
    return 0


def _unclosed(said: str, lines: list[str], at: int) -> _Plain | None:
    """A quote or a bracket that is opened and never closed."""
    if said.startswith(("Unterminated string", 'Expected "\'"', "Illegal character '\\n'", "Illegal character '\\r'")):
        opened = at if "end of document" not in said else _odd_quote(lines)
        return opened, "a quote is opened and not closed"
    if said.startswith("Unclosed array"):
        return 0, "a list is not closed: a ] or a comma is missing, here or above"
    if said.startswith("Unclosed inline table"):
        return 0, "a table is not closed: a } or a comma is missing"
    if said.startswith(("Expected ']'", "Expected ']]'")):
        return 0, "the name of a table is not closed: a ] is missing"
    if said.startswith("Duplicate inline table key"):
        return 0, f"{said.split(chr(39))[1]} is there twice in one table; leave one of the two out"
    return None


def _odd_quote(lines: list[str]) -> int:
    """The last line in which a quote has no other; the last that says anything where none has."""
    for number in range(len(lines), 0, -1):
        if any(lines[number - 1].count(mark) % 2 for mark in "\"'"):
            return number
    return max((number for number, line in enumerate(lines, start=1) if line.strip()), default=len(lines))


def _value(said: str, line: str) -> _Plain | None:
    """A value that is missing, or a word without its quotes."""
    found = _KEY.fullmatch(line)
    if not said.startswith("Invalid value") or found is None:
        return None
    if not found["rest"].split("#")[0].strip():
        return 0, f"nothing stands behind {found['key']} =; write its value, or leave the line out"
    word = _WORD.fullmatch(found["rest"])
    if word is None:
        return None
    if meant := _WORDS.get(word["word"].lower()):
        return 0, f"read {word['word']}; {meant} is how it is written"
    return 0, f'a word must stand in quotes, like "{word["word"][:_LONGEST]}"'


def _hint(line: str) -> str:
    """What may have been meant in a line, for the slips that are made most."""
    if marked := _INCH_MARK.search(line):
        read = marked["read"]
        ways = f'"{read}\\""' if "'" in read else f""""{read}\\"" or '{read}"'"""
        return f""" (an inch mark inside quotes is written {ways}, or left away: "{read}")"""
    return next((f" ({hint})" for pattern, hint in _SLIPS if pattern.search(line)), "")

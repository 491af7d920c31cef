"""The faults of the list: in which file which text is exchanged for which, each in one line.

`faults/*.toml` name a file, then pairs of what stands there, exactly once, and what is planted instead.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path

_FOLDER = Path(__file__).parent / "faults"


class GoneError(Exception):
    """A fault's text is no longer in its file, or no longer there once only."""


@dataclass(frozen=True)
class ListedFault:
    """One spoiled line: in a file, instead of which text what."""

    path: str
    was: str
    now: str

    @property
    def name(self) -> str:
        """Where and what, as a survivor is listed."""
        return f"{self.path}: {self.was} -> {self.now}"

    def planted(self, text: str) -> str:
        """The text of its file with the fault in it. Raises GoneError."""
        count = text.count(self.was)
        if count != 1:
            there = "is no longer there" if count == 0 else f"stands there {count} times"
            raise GoneError(f"{self.path}: {self.was!r} {there}: write this fault anew, or take it off the list")
        return text.replace(self.was, self.now)


def listed(only: str = "") -> list[ListedFault]:
    """All faults of the list, file by file; only: those in files whose path begins so."""
    found = []
    for file in sorted(_FOLDER.glob("*.toml")):
        with file.open("rb") as content:
            for path, pairs in tomllib.load(content).items():
                found += [ListedFault(path, was, now) for was, now in pairs]
    return [one for one in found if one.path.startswith(only)]

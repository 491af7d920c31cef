"""How much a command says on standard output: everything, its headline alone, or one JSON document and nothing else."""

import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path


class Voice(Enum):
    """What is said."""

    ALL = "everything"
    HEADLINE = "the headline, where a command has one"
    DOCUMENT = "one JSON document"


@dataclass(frozen=True)
class Speech:
    """What one command says: how much, its headline, and the files that it has written so far."""

    voice: Voice = Voice.ALL
    headline: list[str] = field(default_factory=list)
    files: list[str] = field(default_factory=list)


_SPEECH: ContextVar[Speech | None] = ContextVar("speech", default=None)


@contextmanager
def speaking(voice: Voice) -> Iterator[None]:
    """Say so much while a command runs."""
    token = _SPEECH.set(Speech(voice))
    try:
        yield
    finally:
        _SPEECH.reset(token)


def speech() -> Speech:
    """What is said now."""
    return _SPEECH.get() or Speech()


def is_said(*, headline: bool = False) -> bool:
    """Whether text is said now; headline: text of a headline."""
    voice = speech().voice
    return voice is Voice.ALL or (headline and voice is Voice.HEADLINE)


def say(text: str) -> None:
    """Say a line, as long as it is."""
    if is_said():
        sys.stdout.write(f"{text}\n")


def say_written(path: Path, *, untold: bool = False) -> None:
    """Say that a file is written, unless it is told elsewhere; a document names it all the same."""
    speech().files.append(str(path))
    if not untold:
        say(f"wrote {path}")


def in_headline(lines: Iterable[str]) -> list[str]:
    """Keep what a headline says, for the document."""
    kept = list(lines)
    speech().headline.extend(kept)
    return kept

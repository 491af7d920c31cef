"""By what a page knows again the content of a file that it showed."""

import hashlib
from pathlib import Path

from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.inputs.reading.file_fields import Table


class Seen(Table):
    """The version of a file that the page showed."""

    seen: str


def version(text: str) -> str:
    """Another one for every other text."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def refuse_changed(path: Path, now: str, seen: str, shown: str) -> None:
    """Raise InputFaultError where the version now is another than the page saw; shown: what it is to look at again."""
    if now != seen:
        text = f"was changed since this page read it, and is left alone: look at {shown}, then do this again"
        raise InputFaultError(str(path), [Fault("", text)])

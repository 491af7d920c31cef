"""One JSON document on standard output, where a command is asked for it; its schema stands in `reports/README.md`."""

import json
import sys
from collections.abc import Callable, Mapping

from kinematics.car.car import Car
from reports.cautions import CAUTION
from reports.installed import installed_version
from reports.voice import Voice, speech

FORMAT = 1  # goes up when a key is renamed, goes away, or means something else; new keys may come


def put_document(command: str, car: Car, content: Callable[[], Mapping[str, object]]) -> None:
    """Print what a command found as one JSON document, if it is asked for one.

    content: makes the command's own part. Text is ASCII with escapes, so that no terminal's letters can spoil it.
    """
    said = speech()
    if said.voice is not Voice.DOCUMENT:
        return
    whole = {
        "format": FORMAT,
        "command": command,
        "version": installed_version(),
        "car": {"name": car.name, "unit": car.unit.symbol, "on_paper": car.on_paper},
        "headline": said.headline,
        **content(),
        "files": said.files,
        "caution": CAUTION,
    }
    sys.stdout.write(json.dumps(whole, allow_nan=False) + "\n")

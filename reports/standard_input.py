"""Standard input in place of a file: a command's word `-`, for one of the files that it reads."""

import argparse
import sys
from contextlib import AbstractContextManager

from kinematics.inputs.reading.faults import STAND_IN, Fault, InputFaultError
from kinematics.inputs.reading.sizes import MOST_BYTES_DOUBTS
from kinematics.inputs.reading.whole_file import standing_in

_READ = ("car", "plans", "means", "survey", "shelf", "limits", "rules", "points", "measured", "scales")


def as_read(options: argparse.Namespace) -> AbstractContextManager[None]:
    """Let `-` stand for standard input while a command runs, if one of the files that it reads is called so."""
    asked = _files(options).count(STAND_IN)
    if asked > 1:
        text = f"read {STAND_IN} for {asked} files; standard input can be one of them"
        raise InputFaultError("cornersweep", [Fault("standard input", text)])
    return standing_in(sys.stdin.buffer.read(MOST_BYTES_DOUBTS + 1) if asked else None)


def _files(options: argparse.Namespace) -> list[str]:
    """The names of the files that a command reads."""
    written = ["car"] if "survey" in options else []  # which `survey` writes
    given = [getattr(options, name, None) for name in _READ if name not in written]
    named = [one for each in given for one in (each if isinstance(each, list) else [each])]
    plan = getattr(options, "plan", None)
    return [one for one in (*named, *(plan[:1] if plan else [])) if one is not None]

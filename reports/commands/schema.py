"""The command schema: what may stand in each kind of file, for an editor that helps to write them."""

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path

from reports.commands.car_and_limits import WITHIN
from reports.shared_options import add_replace
from reports.voice import say_written

_KINDS = ("car", "limits", "means", "plans", "scales", "shelf", "survey")  # those of `kinematics.inputs.schema`


def add_schema(add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about."""
    about = "write what may stand in a kind of file as JSON Schema, for an editor that completes keys and marks faults"
    parser = add("schema", schema, about)
    parser.add_argument("kind", choices=_KINDS, help="kind of file: %(choices)s", metavar="KIND")
    parser.add_argument("file", nargs="?", help="the file to write (default: print it)")
    add_replace(parser)


def schema(options: argparse.Namespace) -> int:
    """Write or print the JSON Schema of a kind of file."""
    from kinematics.inputs.schema import schema_of
    from reports.outputs.safe_write import write_content

    text = json.dumps(schema_of(options.kind), indent=1) + "\n"
    if options.file is None:
        sys.stdout.write(text)
        return WITHIN
    write_content(Path(options.file), text, replace=options.replace)
    say_written(Path(options.file))
    return WITHIN

"""The command line. Exit status: 0 within limits, 1 outside, 2 the input was at fault; others for what went wrong."""

import argparse
import io
import sys
import traceback
from collections.abc import Callable, Sequence

from kinematics.inputs.reading.faults import InputFaultError
from reports.command_menu import menu
from reports.command_parser import command_named
from reports.commands.car_and_limits import AT_FAULT
from reports.commands.import_points import plain_axis
from reports.option_values import plain_number, refuse_unfit_words

INTERRUPTED = 130  # as shells count: 128 and the signal's number
READER_GONE = 141
FAULT_OF_ITS_OWN = 70  # EX_SOFTWARE of sysexits.h
_OWN_FAULT = (
    "this is a fault of cornersweep, not of your files: nothing it was writing is half-written. Please report the "
    "lines above, with the car file if you may."
)


def run() -> int:
    """Run the command that the program was started with; a fault of its own is told as such."""
    try:
        return main()
    except Exception:
        traceback.print_exc()
        print(_OWN_FAULT, file=sys.stderr)
        return FAULT_OF_ITS_OWN


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        # Not every terminal can show every name: better a question mark in it than no verdict.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    words = sys.argv[1:] if arguments is None else list(arguments)
    try:
        refuse_unfit_words(words)
        options = parsed(words)
        carry_out: Callable[[argparse.Namespace], int] = options.run
        status = carry_out(options)
        sys.stdout.flush()
        return status
    except InputFaultError as fault:
        print(fault, file=sys.stderr)
        return AT_FAULT
    except BrokenPipeError:
        # The reader of our output has gone, as `| head` does; nothing is left to say, and no verdict to give.
        sys.stderr.close()
        return READER_GONE
    except KeyboardInterrupt:
        print("stopped; files already named are whole", file=sys.stderr)
        return INTERRUPTED
    except OSError as error:
        print(f"this cannot be printed where it should go: {error.strerror}", file=sys.stderr)
        return AT_FAULT


def parsed(words: Sequence[str]) -> argparse.Namespace:
    """What a command line asks for; `run` is what carries it out, and raises the faults of its inputs."""
    offered, first = menu(), next(iter(words), None)
    if first is None:
        offered.parser.print_help(sys.stderr)
        offered.parser.exit(AT_FAULT, "\ncornersweep: name a command\n")
    if first.startswith("-"):
        return offered.parser.parse_args(words)
    command = command_named(first, offered.commands, offered.parser)
    return command.parse_anywhere([plain_number(plain_axis(word)) for word in words[1:]])

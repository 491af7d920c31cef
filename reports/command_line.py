"""The command line. Exit status: 0 within limits, 1 outside, 2 the input was at fault; others for what went wrong."""

import argparse
import contextlib
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
from reports.standard_input import as_read
from reports.standard_output import outlived
from reports.voice import Voice, speaking

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
    with outlived(sys.stdout) as out:
        status = _ended(words)
    # Files are written all the same; but whoever did not hear it all is not given a verdict.
    if isinstance(out.error, BrokenPipeError):
        return READER_GONE
    if out.error is not None:
        _tell(f"this cannot be printed where it should go: {out.error.strerror}")
        return AT_FAULT
    return status


def _ended(words: Sequence[str]) -> int:
    """Run a command line; the exit status, its faults told."""
    try:
        refuse_unfit_words(words)
        options = parsed(words)
        carry_out: Callable[[argparse.Namespace], int] = options.run
        with speaking(_voice(options)), as_read(options):
            return carry_out(options)
    except InputFaultError as fault:
        _tell(str(fault))
        return AT_FAULT
    except OSError as error:
        _tell(f"{error.filename or 'cornersweep'}: {error.strerror}")
        return AT_FAULT
    except ValueError as error:
        _tell(_of_a_car_that_does_not_stand(error))
        return AT_FAULT
    except KeyboardInterrupt:
        _tell("stopped; files already named are whole")
        return INTERRUPTED


def _of_a_car_that_does_not_stand(error: ValueError) -> str:
    """What to say of a car so near a lock that it is not reached where it was measured; any other error is raised."""
    from kinematics.motion.reasons import UnreachedError
    from reports.words.gaps import gap_words

    if not isinstance(error, UnreachedError):
        raise error
    return (
        f"this car cannot be moved from where it was measured: {gap_words(error.reason)}\n"
        "  look again at the points of that corner: `cornersweep show CAR` tells which entries look wrong"
    )


def _tell(text: str) -> None:
    """Tell what went wrong, if there is anyone to tell."""
    with contextlib.suppress(OSError):
        print(text, file=sys.stderr, flush=True)


def _voice(options: argparse.Namespace) -> Voice:
    """How much a command is to say."""
    if getattr(options, "json", False):
        return Voice.DOCUMENT
    return Voice.HEADLINE if options.quiet else Voice.ALL


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

"""The command line. Exit status: 0 within limits, 1 outside, 2 the input was at fault."""

import argparse
import io
import sys
from collections.abc import Callable, Sequence

from kinematics.inputs.reading.faults import InputFaultError
from reports.command_menu import menu_parser
from reports.commands.car_and_limits import AT_FAULT, WITHIN
from reports.commands.import_points import plain_axis
from reports.option_values import plain_number, refuse_unfit_words


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
        run: Callable[[argparse.Namespace], int] = options.run
        status = run(options)
        sys.stdout.flush()
        return status
    except InputFaultError as fault:
        print(fault, file=sys.stderr)
        return AT_FAULT
    except BrokenPipeError:
        # The reader of our output has gone, as `| head` does; nothing is left to say.
        sys.stderr.close()
        return WITHIN
    except KeyboardInterrupt:
        print("stopped; files already named are whole", file=sys.stderr)
        return AT_FAULT
    except OSError as error:
        print(f"this cannot be printed where it should go: {error.strerror}", file=sys.stderr)
        return AT_FAULT


def parsed(words: Sequence[str]) -> argparse.Namespace:
    """What a command line asks for; `run` is what carries it out, and raises the faults of its inputs."""
    return menu_parser().parse_args([plain_number(plain_axis(word)) for word in words])

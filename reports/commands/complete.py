"""The command completion: a script that lets a shell complete this tool's words."""

import argparse
import sys
from collections.abc import Callable, Mapping

from reports.command_parser import CommandParser
from reports.commands.car_and_limits import WITHIN

_SHELLS = ("bash", "zsh", "fish")  # those of `reports.completion`


def add_completion(
    add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser],
    commands: Mapping[str, CommandParser],
) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about.

    commands: the parsers of all commands, those that are still added too.
    """
    parser = add(
        "completion", completion, "print a script with which a shell completes commands, options and their words"
    )
    parser.add_argument("shell", choices=_SHELLS, help="which shell: %(choices)s", metavar="SHELL")
    parser.set_defaults(commands=commands)


def completion(options: argparse.Namespace) -> int:
    """Print the script."""
    from kinematics.car.suspensions import SUSPENSIONS
    from kinematics.numbers.registry import QUANTITIES
    from reports.completion import SHELLS, commands_of

    types = [name.replace(" ", "-") for name in SUSPENSIONS]
    known = {"suspension": [*types, "means", "plans"], "what": types}
    known |= {"--suspension": types, "--about": list(QUANTITIES)}
    actions = {name: parser.added for name, parser in options.commands.items()}
    about = {name: parser.description or "" for name, parser in options.commands.items()}
    sys.stdout.write(SHELLS[options.shell](commands_of(about, actions, known)))
    return WITHIN

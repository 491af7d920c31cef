"""A command's parser: options stand anywhere after its name, and a wrong one gets the nearest and the usage."""

import argparse
from collections.abc import Mapping, Sequence
from typing import Any, NoReturn

from kinematics.inputs.reading.faults import did_you_mean, shown
from reports.installed import installed_version


class CommandParser(argparse.ArgumentParser):
    """The parser of one command, which knows what was added to it."""

    def __init__(self, *arguments: Any, **named: Any) -> None:
        self.added: list[argparse.Action] = []
        super().__init__(*arguments, **named)

    def add_argument(self, *names: Any, **named: Any) -> argparse.Action:
        """Add an argument as the standard library does."""
        self.added.append(super().add_argument(*names, **named))
        return self.added[-1]

    @property
    def options(self) -> list[str]:
        """The names of its options, as they are written out."""
        return [name for action in self.added for name in action.option_strings if name.startswith("--")]

    def parse_anywhere(self, words: Sequence[str]) -> argparse.Namespace:
        """Read a command's own words, options among the others."""
        if not {"-h", "--help"}.isdisjoint(words):
            # While words are intermixed the parser forgets the defaults that its help tells.
            self.print_help()
            self.exit()
        found, left = self.parse_known_intermixed_args(list(words))
        if left:
            self._refuse(left)
        return found

    def _refuse(self, left: Sequence[str]) -> NoReturn:
        option = next((word for word in left if word.startswith("--") and len(word) > 2), None)
        if option is None:
            self.error(f"read {', '.join(map(shown, left))} besides what this command takes")
        self.error(
            f"read {shown(option)}, no option of this command{did_you_mean(option.partition('=')[0], self.options)}"
        )


class Version(argparse.Action):
    """Print the version that is installed, and end."""

    def __init__(self, option_strings: Sequence[str], dest: str) -> None:
        super().__init__(option_strings, dest, nargs=0, help="print the version and end")

    def __call__(self, parser: argparse.ArgumentParser, *_: Any) -> NoReturn:
        """Print it."""
        print(f"{parser.prog} {installed_version() or '(run from its source, not installed)'}")
        parser.exit()


def command_named(word: str, commands: Mapping[str, CommandParser], parser: argparse.ArgumentParser) -> CommandParser:
    """The command that the first word of a command line names; else the parser's own error, with the nearest name."""
    if word not in commands:
        parser.error(f"read {shown(word)}, no command{did_you_mean(word, commands)}")
    return commands[word]

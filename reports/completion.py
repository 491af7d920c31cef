"""Completion of the command line for three shells, made from its parsers: commands, options and their words."""

import argparse
import shlex
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

NAME = "cornersweep"


@dataclass(frozen=True)
class Word:
    """An option or an argument: its words with dashes (none for an argument), what it is, and what it may be given.

    takes: whether a word follows it. choices: the words allowed, none where it may be any, such as a file's name.
    """

    names: tuple[str, ...]
    about: str
    takes: bool
    choices: tuple[str, ...]


@dataclass(frozen=True)
class Command:
    """A command with its options, and what its first argument may be."""

    name: str
    about: str
    options: tuple[Word, ...]
    first: tuple[str, ...]


def commands_of(
    about: Mapping[str, str], actions: Mapping[str, Sequence[argparse.Action]], known: Mapping[str, Sequence[str]]
) -> list[Command]:
    """All commands, by name what they are about and the parser's own actions.

    known: words for what parsers take as any word, by an option's name, or by an argument's.
    """
    found = []
    for name, own in actions.items():
        words = [_word(one, known) for one in own]
        arguments = [one for one in words if not one.names]
        options = tuple(one for one in words if one.names)
        found.append(Command(name, about[name], options, arguments[0].choices if arguments else ()))
    return found


def _word(action: argparse.Action, known: Mapping[str, Sequence[str]]) -> Word:
    names = tuple(name for name in action.option_strings if name.startswith("--"))
    choices = action.choices if action.choices is not None else known.get(names[0] if names else action.dest, ())
    about = (action.help or "").partition(" (")[0].partition(";")[0].partition(":")[0]
    return Word(names, about, action.nargs != 0, tuple(map(str, choices)))


def bash(commands: Sequence[Command]) -> str:
    """For bash."""
    return _filled(
        _BASH,
        commands=" ".join(one.name for one in commands),
        after=_cases(_after(commands), lambda words: f"words={shlex.quote(' '.join(words))}"),
        options=_cases(_options(commands), lambda words: f"options={shlex.quote(' '.join(words))}"),
        first=_cases(_first(commands), lambda words: f"words={shlex.quote(' '.join(words))}"),
    )


def zsh(commands: Sequence[Command]) -> str:
    """For zsh."""
    described = {one.name: [_described(o.names[0], o.about) for o in one.options] for one in commands}
    return _filled(
        _ZSH,
        commands=" ".join(_described(one.name, one.about) for one in commands),
        after=_cases(_after(commands), lambda words: f"compadd -- {shlex.join(words)}; return"),
        options=_cases(described.items(), lambda words: f"options=({' '.join(words)})"),
        first=_cases(_first(commands), lambda words: f"compadd -- {shlex.join(words)}"),
    )


def fish(commands: Sequence[Command]) -> str:
    """For fish."""
    return (
        f"# Completion of {NAME} for fish: {NAME} completion fish | source\n" + "\n".join(_fish_lines(commands)) + "\n"
    )


def _fish_lines(commands: Sequence[Command]) -> Iterator[str]:
    for one in commands:
        about = shlex.quote(one.about)
        yield f"complete -c {NAME} -n __fish_use_subcommand -f -a {one.name} -d {about}"
        seen = f"-n '__fish_seen_subcommand_from {one.name}'"
        if one.first:
            yield f"complete -c {NAME} {seen} -a {shlex.quote(' '.join(one.first))}"
        for option in one.options:
            words = ["-x", "-a", shlex.quote(" ".join(option.choices))] if option.choices else ["-r"] * option.takes
            long = option.names[0].removeprefix("--")
            yield " ".join([f"complete -c {NAME} {seen} -l {long}", *words, "-d", shlex.quote(option.about)])


def _after(commands: Sequence[Command]) -> Iterator[tuple[str, Sequence[str]]]:
    """What follows an option that takes one of some words."""
    for one in commands:
        for option in one.options:
            for name in option.names if option.choices else ():
                yield f"{one.name} {name}", option.choices


def _options(commands: Sequence[Command]) -> Iterator[tuple[str, Sequence[str]]]:
    return ((one.name, [name for option in one.options for name in option.names]) for one in commands)


def _first(commands: Sequence[Command]) -> Iterator[tuple[str, Sequence[str]]]:
    return ((one.name, one.first) for one in commands if one.first)


def _cases(words: Iterable[tuple[str, Sequence[str]]], do: Callable[[Sequence[str]], str]) -> str:
    return "\n".join(f"        {shlex.quote(when)}) {do(given)} ;;" for when, given in words)


def _described(name: str, about: str) -> str:
    return shlex.quote(f"{name}:{about}")


def _filled(script: str, **parts: str) -> str:
    for key, text in {"name": NAME, **parts}.items():
        script = script.replace(f"@{key}@", text)
    return script


_BASH = """\
# Completion of @name@ for bash: source <(@name@ completion bash)
_@name@() {
    local word="${COMP_WORDS[COMP_CWORD]}" before="${COMP_WORDS[COMP_CWORD - 1]}" words="" options=""
    COMPREPLY=()
    if [ "$COMP_CWORD" -eq 1 ]; then
        COMPREPLY=($(compgen -W '@commands@ --help --version' -- "$word"))
        return
    fi
    case "${COMP_WORDS[1]} $before" in
@after@
    esac
    case "${COMP_WORDS[1]}" in
@options@
    esac
    if [ -n "$words" ]; then
        COMPREPLY=($(compgen -W "$words" -- "$word"))
    elif [[ $word == -* ]]; then
        COMPREPLY=($(compgen -W "$options" -- "$word"))
    elif [ "$COMP_CWORD" -eq 2 ]; then
        case "${COMP_WORDS[1]}" in
@first@
        esac
        COMPREPLY=($(compgen -W "$words" -- "$word"))
    fi
}
complete -o default -F _@name@ @name@
"""
_ZSH = """\
#compdef @name@
# Completion of @name@ for zsh, after compinit: source <(@name@ completion zsh)
_@name@() {
    local -a commands options
    commands=(@commands@)
    if (( CURRENT == 2 )); then
        _describe command commands
        return
    fi
    case "$words[2] $words[CURRENT-1]" in
@after@
    esac
    case "$words[2]" in
@options@
    esac
    if [[ $PREFIX == -* ]]; then
        _describe option options
        return
    fi
    if (( CURRENT == 3 )); then
        case "$words[2]" in
@first@
        esac
    fi
    _files
}
compdef _@name@ @name@
"""
SHELLS: Mapping[str, Callable[[Sequence[Command]], str]] = {"bash": bash, "zsh": zsh, "fish": fish}

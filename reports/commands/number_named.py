"""A number as a person names it on the command line: by its key or its title."""

from collections.abc import Collection

from kinematics.inputs.reading.faults import Fault, did_you_mean


def number_named(word: str, known: Collection[str], option: str) -> str | Fault:
    """Its key, of those that a car has; else what is wrong, at the option that names it."""
    from kinematics.numbers.registry import QUANTITIES

    by_words = {key: key for key in known} | {QUANTITIES[key].title: key for key in known}
    key = by_words.get(word) or by_words.get(word.replace(" ", "_").replace("-", "_"))
    return key or Fault(option, f"this car has no number {word!r}{did_you_mean(word, sorted(known))}")

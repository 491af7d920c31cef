"""Faults of a file beside the boxes of a form: in words for whoever sees the boxes, and knows nothing of the file."""

import re
from collections.abc import Callable, Iterable, Mapping

from kinematics.inputs.reading.faults import Fault, InputFaultError, path_of
from reports.documents.amounts import Record
from reports.page.typed_value import not_read

Named = Callable[[str], str]
_IN_ONE_WAY = "say in one way where it acts: "
# What speaks of how a file is laid out, and what stands for it here.
_OF_A_FILE: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), instead)
    for pattern, instead in (
        (r"give one of: |say what it works along: ", _IN_ONE_WAY),
        (r'along = "(\w+)"', r'"acts along" with \1'),
        (r'like on = "([^"]*)"', r"such as \1"),
        (r" \(like \{[^}]*\}\)", ""),
        (r'is units = "\w+" right\?', "is it in the unit that stands at the box?"),
        (r"read \[\[.*?\]\]; ", ""),
        (r'in quotes such as "([^"]*)"', r"such as \1"),
        (r" (?:without|in) quotes", ""),
        (r" \(the reading of [^)]*\)", ""),
        (r"leave one of the two out", "leave one of the two blank"),
        (r"leave it out", "leave it blank"),
        (r", one \[\[may\]\] for each thing", ""),
    )
)
_KEY = re.compile(r"`(\w+)`|\b([a-z]+(?:_[a-z]+)+)\b")


def box_words(message: str, named: Named) -> str:
    """A fault's message without the language of files; named: a key of a file as the form calls it."""
    words = message
    for pattern, instead in _OF_A_FILE:
        words = pattern.sub(instead, words)
    return _KEY.sub(lambda key: named(key[1] or key[2]), words)


def plain_name(key: str) -> str:
    """A key as words, where nothing else is known of it."""
    return key.replace("_", " ")


class Boxes:
    """The boxes of a form by the file's keys, each with its whole name; sections: keys that say their own faults."""

    def __init__(self, names: Mapping[str, str], sections: Iterable[str] = (), named: Named = plain_name) -> None:
        self.names, self.sections, self.named = dict(names), set(sections), named

    def told(self, fault: Fault, typed: Mapping[str, str]) -> Record:
        """A fault with the box that it stands beside: the first of a table or list that has none itself.

        typed: what stands in boxes and not in the file, by their keys.
        """
        key = self._box_of(path_of(fault.key))
        words = box_words(str(Fault("", fault.message)), self.named)
        return {"key": key, "words": not_read(typed.get(key, ""), words)}

    def refused(self, source: str, faults: Iterable[Fault], typed: Mapping[str, str]) -> InputFaultError:
        """The same as what a save is refused with, each named by its box."""
        told = [self.told(one, typed) for one in faults]
        return InputFaultError(source, [Fault(self._name_of(str(one["key"])), str(one["words"])) for one in told])

    def _box_of(self, key: str) -> str:
        if key in self.names or key in self.sections:
            return key
        return next((box for box in self.names if key and box.startswith(f"{key}.")), key)

    def _name_of(self, key: str) -> str:
        return self.names.get(key) or (plain_name(key.replace(".", ", ")) if key in self.sections else key)

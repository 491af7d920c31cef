"""Faults of a file beside the boxes of a form: in words for whoever sees the boxes, and knows nothing of the file."""

import re
from collections.abc import Callable, Iterable, Mapping

from kinematics.inputs.reading.faults import Fault, InputFaultError, path_of
from reports.documents.amounts import Record
from reports.page.typed_value import not_read

Named = Callable[[str], str]
# Keys, but none within what was read, which is told in quotes.
_KEY = re.compile(r'"[^"]*"|`(\w+)`|\b([a-z]+(?:_[a-z]+)+)\b')


def box_words(fault: Fault, named: Named) -> str:
    """What is wrong and to be done, for whoever sees boxes; named: a key of a file as the form calls it."""
    return _KEY.sub(lambda key: named(key[1] or key[2]) if key[1] or key[2] else key[0], fault.in_box)


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
        return {"key": key, "words": not_read(typed.get(key, ""), box_words(fault, self.named))}

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

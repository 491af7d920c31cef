"""A mapping that cannot be written to."""

from typing import Any, ClassVar, NoReturn, TypeVar

_Key = TypeVar("_Key")
_Value = TypeVar("_Value")


class ReadOnlyMapping(dict[_Key, _Value]):
    """Looked up as fast as a dict, which it is; it refuses to be written to, and can be pickled.

    instead: what its caller does instead, in the words of the refusal.
    """

    instead: ClassVar[str] = "dict(...) makes a copy that can be written to"

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (dict(self),)

    def _refuse(self, *_: Any, **__: Any) -> NoReturn:
        raise TypeError(f"this cannot be written to; {self.instead}")

    __setitem__ = __delitem__ = __ior__ = _refuse
    clear = pop = popitem = setdefault = update = _refuse

"""What the car file said before each save from the page, so that the last ones can be taken back to the letter."""

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.page.file_version import version

_MOST = 20


class SavedBefore:
    """Texts before saves, each with the version that the save made."""

    def __init__(self) -> None:
        self._kept: list[tuple[str, str]] = []

    def keep(self, before: str, after: str) -> None:
        """A save was made."""
        self._kept = [*self._kept, (version(after), before)][-_MOST:]

    def there(self, now: str) -> bool:
        """Whether the file is still what the last save made of it."""
        return bool(self._kept) and self._kept[-1][0] == version(now)

    def take(self, now: str) -> str:
        """The text before the last save; InputFaultError where the file is not what that made of it."""
        if not self.there(now):
            raise InputFaultError("the page", [Fault("", "there is no save of this page to take back any more")])
        return self._kept[-1][1]

    def taken(self) -> None:
        """The last save was taken back."""
        self._kept.pop()

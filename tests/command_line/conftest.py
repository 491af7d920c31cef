"""What tests of commands share."""

import pytest
from matplotlib.figure import Figure


@pytest.fixture
def undrawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave figures unfinished where a test looks at tables: drawing takes most of a command's time."""
    monkeypatch.setattr(Figure, "savefig", lambda _, file, **__: file.write(b"not drawn"))

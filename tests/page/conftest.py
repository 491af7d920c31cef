"""A browser of this machine, driven as a person drives it. Where there is none, every test that wants one says so.

`PAGE_BROWSER` names one to use; with `PAGE_BROWSER=required` a machine without a browser fails.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ROOT = Path(__file__).parents[2]
_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
_NONE = (
    "NO BROWSER: the page was NOT tried in one. Install Chromium (apt-get install chromium) and Playwright "
    "(pip install playwright), or name a browser in PAGE_BROWSER"
)


def _found() -> str | None:
    named = os.environ.get("PAGE_BROWSER", "required")
    return named if named != "required" else next(filter(None, map(shutil.which, _NAMES)), None)


@pytest.fixture(scope="session")
def browser() -> Iterator["Browser"]:
    """Chromium without a window."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        program = None
    else:
        program = _found()
    if program is None:
        missing = pytest.fail if os.environ.get("PAGE_BROWSER") == "required" else pytest.skip
        missing(_NONE)
    with sync_playwright() as driver:
        # As root, as in a container, Chromium starts only without its sandbox; the page tested is our own.
        started = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield started
        started.close()


@contextmanager
def opened(path: Path | None, *options: str, folder: Path | None = None) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """The command, run as it is in the car's folder or another: its address, and the process."""
    car = [] if path is None else [str(path)]
    command = [sys.executable, "-m", "reports", "open", *car, "--no-browser", *options]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    where = folder or (path.parent if path is not None else None)
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=where, env=environment) as running:
        try:
            assert running.stdout is not None
            yield running.stdout.readline().strip(), running
        finally:
            running.terminate()
            running.wait(20)

"""The types in the page's own code fit, by TypeScript's checker, where that is installed (`npm install typescript`)."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent


def test_types_fit() -> None:
    checker = os.environ.get("PAGE_TSC") or shutil.which("tsc")
    if checker is None:
        pytest.skip("tsc is not installed (npm install typescript): types of the page's code were NOT checked")
    done = subprocess.run([checker, "-p", str(HERE / "jsconfig.json")], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "")

"""The page's own code: its types fit, by TypeScript's checker, and a linter (oxlint) finds nothing in it.

Both by the versions that `package-lock.json` beside this file pins. `PAGE_CHECKERS` names the folder that holds the two
programs, and then they must be there.
"""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ASSETS = HERE.parents[1] / "reports" / "page" / "assets"
_NONE = (
    "NO {0}: the page's own code was NOT checked by it. Run `npm ci` beside a copy of tests/page/package.json and "
    "package-lock.json, and name its node_modules/.bin in PAGE_CHECKERS"
)


def run(program: str, *words: str) -> tuple[int, str]:
    """What a checker says of the page's code."""
    named = os.environ.get("PAGE_CHECKERS")
    found = shutil.which(program, path=named)
    if found is None:
        missing = pytest.fail if named else pytest.skip
        missing(_NONE.format(program))
    done = subprocess.run([found, *words], capture_output=True, text=True, check=False)
    return done.returncode, done.stdout


def test_types_fit() -> None:
    assert run("tsc", "-p", str(HERE / "jsconfig.json")) == (0, "")


def test_the_linter_finds_nothing() -> None:
    status, said = run("oxlint", "-c", str(HERE / "oxlintrc.json"), "--deny-warnings", str(ASSETS))
    assert status == 0, said
    assert f"on {len(list(ASSETS.glob('*.js')))} files" in said  # it looked at all of them

"""Run all tests and write tests/README.md from their results: `python -m tests.validation`.

Nothing on that page is written by hand but the words in this file and in the tests' own docstrings and comments.
"""

import ast
import io
import os
import re
import sys
import tempfile
import tokenize
from collections import Counter, defaultdict
from pathlib import Path

import pytest

from tests.validation import KEY, Agreement

TESTS = Path(__file__).parents[1]
_PAGE = TESTS / "README.md"
_LABELS = {
    "seen in source": r"\bseen\b",
    "from memory": r"from memory|\brecalled\b",
    "formula": r"\bformula",
    "common practice, no source": r"common practice",
}
_FOLDERS = {
    "published": "Published worked examples, closed forms, standards and reference data",
    "engines": "Independent multibody engines, from the same points by builders that share no code",
    "equivalences": "One linkage described in two ways",
    "properties": "Properties over random plausible cars, and the planar closed forms over the whole travel",
    "loads": "Springs, bars, weights and lean",
    "plans": "Changes on paper, re-alignment, rules, stops",
    "doubt": "Doubt carried through every number",
    "survey": "From readings to points",
    "trade": "Facts of the trade",
    "robustness": "Random cars, mutated files, full disks and interrupted runs",
    "bad_input": "What a person gets for faulty files and commands",
    "command_line": "Every command end to end",
    "unit": "Single modules and figures",
}
_HEAD = """\
# tests

*Written by `python -m tests.validation` from the results of the tests; not by hand.*

A test asserts a number from outside the code under test, or a property that could fail. Each line below is one file of
checks: what was compared and with which source, in its own words; the labels that its sources carry ("seen in source",
"from memory", "formula", "common practice, no source"; none where a check needs no source); how many checks passed; and
the closest call: of all its comparisons the one that came nearest to its tolerance, as reached / asked, in the unit
compared there (mm, rad, deg, N or a part of one). All others of that file agree better, measured by what was asked.

Run all: `python -m pytest -q -n 2`; one folder: `python -m pytest -q tests/published`.
"""


class Results:
    """Counts and closest calls of each file, as reports come in."""

    def __init__(self) -> None:
        self.outcomes: dict[str, Counter[str]] = defaultdict(Counter)
        self.closest: dict[str, Agreement] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Take one report in."""
        path = report.nodeid.partition("::")[0]
        if report.when == "call" or report.outcome != "passed":
            self.outcomes[path][report.outcome] += 1
        for key, value in report.user_properties if report.when == "call" else ():
            reached, asked = value if key == KEY else (0.0, 0.0)
            if key == KEY and reached / asked >= self._ratio(path):
                self.closest[path] = (reached, asked)

    def _ratio(self, path: str) -> float:
        reached, asked = self.closest.get(path, (-1.0, 1.0))
        return reached / asked


def main() -> int:
    """Run, write, and return what pytest returned."""
    results = Results()
    options = ["-q", "-n", "2", "-p", "tests.validation.agreement_log", "-o", "enable_assertion_pass_hook=true"]
    # Assertions are compiled anew, with the hook in them, and not left for ordinary runs.
    with tempfile.TemporaryDirectory() as compiled:
        os.environ["PYTHONPYCACHEPREFIX"] = compiled
        sys.pycache_prefix = compiled
        status = int(pytest.main([*options, *(sys.argv[1:] or [str(TESTS)])], plugins=[results]))
    if status in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED):
        _PAGE.write_text(page(results), encoding="utf-8")
    return status


def page(results: Results) -> str:
    """The page as Markdown."""
    total = sum((counts for counts in results.outcomes.values()), Counter())
    lines = [_HEAD, f"{total['passed']} checks passed, {total['skipped']} were skipped, {total['failed']} failed.", ""]
    for folder, title in _FOLDERS.items():
        files = sorted(path for path in results.outcomes if Path(path).parts[1] == folder)
        if not files:
            continue
        lines += [f"## {title}", ""]
        lines += ["| checks | what was compared, with which source | labels | passed | reached / asked |"]
        lines += ["| --- | --- | --- | --- | --- |"]
        lines += [_line(path, results) for path in files]
        lines += [""]
    return "\n".join(lines)


def _line(path: str, results: Results) -> str:
    relative = Path(path).relative_to("tests")
    text = (TESTS / relative).read_text(encoding="utf-8")
    words = " ".join((ast.get_docstring(ast.parse(text)) or "").split()).replace("|", "\\|")
    said = " ".join([words, *_comments(text)])
    labels = [label for label, pattern in _LABELS.items() if re.search(pattern, said)]
    name = relative.stem.removeprefix("test_").replace("_", " ")
    closest = results.closest.get(path)
    call = "" if closest is None else f"{closest[0]:.1e} / {closest[1]:.1e}"
    counts = results.outcomes[path]
    passed = f"{counts['passed']}" + (f", {counts['skipped']} skipped" if counts["skipped"] else "")
    return f"| [{name}]({relative}) | {words} | {'; '.join(labels)} | {passed} | {call} |"


def _comments(text: str) -> list[str]:
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    return [token.string for token in tokens if token.type == tokenize.COMMENT]


if __name__ == "__main__":
    raise SystemExit(main())

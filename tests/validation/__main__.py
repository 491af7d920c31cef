"""Run all tests and write tests/README.md from their results: `python -m tests.validation`.

With paths it runs these anew and keeps what the others said last.

Nothing on that page is written by hand but the words in this file and in the tests' own docstrings and comments.
"""

import ast
import io
import json
import os
import re
import sys
import tempfile
import tokenize
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.validation import KEY, Agreement

TESTS = Path(__file__).parents[1]
_PAGE = TESTS / "README.md"
_SEED = 1  # of the random cars: the page is the same when it is written again
_LAST = TESTS / "validation/.last_results.json"
_LABELS = {
    "seen in source": r"(?<!is )\b[Ss]een\b(?! (?:from|by|as|edge))",
    "from memory": r"[Ff]rom memory|\b[Rr]ecalled\b",
    "formula": r"\b[Ff]ormula",
    "common practice, no source": r"[Cc]ommon practice",
}
_FOLDERS = {
    "published": "Published worked examples, closed forms, standards and reference data",
    "engines": "Independent multibody engines, from the same points by builders that share no code",
    "equivalences": "One linkage described in two ways",
    "properties": "Properties over random plausible cars, and the planar closed forms over the whole travel",
    "loads": "Springs, bars, weights and lean",
    "plans": "Changes on paper, re-alignment, rules, stops",
    "finding": "Plans found within the means at hand, and what each point does",
    "garage": "Set-up sheet, scales and the record of a car",
    "doubt": "Doubt carried through every number",
    "survey": "From readings to points",
    "trade": "Facts of the trade",
    "outputs": "Every number that is printed, written or drawn, read back",
    "page": "The page, by its requests and in a browser",
    "robustness": "Random cars, mutated files, full disks and interrupted runs",
    "bad_input": "What a person gets for faulty files and commands",
    "command_line": "Every command end to end",
    "unit": "Single modules and figures",
}
_FILE_BY_FILE = ("page", "robustness", "bad_input", "command_line", "unit")  # one line a file will do
_HEAD = """\
# tests

*Written by `python -m tests.validation` from the results of the tests; not by hand.*

A test asserts a number from outside the code under test, or a property that could fail. Below stand every file of
checks, what it compares and with which source, in its own words, and every check in it: what it says; the labels that
its sources carry ("seen in source", "from memory", "formula", "common practice, no source"; none where the file's
head says it or a check needs no source); how often it passed, with one geometry or number after another; and its
closest call: of all its comparisons the one that came nearest to its tolerance, as reached / asked, in the unit
compared there (mm, rad, deg, N or a part of one). All its other comparisons agree better, measured by what was asked.
Where nothing stands, the check compares no sizes: it asks for a sign, an order, a word.

Run all: `python -m pytest -q -n 2 --campaign`; few random cars and no long campaigns, in minutes: without
`--campaign`; one folder: `python -m pytest -q tests/published`.

What runs when, of all tests below (functions, and cases with one car or number after another):

| run | functions | cases | besides the checks that are always run |
| --- | --- | --- | --- |
| short: `python -m pytest -q -n 2` | 1729 | 5068 | a fixed random axle or two of each type; one type in three of \
each check of many types; commands in inches; a few of the browser's |
| campaign: the same with `--campaign` | 2111 | 8729 | 20 random axles for one or two; all types; the engines' other \
axles; further cars beside a lock; commands in mm; further demos, plans and vector files; all of the browser's; \
long statistics of surveys; wild cars of all types; Dask; the longest checks |

`bash .ci/run` runs the campaign, by seed 1; `CAMPAIGN_SEED=2 bash .ci/run` by another.
"""


Check = tuple[str, str]  # file and name


class Results:
    """Counts and closest calls of each check, as reports come in."""

    def __init__(self) -> None:
        self.outcomes: dict[Check, Counter[str]] = defaultdict(Counter)
        self.closest: dict[Check, Agreement] = {}
        self._last: dict[Check, tuple[Counter[str], Agreement | None]] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Take one report in."""
        path, _, rest = report.nodeid.partition("::")
        check = (path, rest.partition("[")[0])
        if report.when == "call" or report.outcome != "passed":
            self.outcomes[check][report.outcome] += 1
        for key, value in report.user_properties if report.when == "call" else ():
            if key == KEY:
                self.closest[check] = max(self.closest.get(check, value), value, key=_part)

    def recall(self) -> None:
        """What all checks said when the page was last written here, those of this run taken from it as they report."""
        if not _LAST.is_file():
            raise SystemExit("nothing is kept of an earlier run: run all first, `python -m tests.validation`")
        for path, name, counts, agreement in json.loads(_LAST.read_text(encoding="utf-8")):
            self._last[path, name] = (Counter(counts), agreement and (agreement[0], agreement[1]))

    def remember(self) -> None:
        """Keep them for the next time; a file that ran has only what it said now."""
        anew = {path for path, _ in self.outcomes}
        for check, (counts, agreement) in self._last.items():
            if check[0] not in anew and (TESTS.parent / check[0]).is_file():
                self.outcomes[check] = counts
                if agreement is not None:
                    self.closest[check] = agreement
        kept = [(*check, counts, self.closest.get(check)) for check, counts in self.outcomes.items()]
        _LAST.write_text(json.dumps(kept), encoding="utf-8")

    def of(self, path: str) -> dict[Check, Counter[str]]:
        """The checks of one file."""
        return {check: counts for check, counts in self.outcomes.items() if check[0] == path}


def _part(agreement: Agreement) -> float:
    reached, asked = agreement
    return reached / asked


def main() -> int:
    """Run, write, and return what pytest returned: all tests, or those named, with what the others said last."""
    results = Results()
    if len(sys.argv) > 1:
        results.recall()
        runs = [(sys.argv[1:], True)]
    else:
        # To note each comparison takes time, so that it is left out where the page tells none.
        folders = [(str(TESTS / folder), folder not in _FILE_BY_FILE) for folder in _FOLDERS]
        runs = [([path for path, noted in folders if noted == listening], listening) for listening in (False, True)]
    statuses = [_run(results, paths, listening=listening) for paths, listening in runs]
    if all(status in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED) for status in statuses):
        results.remember()
        _PAGE.write_text(page(results), encoding="utf-8")
    return max(statuses)


def _run(results: Results, paths: list[str], *, listening: bool) -> int:
    options = ["-q", "-n", "2", "--campaign", f"--hypothesis-seed={_SEED}"]
    if listening:
        options += ["-p", "tests.validation.agreement_log", "-o", "enable_assertion_pass_hook=true"]
    # Assertions are compiled anew, with the hook in them, and not left for ordinary runs.
    with tempfile.TemporaryDirectory() as compiled:
        os.environ["PYTHONPYCACHEPREFIX"] = compiled
        sys.pycache_prefix = compiled
        return int(pytest.main([*options, *paths], plugins=[results]))


def page(results: Results) -> str:
    """The page as Markdown."""
    total = sum(results.outcomes.values(), Counter())
    counted = f"{len(results.outcomes)} test functions in {len({path for path, _ in results.outcomes})} files; run with"
    counted += f" one geometry or number after another {total.total()} cases: {total['passed']} passed,"
    counted += f" {total['skipped']} were skipped, {total['failed']} failed."
    lines = [_HEAD, counted, ""]
    for folder, title in _FOLDERS.items():
        files = sorted({path for path, _ in results.outcomes if Path(path).parts[1] == folder})
        if not files:
            continue
        lines += [f"## {title}", ""]
        if folder in _FILE_BY_FILE:
            lines += ["| checks | what they compare | functions | passed |", "| --- | --- | --- | --- |"]
            lines += [_file_line(path, results) for path in files] + [""]
        else:
            lines += [line for path in files for line in _checks(path, results)]
    return "\n".join(lines)


def _file_line(path: str, results: Results) -> str:
    link, words, _ = _about(path)
    checks = results.of(path)
    return f"| {link} | {_cell(words)} | {len(checks)} | {_passed(sum(checks.values(), Counter()))} |"


def _checks(path: str, results: Results) -> Iterator[str]:
    """One file's head and a line for each of its checks, in the file's order."""
    link, words, labels = _about(path)
    yield from (f"### {link}", "", words, "")
    if labels:
        yield from (f"Labels: {labels}.", "")
    told = _functions(path)
    yield from ("| check | what it says | labels | passed | reached / asked |", "| --- | --- | --- | --- | --- |")
    counted = results.of(path)
    order = list(told)
    for check in sorted(counted, key=lambda one: order.index(one[1]) if one[1] in told else len(order)):
        says, own = told.get(check[1], ("", ""))
        name = check[1].rpartition("::")[2].removeprefix("test_").replace("_", " ")
        closest = results.closest.get(check)
        call = "" if closest is None else f"{closest[0]:.1e} / {closest[1]:.1e}"
        yield f"| {name} | {_cell(says)} | {own} | {_passed(counted[check])} | {call} |"
    yield ""


def _about(path: str) -> tuple[str, str, str]:
    """A file's link, what it says of itself, and the labels in it."""
    relative = Path(path).relative_to("tests")
    text = (TESTS / relative).read_text(encoding="utf-8")
    words = " ".join((ast.get_docstring(ast.parse(text)) or "").split())
    name = relative.stem.removeprefix("test_").replace("_", " ")
    return f"[{name}]({relative})", words, _labels(" ".join([words, *_comments(text)]))


def _functions(path: str) -> dict[str, tuple[str, str]]:
    """What each test says of itself, and its own labels, by its name behind the file's in a test's full name."""
    text = (TESTS / Path(path).relative_to("tests")).read_text(encoding="utf-8")
    found = {}
    for node in ast.parse(text).body:
        owner = f"{node.name}::" if isinstance(node, ast.ClassDef) else ""
        for one in node.body if isinstance(node, ast.ClassDef) else [node]:
            if isinstance(one, ast.FunctionDef):
                says = " ".join((ast.get_docstring(one) or "").split())
                source = ast.get_source_segment(text, one) or ""
                found[owner + one.name] = (says, _labels(" ".join([says, *_comments(source)])))
    return found


def _labels(said: str) -> str:
    return "; ".join(label for label, pattern in _LABELS.items() if re.search(pattern, said))


def _cell(words: str) -> str:
    return words.replace("|", "\\|")


def _passed(counts: Counter[str]) -> str:
    others = "".join(f", {counts[one]} {one}" for one in ("skipped", "failed") if counts[one])
    return f"{counts['passed']}{others}"


def _comments(text: str) -> list[str]:
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    return [token.string for token in tokens if token.type == tokenize.COMMENT]


if __name__ == "__main__":
    raise SystemExit(main())

"""Print the table of timings: `python -m benchmarks`, or `--quick`; `--write` puts it into README.md too."""

import argparse
import platform
from importlib.metadata import version
from itertools import chain
from pathlib import Path

from benchmarks import (
    certificate_rows,
    cold_rows,
    compiled_rows,
    engine_rows,
    find_rows,
    load_rows,
    page_rows,
    report_rows,
    rows,
    scaling_rows,
)
from benchmarks.timing import Row

_PAGE = Path(__file__).with_name("README.md")
_PARTS = (
    rows,
    certificate_rows,
    compiled_rows,
    engine_rows,
    scaling_rows,
    load_rows,
    find_rows,
    page_rows,
    report_rows,
    cold_rows,
)
_BEGIN, _END = "<!-- table: python -m benchmarks --write -->", "<!-- end of table -->"


def main() -> int:
    """Time every row; 1 if a comparison that is needed is void."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer repeats, cars and positions: a look, not a record")
    parser.add_argument("--write", action="store_true", help="put the table into benchmarks/README.md")
    arguments = parser.parse_args()
    about = f"Python {platform.python_version()}, NumPy {version('numpy')}, SciPy {version('scipy')}, one core"
    print(about)
    timed = []
    for row in chain(*(part.rows(arguments.quick) for part in _PARTS)):
        _show(row)
        timed.append(row)
    if arguments.write:
        how = "--quick --write" if arguments.quick else "--write"
        _write([f"Timed with `python -m benchmarks {how}`: {about}.", "", *_table(timed)])
    return int(any(row.void and row.needed for row in timed))


def _show(row: Row) -> None:
    print(
        f"\n{row.name}\n  this tool {_time(row.ours)}, {row.against} {_time(row.other)}: {_ratio(row)}\n  {row.note}",
        flush=True,
    )


def _table(timed: list[Row]) -> list[str]:
    lines = ["| work | against | this tool | the other | this tool is | |", "| --- | --- | --- | --- | --- | --- |"]
    cells = ((row.name, row.against, _time(row.ours), _time(row.other), _ratio(row), row.note) for row in timed)
    return lines + [f"| {' | '.join(row)} |" for row in cells]


def _write(lines: list[str]) -> None:
    before, rest = _PAGE.read_text(encoding="utf-8").split(_BEGIN)
    after = rest.split(_END)[1]
    _PAGE.write_text("\n".join([before + _BEGIN, *lines, _END]) + after, encoding="utf-8")


def _ratio(row: Row) -> str:
    if row.void:
        return f"{'VOID' if row.needed else 'left out'}: {row.void}"
    faster = row.ratio
    return (
        f"{faster:.0f} times faster"
        if faster >= 10.0
        else f"{faster:.1f} times faster"
        if faster >= 1.0
        else f"{1.0 / faster:.1f} times slower"
    )


def _time(seconds: float) -> str:
    return f"{seconds:.2f} s" if seconds >= 1.0 else f"{1e3 * seconds:.3g} ms"


if __name__ == "__main__":
    raise SystemExit(main())

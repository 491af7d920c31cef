"""Print the table of timings: `python -m benchmarks`, or `python -m benchmarks --quick`."""

import argparse
import platform
from importlib.metadata import version

from benchmarks.rows import rows
from benchmarks.timing import Row


def main() -> int:
    """Time every row; 1 if a comparison is void."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer repeats, cars and positions: a look, not a record")
    arguments = parser.parse_args()
    print(f"Python {platform.python_version()}, NumPy {version('numpy')}, SciPy {version('scipy')}, one core")
    void = False
    for row in rows(arguments.quick):
        _show(row)
        void = void or bool(row.void)
    return int(void)


def _show(row: Row) -> None:
    ratio = f"VOID: {row.void}" if row.void else f"{row.ratio:.0f} times faster"
    print(
        f"\n{row.name}\n  this tool {_time(row.ours)}, plain loop {_time(row.other)}: {ratio}\n  {row.note}", flush=True
    )


def _time(seconds: float) -> str:
    return f"{seconds:.2f} s" if seconds >= 1.0 else f"{1e3 * seconds:.3g} ms"


if __name__ == "__main__":
    raise SystemExit(main())

"""A page of every figure that the commands draw of the built-in cars: `python -m reports.gallery FOLDER`.

The commands themselves draw them, each into a folder of its own; `index.html` shows them all with their words.
"""

import argparse
import contextlib
import html
import io
import re
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from kinematics.inputs.demo_cars import DEMO_CARS, DEMO_MEANS, DEMO_PLANS, DEMO_SHELVES, demo_text
from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.cautions import CAUTION
from reports.command_line import main as command
from reports.outputs.safe_write import make_folder, refuse_existing, write_content

_SVG = ("--drawing", "svg")
_UNDER_LOAD = ("--braking", "0.5", "--driving", "0.3", "--cornering", "0.8")
_DESCRIPTION = re.compile(r'<desc id="description">(.*?)</desc>', re.DOTALL)
_STYLE = """\
body { font-family: sans-serif; margin: 1rem auto; max-width: 110rem; padding: 0 1rem; color: #111; background: #fff; }
section { display: grid; grid-template-columns: repeat(auto-fill, minmax(24rem, 1fr)); gap: 1rem; }
figure { margin: 0; border: 1px solid #bbb; padding: 0.5rem; break-inside: avoid; }
img { width: 100%; height: auto; background: #fff; }
figcaption { font-family: monospace; overflow-wrap: anywhere; }
"""


@dataclass(frozen=True)
class _Row:
    """A command line of one car, and the figures that it wrote, as paths from the page."""

    words: str
    figures: Sequence[Path]


def write_gallery(folder: Path, *, replace: bool = False) -> Path:
    """Draw everything into a folder and write its page; InputFaultError where files are there already."""
    page = folder / "index.html"
    refuse_existing([page], replace=replace)
    make_folder(folder)
    cars = {name: list(_rows(folder, name, replace=replace)) for name in DEMO_CARS}
    write_content(page, _page(folder, cars), replace=replace)
    return page


def _rows(folder: Path, name: str, *, replace: bool) -> Iterator[_Row]:
    """Every command that draws, on one car."""
    home = folder / name
    make_folder(home)
    files = {
        kind: shipped[name]
        for kind, shipped in (
            ("car", DEMO_CARS), ("plans", DEMO_PLANS), ("means", DEMO_MEANS), ("shelf", DEMO_SHELVES),
        )
        if name in shipped
    }  # fmt: skip
    for file in files.values():
        write_content(home / file, demo_text(file), replace=replace)
    with contextlib.chdir(home):
        for words in _command_lines(files):
            written = _drawn([*words, *(["--replace"] if replace else [])])
            yield _Row(f"cornersweep {' '.join(words)}", [Path(name) / one for one in written])


def _command_lines(files: dict[str, str]) -> Iterator[list[str]]:
    car = files["car"]
    yield ["sweep", car, "sweep", *_SVG]
    yield ["draw", car, "front.svg"]
    yield ["draw", car, "rolled.svg", "--bump", "20", "--roll", "1.5"]
    yield ["influence", car, "--into", "influence", *_SVG]
    yield ["travel", car, *([files["plans"]] if "plans" in files else []), "--into", "travel", *_SVG]
    yield ["doubt", car, "--into", "doubt", "--draws", "200", *_SVG]
    if "plans" in files:
        yield ["compare", car, files["plans"], "--into", "compare", *_SVG]
    if "means" in files:
        yield ["find", car, files["means"], "--into", "find", *_SVG]
    if "shelf" in files:
        yield ["lean", car, *_UNDER_LOAD, "--into", "lean", *_SVG]


def _drawn(words: list[str]) -> list[Path]:
    """The figures that a command writes where its words say, in the order of their names; its own are not shown."""
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()) as said:
        status = command(words)
    if status not in (0, 1):
        raise InputFaultError(" ".join(words), [Fault("", said.getvalue().strip())])
    named = [Path(word) for word in words[1:]]
    return sorted(path for one in named for path in ([one] if one.suffix == ".svg" else one.glob("*.svg")))


def _page(folder: Path, cars: dict[str, list[_Row]]) -> str:
    """The page as HTML; words from files are text there."""
    body = []
    for name, rows in cars.items():
        body.append(f'<h2 id="{html.escape(name)}">{html.escape(name)} (invented)</h2>')
        for row in rows:
            shown = [_figure(folder, path) for path in row.figures]
            if shown:
                body += [f"<h3><code>{html.escape(row.words)}</code></h3>", "<section>", *shown, "</section>"]
    count = sum(len(row.figures) for rows in cars.values() for row in rows)
    title = f"{count} figures of the built-in cars"
    head = [
        "<!DOCTYPE html>", '<html lang="en">', "<head>", '<meta charset="utf-8">', f"<title>{title}</title>",
        '<meta name="viewport" content="width=device-width">', f"<style>{_STYLE}</style>", "</head>", "<body>",
    ]  # fmt: skip
    return "\n".join([*head, f"<h1>{title}</h1>", f"<p>{html.escape(CAUTION)}</p>", *body, "</body>", "</html>", ""])


def _figure(folder: Path, path: Path) -> str:
    told = _DESCRIPTION.search((folder / path).read_text(encoding="utf-8"))
    words = told[1] if told else html.escape(path.stem)
    source = html.escape(path.as_posix())
    picture = f'<a href="{source}"><img src="{source}" loading="lazy" alt="{words}"></a>'
    return f"<figure>{picture}<figcaption>{source}</figcaption></figure>"


def run(words: Sequence[str] | None = None) -> int:
    """Write the gallery into the folder that is named; 2 where it cannot be written."""
    parser = argparse.ArgumentParser(prog="python -m reports.gallery", description="every figure of the built-in cars")
    parser.add_argument("folder", type=Path, help="where the page and its figures go")
    parser.add_argument("--replace", action="store_true", help="write over files that are there already")
    options = parser.parse_args(words)
    try:
        write_gallery(options.folder, replace=options.replace)
    except InputFaultError as fault:
        sys.stderr.write(f"{fault}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(run())

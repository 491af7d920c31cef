"""A report as one page of HTML that needs nothing else: pictures and looks stand within it, and nothing runs."""

import itertools
from collections.abc import Callable, Iterator, Sequence
from html import escape
from importlib.resources import files

from reports.paper.blocks import Beside, Block, Caution, Document, Picture, Points, Row, Section, Table, Terms, Words
from reports.paper.inked import within_a_page
from reports.paper.installed import refuse_missing

_LOOKS = "report.css"
_SHORT = 24  # rows of a table that stays on one page


def html(document: Document, size: str) -> bytes:
    """The whole page, as UTF-8; size: of the paper, as CSS calls it, or empty to leave it to the printer."""
    numbers = itertools.count(1)  # of pictures
    lines = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(document.title)}</title>",
        f"<style>\n{looks()}{f'@page {{ size: {size}; }}' if size else ''}</style>",
        "</head>",
        "<body>",
        "<main>",
        f"<h1>{escape(document.title)}</h1>",
        *(f'<p class="about">{escape(line)}</p>' for line in document.about),
        '<div class="headline">',
        *(f"<p>{escape(line)}</p>" for line in document.headline),
        "</div>",
        *(line for place, section in enumerate(document.sections, 1) for line in _section(section, place, numbers)),
        "</main>",
        "</body>",
        "</html>",
    ]
    return ("\n".join(lines) + "\n").encode("utf-8")


def looks() -> str:
    """The page's style sheet; InputFaultError where it is missing."""
    with refuse_missing(_LOOKS):
        return (files(__package__) / "assets" / _LOOKS).read_text(encoding="utf-8")


def _section(section: Section, place: int, numbers: Iterator[int]) -> Iterator[str]:
    page = ' class="page"' if section.new_page else ""
    yield f'<section{page} aria-labelledby="section-{place}">'
    yield f'<h2 id="section-{place}">{escape(section.heading)}</h2>'
    for block in section.blocks:
        yield from _block(block, numbers)
    yield "</section>"


def _block(block: Block, numbers: Iterator[int]) -> Iterator[str]:
    match block:
        case Words():
            text = escape(block.text)
            yield f'<p class="over"><strong>{text}</strong></p>' if block.strong else f"<p>{text}</p>"
        case Points():
            kind = "ol" if block.numbered else "ul"
            yield f"<{kind}>"
            yield from (f"<li>{escape(text)}</li>" for text in block.texts)
            yield f"</{kind}>"
        case Caution():
            yield f'<p class="caution">{escape(block.text)}</p>'
        case Terms():
            yield "<dl>"
            yield from (f"<div><dt>{escape(word)}</dt> <dd>{escape(text)}</dd></div>" for word, text in block.meanings)
            yield "</dl>"
        case Table():
            yield from _table(block)
        case Beside():
            yield '<div class="beside">'
            for table in block.tables:
                yield from _table(table)
            yield "</div>"
        case Picture():
            yield from _picture(block, next(numbers))


def _picture(picture: Picture, number: int) -> Iterator[str]:
    small = ' class="small"' if picture.small else ""
    yield f'<figure{small} tabindex="0">\n{within_a_page(picture, f"figure-{number}")}\n</figure>'


def _table(table: Table) -> Iterator[str]:
    yield f'<div class="table{" short" if len(table.rows) <= _SHORT else ""}" tabindex="0">'
    yield "<table>"
    yield f"<caption>{escape(table.caption)}</caption>"
    yield "<thead>"
    yield _row(table.heads, lambda _: ("th", 'scope="col"'), table.right)
    yield "</thead>"
    yield "<tbody>"
    for place, row in enumerate(table.rows):
        if place and row.look == "group":
            yield "</tbody>\n<tbody>"
        yield _body_row(row, table)
    yield "</tbody>"
    yield "</table>"
    yield "</div>"


def _body_row(row: Row, table: Table) -> str:
    if row.look == "group":
        head = f'<th scope="rowgroup" colspan="{len(table.heads)}">{escape(row.cells[0])}</th>'
        return f'<tr class="group">{head}</tr>'
    # The first cell says what the row is about.
    text = _row(row.cells, lambda place: ("td", "") if place else ("th", 'scope="row"'), table.right)
    return text.replace("<tr>", '<tr class="out">', 1) if row.look == "out" else text


def _row(cells: Sequence[str], kind: Callable[[int], tuple[str, str]], right: frozenset[int]) -> str:
    parts = []
    for place, cell in enumerate(cells):
        tag, about = kind(place)
        words = " ".join(filter(None, (tag, about, 'class="number"' if place in right else "")))
        parts.append(f"<{words}>{escape(cell)}</{tag}>")
    return f"<tr>{''.join(parts)}</tr>"

"""What a screen reader finds in PDFs: each part told as what it is, in order, tables cell by cell, and nothing twice.

The page written as HTML is read by html5lib; tags by ISO 32000-1, 14.7 and 14.8 (from memory).
"""

import re

import pytest

from kinematics.car.lengths import MM
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.survey.reading_list import reading_list
from reports.paper.blocks import Document, Row, Section, Table
from reports.paper.pdf import pdf
from reports.sheet.measuring_sheet import measuring_sheet
from tests.garage.test_set_up_sheet import sheets
from tests.outputs.conftest import Garage
from tests.outputs.reported import Reported, tables, words
from tests.outputs.tagged import Read, TaggedPdf, tagged
from tests.properties.plausible_cars import named
from tests.short_run import at_places

MEASURED = [
    kind for kind in SUSPENSIONS.values() if kind.name != "free linkage"
]  # of others the owner lists the points


@pytest.fixture(scope="module")
def report(garage: Garage, campaign: bool) -> Reported:
    return Reported(garage, "in", campaign)


@pytest.fixture(scope="module")
def read(report: Reported) -> TaggedPdf:
    return tagged(report.pdf)


def squeezed(text: str) -> str:
    return re.sub(r"\s", "", text)


def cells(table: Read) -> list[list[str]]:
    return [[squeezed(cell.text) for cell in row.every("TH", "TD")] for row in table.every("TR")]


@pytest.mark.campaign
def test_every_cell_is_told_as_the_page_has_it(report: Reported, read: TaggedPdf) -> None:
    """Also of tables that go on on the next page, whose heads are set twice and told once."""
    wanted = tables(report.read)
    found = list(read.tree.every("Table"))
    assert [squeezed(one.within[0].text) for one in found] == [squeezed(caption) for caption, _ in wanted]
    for one, (caption, rows) in zip(found, wanted, strict=True):
        assert one.within[0].kind == "Caption"
        assert cells(one) == [[squeezed(cell) for cell in row] for row in rows], caption
    assert sum(len(row) for _, rows in wanted for row in rows) > 300


@pytest.mark.campaign
def test_heads_say_what_they_head(read: TaggedPdf) -> None:
    for table in read.tree.every("Table"):
        (heads,) = next(table.every("THead")).within
        assert {(one.kind, one.scope) for one in heads.within} == {("TH", "/Column")}
        for row in next(table.every("TBody")).within:
            first, *others = row.within
            assert (first.kind, first.scope) == ("TH", "/Row")
            assert {one.kind for one in others} <= {"TD"}


@pytest.mark.campaign
def test_headings_words_and_pictures_in_the_order_of_the_page(report: Reported, read: TaggedPdf) -> None:
    kinds = {"h1": "H1", "h2": "H2", "li": "LI", "caption": "Caption"}
    for on_page, kind in kinds.items():
        wanted = [squeezed(words(one)) for one in report.read.iter(on_page)]
        found = [squeezed(re.sub(r"^(\d+\.|\N{BULLET}) ?", "", one.text)) for one in read.tree.every(kind)]
        assert [one for one in found if one in wanted] == wanted, on_page
    pictures = list(read.tree.every("Figure"))
    assert len(pictures) == len(report.document.pictures)
    drawings = [one for one in report.read.iter() if str(one.tag).endswith("svg")]
    for one, drawing in zip(pictures, drawings, strict=True):
        title, description = (
            words(next(part for part in drawing if str(part.tag).endswith(kind))) for kind in ("title", "desc")
        )
        assert squeezed(one.alt) == squeezed(f"{title}. {description}")
        assert one.text.strip()  # its letters are there, too


@pytest.mark.campaign
def test_the_eye_alone_sees_feet_and_lines(read: TaggedPdf) -> None:
    assert read.untold == ""
    assert read.drawn_untold == 0
    assert "page 1 of " in read.ornaments
    assert str(read.root["/Lang"]) == "en"
    assert bool(read.root["/MarkInfo"]["/Marked"])
    assert bool(read.root["/ViewerPreferences"]["/DisplayDocTitle"])


def test_a_table_over_three_pages_is_one() -> None:
    rows = [Row([f"row{place}", f"{place}.25"]) for place in range(130)]
    section = Section("Rows", [Table("all rows", ["what", "amount"], rows, frozenset({1}))])
    found = tagged(pdf(Document("tried", [], ["said"], [section]), "a4"))
    (table,) = found.tree.every("Table")
    assert cells(table) == [["what", "amount"], *([f"row{place}", f"{place}.25"] for place in range(130))]
    assert found.ornaments.count("amount") == 2  # set anew on the second and third page


def test_the_set_up_sheet_blank_by_blank() -> None:
    """A reader who cannot see it hears of each blank right after what it is for."""
    content, _ = sheets("mm")
    read = tagged(content)
    assert (read.untold, read.drawn_untold) == ("", 0)
    assert "page 1 of 1" in read.ornaments
    (title,) = read.tree.every("H1")
    assert title.text.startswith("Set-up sheet: ")
    assert len(list(read.tree.every("LI"))) > 5
    (table,) = read.tree.every("Table")
    heads, *rows = table.every("TR")
    assert {one.scope for one in heads.within} == {"/Column"}
    assert [len(row.within) for row in rows] == [len(heads.within)] * len(rows)
    for row in rows:
        what, _, _, left, _, read_left, right, _, read_right, doubt = row.within
        assert (what.kind, what.scope) == ("TH", "/Row")
        numbers = left.text.strip(), right.text.strip()
        forms = [[one.blanks for one in cell.every("Form")] for cell in (read_left, read_right, doubt)]
        assert forms == [[[numbers[0]]], [[numbers[1]]], [[f"{numbers[0]} doubt"]]]
        (about,) = read_left.every("Form")
        assert about.alt.startswith(f"{numbers[0]}. left ")


@pytest.mark.parametrize("kind", at_places(MEASURED, 0), ids=named)
def test_the_measuring_sheet_blank_by_blank(kind: SuspensionType) -> None:
    read = tagged(measuring_sheet(kind, MM, "front", "a4"))
    assert (read.untold, read.drawn_untold) == ("", 0)
    (table,) = read.tree.every("Table")
    entries = {str(entry.number) for entry in reading_list(kind)}
    rows = [row for row in table.every("TR") if row.within[0].text.strip() in entries]
    assert len(rows) == len(entries)
    for row in rows:
        blanks = [name for one in row.every("Form") for name in one.blanks]
        assert blanks[0] == row.within[0].text.strip()
    (figure,) = read.tree.every("Figure")
    assert kind.name in figure.alt

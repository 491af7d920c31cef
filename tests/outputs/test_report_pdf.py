"""A report's PDF, read by two programs that know nothing of each other: pypdf and pdfminer.

Pages, fonts and their files by ISO 32000-1, 7.7.3, 9.6 to 9.9 and 14.9 (from memory); A4 is 210 by 297 mm (ISO 216),
Letter 8.5 by 11 in.
"""

import collections
import io
import re
from collections.abc import Callable

import pypdf
import pytest
from matplotlib.figure import Figure

from reports.paper.blocks import Document, Picture, Row, Section, Table, Words
from reports.paper.html import html
from reports.paper.pdf import pdf
from reports.sheet.paper import Paper
from tests.outputs.conftest import Garage
from tests.outputs.reported import (
    Reported,
    numbers,
    pages_by_pdfminer,
    pages_by_pypdf,
    parsed,
    tables,
    words,
)
from tests.short_run import at_places

READERS = {"pypdf": pages_by_pypdf, "pdfminer": pages_by_pdfminer}
HEADS = ["what is told", "amount"]
TITLE = "A point that is found & <b>not bold</b> № 5"


@pytest.fixture(scope="module")
def both(garage: Garage, campaign: bool) -> dict[str, Reported]:
    return {unit: Reported(garage, unit, campaign) for unit in ("mm", "in")}


def long_table(count: int, before: int = 0) -> Document:
    """So many rows, of which each names itself, under so many lines."""
    rows = [Row([f"row{place}", f"{place}.25"]) for place in range(count)]
    lines = [Words(f"line {place}") for place in range(before)]
    return Document("tried", [], ["said"], [Section("Rows", [*lines, Table("all rows", HEADS, rows, frozenset({1}))])])


def drawing() -> Figure:
    figure = Figure(figsize=(4.0, 2.0))
    figure.text(0.1, 0.8, TITLE, fontsize=14.0)
    axes = figure.add_axes((0.2, 0.25, 0.7, 0.4))
    axes.plot([0.0, 1.0], [2.0, 3.0], label="a curve")
    axes.set_xlabel("travel [mm]")
    return figure


PICTURED = Document(TITLE, ["about it"], ["said"], [Section("Seen", [Picture(drawing), Words("then words")])])


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.campaign
def test_it_tells_what_the_page_tells(
    both: dict[str, Reported], unit: str, reader: Callable[[bytes], list[str]]
) -> None:
    """Every number of every table, as often as there, and the words of every paragraph."""
    report = both[unit]
    text = " ".join(reader(report.pdf))
    found = collections.Counter(numbers(text))
    wanted = collections.Counter(
        each for _, rows in tables(report.read) for row in rows for cell in row for each in numbers(cell)
    )
    assert sum(wanted.values()) > 300
    assert {one: count for one, count in wanted.items() if found[one] < count} == {}
    squeezed = re.sub(r"\s", "", text)
    for kind in ("p", "li", "caption", "h1", "h2", "dd"):
        for one in report.read.iter(kind):
            assert re.sub(r"\s", "", words(one)) in squeezed, words(one)


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
def test_a_drawing_is_text_and_told_in_words(reader: Callable[[bytes], list[str]]) -> None:
    content = pdf(PICTURED, "a4")
    (page,) = reader(content)
    assert page.count(TITLE) >= 2  # the document's own, and that of the drawing
    assert "travel [mm]" in page
    assert page.endswith("page 1 of 1") or "page 1 of 1" in page
    (read,) = pypdf.PdfReader(io.BytesIO(content)).pages
    drawn = read["/Resources"]["/XObject"]["/Drawing0"]
    fonts = [font.get_object() for font in drawn["/Resources"]["/Font"].values()]
    assert fonts
    assert b" l\n" in drawn.get_data() or b" l " in drawn.get_data()  # lines, no picture of pixels
    assert "/Image" not in {one.get_object().get("/Subtype") for one in drawn["/Resources"]["/XObject"].values()}


@pytest.mark.parametrize("written", [lambda: pdf(PICTURED, "letter"), lambda: html(PICTURED, "")], ids=["pdf", "html"])
def test_twice_the_same(written: Callable[[], bytes]) -> None:
    first = written()
    assert first == written()
    assert b"20" not in re.findall(rb"/(?:Creation|Mod)Date ?\((.{0,12})", first)
    assert b"Date" not in first


@pytest.mark.parametrize(("paper", "size"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_size_title_language_and_bookmarks(paper: Paper, size: tuple[float, float]) -> None:
    read = pypdf.PdfReader(io.BytesIO(pdf(PICTURED, paper)))
    (page,) = read.pages
    assert [float(side) * 25.4 / 72.0 for side in (page.mediabox.width, page.mediabox.height)] == pytest.approx(
        size, abs=0.1
    )
    assert read.metadata is not None
    assert read.metadata.title == TITLE
    assert read.metadata.creation_date is None
    assert read.trailer["/Root"]["/Lang"] == "en"
    assert [one.title for one in read.outline] == ["Seen"]


@pytest.mark.parametrize("before", [0, 7, 44, 45, 46, 47, 48, 49, 50, 51, 52])
@pytest.mark.parametrize("count", [1, 2, 3, 40, 60, 111, 112, 113])
@pytest.mark.campaign
def test_no_row_stands_alone(before: int, count: int) -> None:
    """On each page at least two rows under the heads, or the one that there is; each row once, in order."""
    pages = pages_by_pypdf(pdf(long_table(count, before), "a4"))
    rows = [[int(one) for one in re.findall(r"row(\d+)", page)] for page in pages]
    assert [one for page in rows for one in page] == list(range(count))
    for page, own in zip(pages, rows, strict=True):
        assert (HEADS[0] in page) == bool(own)
        assert len(own) != 1 or count == 1
    assert [re.search(r"page (\d+) of (\d+)", page).groups() for page in pages] == [
        (str(number), str(len(pages))) for number in range(1, len(pages) + 1)
    ]


@pytest.mark.parametrize("before", [46])
def test_a_table_over_two_pages(before: int) -> None:
    test_no_row_stands_alone(before, 60)


def test_text_is_text_in_both() -> None:
    """What looks like markup, or like an end of the file's own, is read back as it was written."""
    odd = '<i>"x" & y</i> ]]> --> </style></title><script>1</script> ${z} \\( % Ж'
    told = Table(odd, [odd, "amount"], [Row([odd, "1.5"]), Row([odd], "group"), Row([odd, "2.5"], "out")])
    document = Document(odd, [odd], [odd], [Section(odd, [Words(odd), told])])
    tree = parsed(html(document, "").decode("utf-8"))
    assert [one.tag for one in tree.iter() if one.tag in ("script", "i")] == []
    for kind in ("title", "h1", "h2", "caption"):
        assert [words(one) for one in tree.iter(kind)] == [odd]
    text = re.sub(r"\s", "", " ".join(pages_by_pypdf(pdf(document, "a4"))))
    assert text.count(re.sub(r"\s", "", odd)) >= 9


def tall(inches: float) -> Callable[[], Figure]:
    def draw() -> Figure:
        figure = Figure(figsize=(7.2, inches))
        figure.text(0.1, 0.5, f"PICTURE {inches}")
        return figure

    return draw


@pytest.mark.parametrize("lines", at_places(range(2, 62, 6), 0, 4, 7))
@pytest.mark.parametrize("inches", [2.0, 6.0, 9.2])
def test_a_heading_stays_with_its_picture(lines: int, inches: float) -> None:
    """On the page where the picture is, however full the one before; a little smaller where it then fits."""
    before = Section("Before", [Words(f"line {place}") for place in range(lines)])
    after = Section("HEADED", [Picture(tall(inches))])
    content = pdf(Document("tried", [], ["said"], [before, after]), "a4")
    pages = pages_by_pypdf(content)
    (headed,) = [place for place, page in enumerate(pages) if "HEADED" in page]
    assert f"PICTURE {inches}" in pages[headed]
    scales = [
        float(one)
        for page in pypdf.PdfReader(io.BytesIO(content)).pages
        for one in re.findall(rb"q ([\d.]+) 0 0 [\d.]+ 0 0 cm /Drawing0 Do", page.get_contents().get_data())
    ]
    assert len(scales) == 1
    assert 0.87 < scales[0] <= 1.0


def test_a_picture_that_nearly_fits_takes_no_new_page() -> None:
    """9.2 in, 662 pt, and some 104 pt of headings are all of the 765 pt of A4: for any line the picture gives way."""
    section = Section("HEADED", [Picture(tall(9.2))])
    for lines, count in [(2, 1), (4, 1), (12, 2)]:
        document = Document("t", [], ["s"], [Section("Before", [Words("line")] * lines), section])
        assert len(pages_by_pypdf(pdf(document, "a4"))) == count


@pytest.mark.campaign
def test_the_answer_is_one_paragraph_and_each_axle_has_its_heading(both: dict[str, Reported]) -> None:
    document = both["in"].document
    assert len(document.headline) == 1
    if both["in"].whole:
        headings = [one.heading for one in document.sections]
        assert "Curves of the front axle, strut" in headings
        assert "Curves of the rear axle, live axle with three links" in headings

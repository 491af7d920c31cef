"""The measuring sheet on paper and as a form: sizes, blanks, words, the way back into a survey file, and faults."""

import io
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject, TextStringObject

from kinematics.car.lengths import INCH, MM, UNITS
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.reading.faults import InputFaultError
from kinematics.survey.reading_list import reading_list
from reports.command_line import parsed
from reports.sheet.measuring_sheet import measuring_sheet
from reports.sheet.paper import Paper
from reports.sheet.reader import read_sheet
from reports.sheet.sketch import DOT, letters, views
from reports.words.reading_list import what_words
from tests.properties.plausible_cars import SHORT_RUN, named
from tests.short_run import at_places

KINDS = [kind for kind in SUSPENSIONS.values() if not kind.listed]
STRUT = SUSPENSIONS["strut"]
POINT = 72.0 / 25.4  # pt in a mm: 72 to the inch by PDF's definition of user space (from memory), 25.4 mm to the inch
# ISO 216: A4 is 210 x 297 mm; ANSI/ASME Y14.1: A (letter) is 8.5 x 11 in (from memory).
SIZES: dict[Paper, tuple[float, float]] = {"a4": (210 * POINT, 297 * POINT), "letter": (8.5 * 72, 11 * 72)}
MARGIN = 5 * POINT  # most printers leave some 5 mm blank (common practice, no source)


# Every type on one paper, struts on both; of other types a short run has two.
ON_PAPER = [pytest.param(STRUT, "a4"), pytest.param(STRUT, "letter")] + [
    pytest.param(
        kind,
        "letter" if len(kind.name) % 2 else "a4",
        marks=() if kind.name in SHORT_RUN else pytest.mark.campaign,
    )
    for kind in KINDS
    if kind is not STRUT
]


def pages_of(content: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(content), strict=True)


def boxes(reader: PdfReader) -> list[tuple[str, int, tuple[float, ...]]]:
    """Name, page and rectangle of each blank."""
    found = []
    for number, page in enumerate(reader.pages):
        for annotation in page.get("/Annots", []):
            field = annotation.get_object()
            found.append((str(field["/T"]), number, tuple(float(value) for value in field["/Rect"])))
    return found


def filled_in(content: bytes, entries: dict[str, str]) -> bytes:
    """The sheet as a viewer saves it with these entries."""
    writer = PdfWriter(clone_from=io.BytesIO(content))
    for page in writer.pages:
        own = {str(one.get_object()["/T"]) for one in page.get("/Annots", [])} & set(entries)
        if own:
            writer.update_page_form_field_values(page, {name: entries[name] for name in own}, auto_regenerate=False)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def run(*words: str) -> int:
    options = parsed(words)
    status: int = options.run(options)
    return status


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@cache
def made(kind: SuspensionType, paper: Paper) -> bytes:
    """A rear axle's sheet, in inches on letter paper."""
    return measuring_sheet(kind, MM if paper == "a4" else INCH, "rear", paper)


@pytest.mark.campaign
def test_the_same_bytes_every_time() -> None:
    assert made(STRUT, "a4") == measuring_sheet(STRUT, MM, "rear", "a4")


@pytest.mark.parametrize(("kind", "paper"), at_places(ON_PAPER, 0, 3))
def test_every_type_on_paper(kind: SuspensionType, paper: Paper) -> None:
    reader = pages_of(made(kind, paper))
    texts = [" ".join(page.extract_text().split()) for page in reader.pages]
    for number, (page, text) in enumerate(zip(reader.pages, texts, strict=True), start=1):
        assert (float(page.mediabox.left), float(page.mediabox.bottom)) == (0.0, 0.0)
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx(SIZES[paper], abs=1e-3)
        assert f"page {number} of {len(texts)}" in text
        assert f"{kind.name}, rear axle" in text
    assert "CAUTION" in texts[0]
    assert "Never go under a car that only a jack holds" in texts[0]
    whole = " ".join(texts)
    for point in kind.points:
        assert point.key.replace("_", " ") in whole
        assert point.where in whole
    for entry in reading_list(kind):
        assert what_words(entry) in whole
    fonts = {
        str(font.get_object()["/BaseFont"]) for page in reader.pages for font in page["/Resources"]["/Font"].values()
    }
    # Of the fourteen fonts that every viewer has (ISO 32000-1, 9.6.2.2, from memory).
    assert fonts <= {"/Helvetica", "/Helvetica-Bold", "/Helvetica-Oblique", "/Helvetica-BoldOblique", "/ZapfDingbats"}


@pytest.mark.parametrize(("kind", "paper"), ON_PAPER)
def test_blanks_lie_apart_and_on_the_paper(kind: SuspensionType, paper: Paper) -> None:
    reader = pages_of(made(kind, paper))
    fields = boxes(reader)
    names = [name for name, _, _ in fields]
    assert len(set(names)) == len(names)
    expected = {"car", "date", "measured by"}
    for entry in reading_list(kind):
        after = ("",) if entry.measure == "words" else ("", " doubt", " remarks")
        expected |= {f"{entry.number}{one}" for one in after}
    assert set(names) == expected
    wide, high = SIZES[paper]
    for name, _, (left, bottom, right, top) in fields:
        assert MARGIN <= left < right <= wide - MARGIN, name
        assert MARGIN <= bottom < top <= high - MARGIN, name
        # Room for figures by pen: ruled school paper has lines 6 mm or more apart (common practice, no source).
        assert top - bottom >= 6.0 * POINT, name
        assert right - left >= 12.0 * POINT, name
    for (one, page, box), (other, its_page, its_box) in combinations(fields, 2):
        apart = box[2] <= its_box[0] or its_box[2] <= box[0] or box[3] <= its_box[1] or its_box[3] <= box[1]
        assert page != its_page or apart, f"{one} and {other}"


@pytest.mark.parametrize("size", [(538.0, 187.0), (555.0, 187.0)], ids=["a4", "letter"])
@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_letters_in_the_sketch_lie_clear(kind: SuspensionType, size: tuple[float, float]) -> None:
    for view in views(kind, *size):
        assert set(view.places) == set(letters(kind))
        taken = {f"letter {name}": view.letter_box(name) for name in view.places}
        for one, other in combinations(taken, 2):
            assert clear(taken[one], taken[other]), f"{one} and {other}"
        for name, (x, y) in view.dots.items():
            for letter, box in taken.items():
                assert clear(box, (x - DOT, y - DOT, x + DOT, y + DOT)), f"dot {name} and {letter}"
        for left, bottom, right, top in taken.values():
            assert left >= 0.0
            assert bottom >= 0.0
            assert right <= size[0]
            assert top <= size[1]
    front, side = views(kind, *size)
    assert front.frame[2] < side.frame[0]


def clear(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_the_sketch_is_to_scale(kind: SuspensionType) -> None:
    front, side = views(kind, 538.0, 187.0)
    names = [point.key for point in kind.points if point.other_side is None]
    typical = {point.key: point.typical for point in kind.points}
    scale = (front.tyre[3] - front.tyre[1]) / (2.0 * typical["wheel_centre"][2])
    for one, other in combinations(names, 2):
        ahead, out, up = (b - a for a, b in zip(typical[one], typical[other], strict=True))
        for view, across in ((front, out), (side, -ahead)):
            (x0, y0), (x1, y1) = view.dots[one], view.dots[other]
            assert (x1 - x0, y1 - y0) == pytest.approx((scale * across, scale * up), abs=1e-9)


def entries_of(kind: SuspensionType) -> Iterator[tuple[str, str]]:
    """Something in every blank."""
    for entry in reading_list(kind):
        yield f"{entry.number}", f"{100 + entry.number}.5" if entry.measure == "length" else f"{entry.number / 4}"
        if entry.measure != "words":
            yield f"{entry.number} doubt", f"{entry.number / 8}"
            yield f"{entry.number} remarks", f"caf\N{LATIN SMALL LETTER E WITH ACUTE} {entry.number} (\\)"


@pytest.mark.parametrize(("kind", "paper"), at_places(ON_PAPER, 0, 3))
def test_what_is_filled_in_comes_back(
    kind: SuspensionType, paper: Paper, garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, unit = garage / "sheet.pdf", "in" if paper == "letter" else "mm"
    if kind is STRUT:
        assert run("sheet", kind.name, "sheet.pdf", "--units", unit, "--axle", "rear") == 0
        assert "print it at full size" in capsys.readouterr().out
    else:
        path.write_bytes(made(kind, paper))
    whose = {"car": 'Jo\'s "red" one', "date": "1 May", "measured by": "Jo"}
    path.write_bytes(filled_in(path.read_bytes(), dict(entries_of(kind)) | whose))
    read = read_sheet(path)
    assert (read.kind, read.unit, read.axle) == (kind, UNITS[unit], "rear")
    assert (read.car, read.date, read.by) == tuple(whose.values())
    assert run("sheet", "--filled-in", "sheet.pdf", "my_survey.toml") == 0
    text = (garage / "my_survey.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)
    assert (table["name"], table["units"]) == (whose["car"], unit)
    readings = iter(table["rear"]["readings"])
    for entry in reading_list(kind):
        value = 100.5 + entry.number if entry.measure == "length" else entry.number / 4
        if entry.kind == "note":
            assert f"# no. {entry.number} {what_words(entry)}: {value}" in text
        elif entry.kind in ("camber", "toe_in"):
            wheel = table["rear"][entry.of[0]]["wheel"]
            assert wheel[entry.kind] == value
            assert wheel[f"{entry.kind}_known_to"] == entry.number / 8
        else:
            reading = next(readings)
            of = [] if entry.kind == "track" else list(entry.of)
            of = of[0] if len(of) == 1 else of or value
            assert reading[entry.kind] == of
            assert reading.get("reads", value) == value
            assert reading["known_to"] == entry.number / 8
            assert reading["note"] == f"caf\N{LATIN SMALL LETTER E WITH ACUTE} {entry.number} (\\)"
    assert next(readings, None) is None


@pytest.mark.campaign
def test_what_is_left_blank_is_told(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Path("sheet.pdf").write_bytes(filled_in(made(STRUT, "a4"), {"14": "182", "15": "six hundred"}))
    assert run("sheet", "--filled-in", "sheet.pdf", "survey.toml") == 0
    told = capsys.readouterr().out
    assert "no. 15 (" in told
    assert '"six hundred" is no number; mend it in survey.toml' in told
    count = sum(entry.kind != "note" for entry in reading_list(STRUT))
    assert f"2 of {count} readings are filled in" in told
    assert "not read: no. 10, 11, 12, 13, 16, 17" in told
    assert 'still "?": no. 6, 7, 8, 9;' in told
    text = (garage / "survey.toml").read_text(encoding="utf-8")
    # What an empty box says could not be reached has no effect, but its line stands there.
    assert tomllib.loads(text)["rear"]["readings"] == [
        {"up": "lower_ball_joint", "reads": 182},
        {"out": "lower_ball_joint", "reads": "six hundred"},
    ]
    assert text.count("# not read: {") == count - 2 - 4


@pytest.mark.usefixtures("garage")
def test_without_a_screen_the_file_itself(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("sheet", "Double_Wishbone", "survey.toml", "--units", "in") == 0
    assert 'fill in every "?"' in capsys.readouterr().out
    table = tomllib.loads(Path("survey.toml").read_text(encoding="utf-8"))
    assert table["units"] == "in"
    assert table["front"]["suspension"] == "double wishbone"


@pytest.mark.parametrize(
    ("words", "size"),
    at_places(
        [
            ((), "a4"),
            (("--units", "in"), "letter"),
            (("--units", "in", "--paper", "a4"), "a4"),
            (("--paper", "letter"), "letter"),
        ],
        1,
        3,
    ),
)
@pytest.mark.usefixtures("garage")
def test_paper_goes_with_the_unit_unless_it_is_said(words: tuple[str, ...], size: Paper) -> None:
    assert run("sheet", "strut", *words, "sheet.pdf") == 0
    page = PdfReader("sheet.pdf").pages[0]
    assert float(page.mediabox.height) == pytest.approx(SIZES[size][1], abs=1e-3)


def locked(content: bytes) -> bytes:
    writer = PdfWriter(clone_from=io.BytesIO(content))
    writer.encrypt("secret", algorithm="RC4-128")
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def with_keywords(content: bytes, was: str, now: str) -> bytes:
    writer = PdfWriter(clone_from=io.BytesIO(filled_in(content, {"14": "1"})))
    keywords = pages_of(content).metadata["/Keywords"]
    assert was in keywords
    writer.add_metadata({"/Keywords": keywords.replace(was, now)})
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def printed(content: bytes) -> bytes:
    """As a printer that writes PDF leaves it: the words, no blanks."""
    writer = PdfWriter(clone_from=io.BytesIO(content))
    for page in writer.pages:
        if "/Annots" in page:
            del page[NameObject("/Annots")]
    del writer.root_object[NameObject("/AcroForm")]
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def one_blank_lost(content: bytes) -> bytes:
    writer = PdfWriter(clone_from=io.BytesIO(filled_in(content, {"14": "1"})))
    fields = writer.root_object["/AcroForm"]["/Fields"]
    fields.remove(next(field for field in fields if field.get_object()["/T"] == "15"))
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def another_pdf(_: bytes) -> bytes:
    writer = PdfWriter()
    writer.add_blank_page(100, 100)
    writer.add_metadata({"/Title": TextStringObject("my bank")})
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


SHEETS: dict[str, tuple[Callable[[bytes], bytes], str]] = {
    "not a PDF": (lambda _: b"PK\x03\x04 something else", "this is no PDF"),
    "empty": (lambda _: b"", "this is no PDF"),
    "cut off": (lambda content: content[: len(content) // 2], "the PDF is damaged"),
    "first line only": (lambda content: content[:20], "the PDF is damaged"),
    "locked": (locked, "the PDF is locked with a password; save it without one"),
    "another PDF": (another_pdf, "this PDF is no measuring sheet; `cornersweep sheet` writes one to fill in"),
    "an unknown type": (
        lambda content: with_keywords(content, "strut", "hovering"),
        "this PDF is no measuring sheet; `cornersweep sheet` writes one to fill in",
    ),
    "another list": (
        lambda content: with_keywords(content, "list: ", "list: 0"),
        "this sheet was made by another version, whose numbers mean other readings; copy them to a new sheet",
    ),
    "printed into a PDF": (
        printed,
        "its blanks are gone, as after printing into a new PDF; save it in the viewer instead",
    ),
    "a blank lost": (one_blank_lost, "1 of its blanks are gone; save it in the viewer instead"),
    "nothing filled in": (lambda content: content, "nothing is filled in; was it saved after it was filled in?"),
}


@pytest.mark.parametrize("what", at_places(SHEETS, 0, 6))
def test_a_sheet_that_cannot_be_read(what: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spoil, says = SHEETS[what]
    (garage / "sheet.pdf").write_bytes(spoil(made(STRUT, "a4")))
    with pytest.raises(InputFaultError) as caught:
        run("sheet", "--filled-in", "sheet.pdf", "survey.toml")
    (fault,) = caught.value.faults
    assert caught.value.source == "sheet.pdf"
    assert str(fault).startswith(says)
    assert [path.name for path in garage.iterdir()] == ["sheet.pdf"]
    told = capsys.readouterr()
    assert (told.out, told.err) == ("", "")


COMMANDS = {
    "a type that there is not": (("sheet", "struts", "a.pdf"), ['suspension: read "struts"; did you mean strut?']),
    "a linkage of one's own": (
        ("sheet", "free-linkage", "a.pdf"),
        ["suspension: a free linkage has the points that you list, so there is no sheet for it; "],
    ),
    "neither kind of file": (
        ("sheet", "strut", "a.txt"),
        ["file: read a.txt; a name that ends in .pdf or .toml is allowed"],
    ),
    "what the sheet says itself": (
        ("sheet", "--filled-in", "sheet.pdf", "a.pdf", "--units", "in", "--axle", "rear"),
        [
            "--units: the filled-in sheet says this itself; leave it out",
            "--axle: the filled-in sheet says this itself; leave it out",
            "file: read a.pdf; a name that ends in .toml is allowed",
        ],
    ),
    "no sheet": (("sheet", "--filled-in", "sheet.pdf", "a.toml"), ["there is no such file"]),
    "a folder": (("sheet", "--filled-in", ".", "a.toml"), ["this is a folder; name the file in it"]),
    "taken": (("sheet", "strut", "mine.pdf"), ["mine.pdf: is there already; add --replace to write over it"]),
    "no such folder": (("sheet", "strut", "no/a.pdf"), ["no/a.pdf: cannot be written: there is no folder no"]),
}


@pytest.mark.parametrize("what", COMMANDS)
def test_a_faulty_command(what: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words, says = COMMANDS[what]
    (garage / "mine.pdf").write_bytes(b"mine")
    with pytest.raises(InputFaultError) as caught:
        run(*words)
    told = [str(fault) for fault in caught.value.faults]
    assert [line[: len(begin)] for line, begin in zip(told, says, strict=True)] == says
    assert [path.name for path in garage.iterdir()] == ["mine.pdf"]
    assert (garage / "mine.pdf").read_bytes() == b"mine"
    assert capsys.readouterr().out == ""


@pytest.mark.campaign
def test_replaced_when_asked(garage: Path) -> None:
    (garage / "mine.pdf").write_bytes(b"mine")
    assert run("sheet", "strut", "mine.pdf", "--replace") == 0
    assert (garage / "mine.pdf").read_bytes() == measuring_sheet(STRUT, MM, "front", "a4")

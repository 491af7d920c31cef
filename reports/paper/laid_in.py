"""Figures laid into the pages of a PDF as they were drawn: vectors, and text that can be searched."""

import io

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    DecodedStreamObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    NumberObject,
    TextStringObject,
)
from reportlab.platypus import Flowable

from reports.paper.inked import InkedPage


class LaidIn(Flowable):
    """Room on a page for a drawing, which `with_pictures` puts there; it is told in words to whoever cannot see it."""

    def __init__(self, drawing: InkedPage, place: int) -> None:
        super().__init__()
        self._name, self._words, self._size = _name(place), drawing.words, drawing.size
        self._scale = 1.0
        self.spaceBefore, self.spaceAfter = 2.0, 4.0
        self.hAlign = "LEFT"

    def fit(self, width: float, height: float) -> None:
        """Draw it no wider and no higher than this [pt]."""
        self._scale = min(1.0, width / self._size[0], height / self._size[1])
        self.width, self.height = (self._scale * side for side in self._size)

    def wrap(self, *_: float) -> tuple[float, float]:
        """The room that it takes."""
        return self.width, self.height

    def draw(self) -> None:
        """Call the drawing by its name, with its words for reading aloud (ISO 32000-1, 14.9.3)."""
        told = self._words.encode("utf-16-be").hex().upper()
        drawn = f"q {self._scale:.6f} 0 0 {self._scale:.6f} 0 0 cm {self._name} Do Q"
        self.canv.addLiteral(f"/Span <</Alt <FEFF{told}>>> BDC {drawn} EMC")


def with_pictures(content: bytes, drawn: bytes, title: str) -> bytes:
    """A document whose pages call drawings by their names, with these pages in it, and without any date."""
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(content)))
    drawings = PdfReader(io.BytesIO(drawn)).pages if drawn else []
    forms = {_name(place): _form(page, writer) for place, page in enumerate(drawings)}
    for page in writer.pages:
        data = page.get_contents()
        called = b"" if data is None else data.get_data()
        own = {name: form for name, form in forms.items() if f"{name} Do".encode() in called}
        if own:
            resources = page["/Resources"].get_object()
            assert isinstance(resources, DictionaryObject)  # ISO 32000-1, 7.8.3
            resources[NameObject("/XObject")] = DictionaryObject({NameObject(name): one for name, one in own.items()})
    writer.metadata = {"/Title": title, "/Author": "cornersweep", "/Producer": "cornersweep"}
    writer.root_object[NameObject("/Lang")] = TextStringObject("en")
    show_title = DictionaryObject({NameObject("/DisplayDocTitle"): BooleanObject(True)})
    writer.root_object[NameObject("/ViewerPreferences")] = show_title
    file = io.BytesIO()
    writer.write(file)
    return file.getvalue()


def _name(place: int) -> str:
    return f"/Drawing{place}"


def _form(page: PageObject, writer: PdfWriter) -> IndirectObject:
    """A page as a form that other pages may call (ISO 32000-1, 8.10)."""
    resources = page["/Resources"].get_object()
    assert isinstance(resources, DictionaryObject)  # ISO 32000-1, 7.8.3
    form = DecodedStreamObject()
    data = page.get_contents()
    form.set_data(b"" if data is None else data.get_data())
    form.update(
        {
            NameObject("/Type"): NameObject("/XObject"),
            NameObject("/Subtype"): NameObject("/Form"),
            NameObject("/FormType"): NumberObject(1),
            NameObject("/BBox"): ArrayObject(page.mediabox),
            NameObject("/Resources"): resources.clone(writer),
        }
    )
    return writer._add_object(form.flate_encode())

"""Figures laid into the pages of a PDF as they were drawn: vectors, and text that can be searched."""

import io

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    NumberObject,
)
from reportlab.platypus import Flowable

from reports.paper.inked import InkedPage
from reports.tagged.parts import Part, marked
from reports.tagged.written import write_parts

_SMALLEST = 0.88  # of its size, so that small letters have 7 points


class LaidIn(Flowable):
    """Room on a page for a drawing, which `with_pictures` puts there; it is told in words to whoever cannot see it."""

    def __init__(self, drawing: InkedPage, place: int) -> None:
        super().__init__()
        self._name, self._words, self._size = _name(place), drawing.words, drawing.size
        self._full = self._scale = 1.0
        self.spaceBefore, self.spaceAfter = 2.0, 4.0
        self.hAlign = "LEFT"
        self._part: Part | None = None

    def tell(self, whole: Part) -> None:
        """Be a part of this one, read aloud in words (ISO 32000-1, 14.9.3)."""
        self._part = whole.add("Figure", self._words)

    def fit(self, width: float, height: float) -> None:
        """Draw it no wider and no higher than this [pt]."""
        self._full = min(1.0, width / self._size[0], height / self._size[1])

    @property
    def spare(self) -> float:
        """How much lower it may be drawn than it would be [pt], so that it does not need a new page."""
        return (1.0 - _SMALLEST) * self._full * self._size[1]

    def wrap(self, _: float, height: float) -> tuple[float, float]:
        """The room that it takes: a little less where that fits what is left of a page."""
        fits = height / (self._full * self._size[1])
        self._scale = self._full * (fits if _SMALLEST <= fits < 1.0 else 1.0)
        self.width, self.height = (self._scale * side for side in self._size)
        return self.width, self.height

    def draw(self) -> None:
        """Call the drawing by its name."""
        with marked(self.canv, self._part):
            self.canv.addLiteral(f"q {self._scale:.6f} 0 0 {self._scale:.6f} 0 0 cm {self._name} Do Q")


def with_pictures(content: bytes, drawn: bytes, title: str, parts: Part) -> bytes:
    """A document whose pages call drawings by their names, with these pages and its parts in it, without any date."""
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
    write_parts(writer, parts)
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

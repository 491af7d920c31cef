"""The tree of a document's parts written into its PDF (ISO 32000-1, 14.7.2 to 14.7.4, 14.8.5)."""

from collections.abc import Iterator

from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    NumberObject,
    PdfObject,
    TextStringObject,
)

from reports.tagged.parts import Part, Place


def write_parts(writer: PdfWriter, document: Part, language: str = "en") -> None:
    """Tell every part, which runs of marks and which blanks are its own, the language, and that a title is shown."""
    writer.pdf_header = "%PDF-1.7"
    _Tree(writer).write(document)
    root = writer.root_object
    root[NameObject("/MarkInfo")] = DictionaryObject({NameObject("/Marked"): BooleanObject(True)})
    root[NameObject("/Lang")] = TextStringObject(language)
    show_title = DictionaryObject({NameObject("/DisplayDocTitle"): BooleanObject(True)})
    root[NameObject("/ViewerPreferences")] = show_title


class _Tree:
    def __init__(self, writer: PdfWriter) -> None:
        self._writer = writer
        self._pages = [page.indirect_reference for page in writer.pages]
        self._runs: list[dict[int, IndirectObject]] = [{} for _ in self._pages]
        self._blanks = {
            str(one.get_object()["/T"]): (one, place)
            for place, page in enumerate(writer.pages)
            for one in page.get("/Annots", ())
            if "/T" in one.get_object()
        }
        self._of_blanks: list[IndirectObject] = []

    def write(self, document: Part) -> None:
        tree = DictionaryObject({NameObject("/Type"): NameObject("/StructTreeRoot")})
        root = self._writer._add_object(tree)
        tree[NameObject("/K")] = ArrayObject([self._element(document, root)])
        numbered: list[PdfObject] = []
        for place, runs in enumerate(self._runs):
            own = self._writer._add_object(ArrayObject(runs[number] for number in range(len(runs))))
            numbered += [NumberObject(place), own]
            page = self._writer.pages[place]
            page[NameObject("/StructParents")] = NumberObject(place)
            page[NameObject("/Tabs")] = NameObject("/S")
        for place, one in enumerate(self._of_blanks, len(self._runs)):
            numbered += [NumberObject(place), one]
        tree[NameObject("/ParentTree")] = DictionaryObject({NameObject("/Nums"): ArrayObject(numbered)})
        tree[NameObject("/ParentTreeNextKey")] = NumberObject(len(self._runs) + len(self._of_blanks))
        self._writer.root_object[NameObject("/StructTreeRoot")] = root

    def _element(self, part: Part, parent: IndirectObject) -> IndirectObject:
        element = DictionaryObject(
            {
                NameObject("/Type"): NameObject("/StructElem"),
                NameObject("/S"): NameObject(f"/{part.kind}"),
                NameObject("/P"): parent,
            }
        )
        own = self._writer._add_object(element)
        if part.said:
            element[NameObject("/Alt")] = TextStringObject(part.said)
        about = dict(_of_a_cell(part))
        if about:
            about[NameObject("/O")] = NameObject("/Table")
            element[NameObject("/A")] = DictionaryObject(about)
        within: list[PdfObject] = [
            self._run(one, own) if isinstance(one, Place) else self._element(one, own) for one in part.within
        ]
        if part.blank in self._blanks:
            within.append(self._blank(part.blank, own))
        element[NameObject("/K")] = ArrayObject(within)
        return own

    def _run(self, place: Place, of: IndirectObject) -> DictionaryObject:
        self._runs[place.page][place.number] = of
        return DictionaryObject(
            {
                NameObject("/Type"): NameObject("/MCR"),
                NameObject("/Pg"): self._pages[place.page],
                NameObject("/MCID"): NumberObject(place.number),
            }
        )

    def _blank(self, name: str, of: IndirectObject) -> DictionaryObject:
        field, place = self._blanks[name]
        field.get_object()[NameObject("/StructParent")] = NumberObject(len(self._runs) + len(self._of_blanks))
        self._of_blanks.append(of)
        return DictionaryObject(
            {
                NameObject("/Type"): NameObject("/OBJR"),
                NameObject("/Pg"): self._pages[place],
                NameObject("/Obj"): field,
            }
        )


def _of_a_cell(part: Part) -> Iterator[tuple[NameObject, PdfObject]]:
    if part.scope:
        yield NameObject("/Scope"), NameObject(f"/{part.scope}")
    if part.columns > 1:
        yield NameObject("/ColSpan"), NumberObject(part.columns)

"""Pictures of a report drawn: as SVG to stand within a page of HTML, or as pages of one PDF that share fonts."""

import io
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Sequence
from dataclasses import dataclass

from reports.outputs.output import ink
from reports.paper.blocks import Picture

_SVG, _HREF = "{http://www.w3.org/2000/svg}", "{http://www.w3.org/1999/xlink}href"
_POINTED = re.compile(r"url\(#([^)]*)\)")
_FONTS = re.compile(r"font-family: [^;]*")
_HAND = "font-family: 'DejaVu Sans', Verdana, sans-serif"  # Verdana is as wide
_READ_ALOUD = ("title", "description")  # names of a picture's words


@dataclass(frozen=True)
class InkedPage:
    """A picture drawn as a page. size: width and height [pt]; words: its title and what it shows, for reading aloud."""

    size: tuple[float, float]
    words: str


def all_on_pages(pictures: Sequence[Picture]) -> tuple[bytes, list[InkedPage]]:
    """Draw pictures as the pages of one PDF, in their order; no file where there are none."""
    from matplotlib.backends.backend_pdf import PdfPages

    from reports.figures.described import described
    from reports.figures.light_axes import lighten
    from reports.figures.style import paper

    if not pictures:
        return b"", []
    file, pages = io.BytesIO(), []
    with paper(), PdfPages(file, metadata={"CreationDate": None}) as made:
        for one in pictures:
            figure = one.draw()
            told = described(figure)
            width, height = figure.get_size_inches()
            pages.append(InkedPage((72.0 * float(width), 72.0 * float(height)), f"{told.title}. {told.text}"))
            lighten(figure)
            made.savefig(figure)
    return file.getvalue(), pages


def within_a_page(picture: Picture, name: str) -> str:
    """Draw a picture as SVG without what only a file needs; names begin with `name`, so that a page has none twice."""
    root = ElementTree.fromstring(ink(picture.draw, "svg"))
    _leave_out(root)
    pointed = set(_READ_ALOUD)
    for one in root.iter():
        pointed.update(_POINTED.findall(" ".join(one.attrib.values())))
        pointed.update(one.attrib.get(_HREF, "").removeprefix("#").split())
    for one in root.iter():
        _rename(one, pointed, name)
    root.set("aria-labelledby", " ".join(f"{name}-{one}" for one in _READ_ALOUD))
    ElementTree.register_namespace("", _SVG.strip("{}"))
    return ElementTree.tostring(root, encoding="unicode")


def _leave_out(root: ElementTree.Element) -> None:
    """Take away metadata, and looks that the page has itself."""
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in (f"{_SVG}metadata", f"{_SVG}style"):
                parent.remove(child)


def _rename(one: ElementTree.Element, pointed: set[str], name: str) -> None:
    """Give an element's own name and those that it points to their beginning; names that nothing points to go."""
    own = one.attrib.pop("id", "")
    if own in pointed:
        one.set("id", f"{name}-{own}")
    target = one.attrib.pop(_HREF, "")
    if target:
        one.set("href", f"#{name}-{target.removeprefix('#')}")
    for key, value in one.attrib.items():
        if "url(#" in value:
            one.set(key, value.replace("url(#", f"url(#{name}-"))
    style = one.attrib.get("style", "")
    if "font-family" in style:
        one.set("style", _FONTS.sub(_HAND, style))

"""Figures as files: text is text, title and description are there, and the same figure is the same file.

Formats are read by other libraries: SVG as XML (W3C, SVG 1.1, 5.4: title and desc; WAI-ARIA: role and aria-labelledby,
from memory), PDF by pypdf (ISO 32000-1, 9.6 to 9.8: fonts, from memory), PNG by Pillow.
"""

import io
import xml.etree.ElementTree as ElementTree
from functools import cache
from typing import BinaryIO

import numpy as np
import pypdf
import pytest
from matplotlib.figure import Figure
from PIL import Image

from kinematics import demo_car
from kinematics.car.lengths import MM
from kinematics.sweeps.body import stances
from reports.figures.front_view import front_view
from reports.figures.style import Sheet
from reports.outputs.output import drawn

SVG = "{http://www.w3.org/2000/svg}"
TITLE = "At ride height: under <ground> & so on"
CAR = "Käfer № 5"


def view(_: object) -> Figure:
    car = demo_car()
    return front_view(stances(car.front, np.zeros(1), np.zeros(1)), MM, Sheet(TITLE, CAR), ())


@cache
def file(ending: str) -> bytes:
    return again(ending)


def again(ending: str) -> bytes:
    out: BinaryIO = io.BytesIO()
    drawn(view, ending)(None, out)
    return out.getvalue()  # type: ignore[attr-defined,no-any-return]


@pytest.mark.campaign
@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_twice_the_same_file(ending: str) -> None:
    assert file(ending) == again(ending)


def test_an_svg_has_text_title_and_description() -> None:
    root = ElementTree.fromstring(file("svg"))
    texts = [" ".join("".join(one.itertext()).split()) for one in root.iter(f"{SVG}text")]
    assert TITLE in texts
    assert any(CAR in text for text in texts)
    assert "height over the ground [mm]" in texts
    (title,), (description,) = root.findall(f"{SVG}title"), root.findall(f"{SVG}desc")
    assert title.text == TITLE
    assert description.text is not None
    assert "height over the ground [mm] over sideways from the centre plane [mm]" in description.text
    assert CAR in description.text
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}" == "title description"


def test_a_pdf_has_fonts_that_can_be_searched() -> None:
    read = pypdf.PdfReader(io.BytesIO(file("pdf")))
    (page,) = read.pages
    assert TITLE in page.extract_text()
    assert CAR in page.extract_text()
    assert read.metadata is not None
    assert read.metadata.title == TITLE
    assert "height over the ground [mm]" in (read.metadata.subject or "")
    fonts = [one.get_object() for one in page["/Resources"]["/Font"].values()]  # type: ignore[index]
    assert fonts
    for font in fonts:
        own = font["/DescendantFonts"][0].get_object() if font["/Subtype"] == "/Type0" else font
        assert own["/Subtype"] in ("/TrueType", "/CIDFontType2")
        assert "/FontFile2" in own["/FontDescriptor"]  # embedded


def test_a_png_says_what_it_shows() -> None:
    with Image.open(io.BytesIO(file("png"))) as picture:
        assert picture.info["Title"] == TITLE
        assert CAR in picture.info["Description"]

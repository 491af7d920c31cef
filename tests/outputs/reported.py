"""The report of the car with two axles: what was solved, its page and its PDF, each made once; and ways to read."""

import io
import re
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import html5lib
import pypdf

from kinematics.inputs.plans.plan_file import read_plans
from kinematics.loads.balanced_share import with_balanced_shares
from kinematics.sweeps.sweep_job import Span, SweepJob
from reports.paper.blocks import Document, Picture, Section
from reports.paper.contents import contents
from reports.paper.html import html
from reports.paper.pdf import pdf
from reports.paper.solved import Asked, ReportSolved, solve_report
from tests.outputs.conftest import Garage

CHOSEN, DATE = "lower", "29 February 2096"


@dataclass(frozen=True)
class Reported:
    """A report in one unit. whole: with all its figures, not those of its first page alone."""

    garage: Garage
    unit: str
    whole: bool = True

    @cached_property
    def solved(self) -> ReportSolved:
        car = self.garage.car(self.unit)
        read = read_plans([str(self.garage.path(self.unit, "plans.toml"))], car)
        job = SweepJob(Span(-60.0, 60.0, 20.0), Span(-0.05, 0.05, 0.025))
        limits = with_balanced_shares(car.limits, car)
        return solve_report(car, limits, job, Asked(read.plans, read.rules, CHOSEN), ["car.toml"], "my_means.toml")

    @cached_property
    def document(self) -> Document:
        made = contents(self.solved, DATE)
        if self.whole:
            return made
        rest = [one for one in map(_undrawn, made.sections[1:]) if one.blocks]
        return replace(made, sections=[made.sections[0], *rest])

    @cached_property
    def page(self) -> str:
        return html(self.document, "").decode("utf-8")

    @cached_property
    def read(self) -> Any:
        return parsed(self.page)

    @cached_property
    def pdf(self) -> bytes:
        return pdf(self.document, "a4" if self.unit == "mm" else "letter")

    def table(self, caption: str) -> list[list[str]]:
        """Heads and rows of the one table whose caption begins so, as a person reads them."""
        (found,) = [one for one in tables(self.read) if one[0].startswith(caption)]
        return found[1]


def _undrawn(section: Section) -> Section:
    return replace(section, blocks=[block for block in section.blocks if not isinstance(block, Picture)])


def parsed(page: str) -> Any:
    """The tree of a page; html5lib's strict parser raises what a validator would tell."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)


def words(element: Any) -> str:
    return " ".join("".join(element.itertext()).split())


def tables(tree: Any) -> list[tuple[str, list[list[str]]]]:
    """Caption and cells of every table, its heads first."""
    return [
        (words(one.find("caption")), [[words(cell) for cell in row] for row in one.iter("tr")])
        for one in tree.iter("table")
    ]


def pages_by_pypdf(content: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(content)).pages]


def pages_by_pdfminer(content: bytes) -> list[str]:
    """What the other reader finds; it looks into figures, too."""
    from pdfminer.high_level import extract_pages
    from pdfminer.layout import LAParams, LTChar, LTContainer, LTText

    def letters(box: Any) -> str:
        if isinstance(box, LTContainer):
            return "".join(letters(one) for one in box) + ("" if isinstance(box, LTText) else "\n")
        return box.get_text() if isinstance(box, LTText | LTChar) else ""

    pages = extract_pages(io.BytesIO(content), laparams=LAParams(all_texts=True))
    return [" ".join(letters(page).split()) for page in pages]


NUMBER = re.compile(r"(?<![\w.])[-+\N{MINUS SIGN}]?\d+(?:\.\d+)?(?![\w.]*\d)")


def numbers(text: str) -> list[str]:
    return NUMBER.findall(text)

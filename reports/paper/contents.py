"""What stands in a report, part by part."""

from collections.abc import Sequence

from kinematics.planning.comparison import Outcome
from reports.paper.blocks import Document, Section
from reports.paper.chosen_plan import plan_section
from reports.paper.first_page import first_page
from reports.paper.further import (
    cautions_section,
    curves_sections,
    doubt_section,
    points_section,
    springs_section,
    travel_section,
    words_section,
)
from reports.paper.judged import checks_section, numbers_section
from reports.paper.solved import PlansTried, ReportSolved
from reports.words.compared import chosen_headline, comparison_headline, holds_all, next_without
from reports.words.headline import NEXT, headline, next_line
from reports.words.on_paper import paper_words


def contents(solved: ReportSolved, date: str = "") -> Document:
    """The whole report; date: as its owner writes it, where he does."""
    car = solved.car
    # No command for a garage wall; and lines of the terminal are one paragraph.
    said = " ".join(line for line in report_headline(solved) if not line.startswith(NEXT))
    about = [", ".join(filter(None, [_axles(solved), f"lengths in {car.unit.plural}", "angles in degrees", date]))]
    about += [" ".join(paper_words(car))] if car.on_paper else []
    parts: Sequence[Section | None] = (
        first_page(solved),
        plan_section(solved),
        checks_section(solved),
        numbers_section(solved),
        travel_section(solved),
        springs_section(solved),
        points_section(solved),
        doubt_section(solved),
        *curves_sections(solved),
        words_section(solved),
        cautions_section(solved),
    )
    return Document(car.name, about, [said], [one for one in parts if one is not None])


def report_headline(solved: ReportSolved) -> list[str]:
    """The answer in at most three lines: as `compare` says it where plans were tried, else as `show` does."""
    tried = solved.tried
    if tried is None:
        return headline(solved.measured, solved.files)
    known = [one for one in (tried.chosen, _first(tried)) if one is not None and holds_all(one)]
    takes = next((takes for one in known if (takes := list(solved.taking.get(one.plan.name, ())))), [])
    if takes:
        command, *words = takes
        then = next_line(command, solved.files, *words)
    else:
        then = next_without(tried.compared, solved.files, solved.means, found=tried.asked.found)
    if tried.asked.chosen or tried.asked.wanted:
        return chosen_headline(tried.compared, tried.sure, then, tried.chosen)
    return comparison_headline(tried.compared, tried.sure, then)


def _first(tried: PlansTried) -> Outcome | None:
    """What comes first of all plans; None for the car as measured."""
    first = tried.in_order[0]
    return None if first is tried.measured else first


def _axles(solved: ReportSolved) -> str:
    return ", ".join(f"{one.name} {one.suspension.name}" for one in solved.car.axles)

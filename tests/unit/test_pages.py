"""The pages that people read: links lead somewhere, and the first page can be read in five minutes."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "kinematics/GLOSSARY.md")]
PAGES += sorted(path for folder in ("solvers", "kinematics", "reports") for path in (ROOT / folder).rglob("README.md"))
LONGEST_FIRST_PAGE = 120  # lines


def anchors(page: Path) -> set[str]:
    """Anchors of a page's headings, made as the common viewers make them: lower case, hyphens for blanks."""
    heads = re.findall(r"^#+ (.+)$", re.sub(r"^```.*?^```", "", page.read_text("utf-8"), flags=re.M | re.S), re.M)
    return {re.sub(r"[^\w -]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    links = re.findall(r"\]\(([^)\s]+)\)", page.read_text(encoding="utf-8"))
    assert links
    for link in links:
        if "://" in link:
            continue
        target, _, anchor = link.partition("#")
        file = (page.parent / target).resolve() if target else page
        assert file.exists(), f"{page.name} links to {target}, which is not there"
        assert not anchor or anchor in anchors(file), f"{page.name} links to {link}: no such heading"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_page_can_be_reached_from_the_first(page: Path) -> None:
    seen, open_ends = set(), [ROOT / "README.md"]
    while open_ends:
        one = open_ends.pop()
        seen.add(one)
        found = re.findall(r"\]\(([^)#\s]+\.md)", one.read_text(encoding="utf-8"))
        open_ends += [path for link in found if (path := (one.parent / link).resolve()) not in seen and path.is_file()]
    assert page in seen


def test_the_first_page_is_short() -> None:
    assert len((ROOT / "README.md").read_text(encoding="utf-8").splitlines()) <= LONGEST_FIRST_PAGE

"""The gallery: each figure that lies in its folder stands on its page, once, with its own words; valid (html5lib)."""

import xml.etree.ElementTree as Xml
from pathlib import Path

import html5lib
import pytest

from kinematics.inputs.demo_cars import DEMO_CARS
from reports import gallery

pytestmark = pytest.mark.campaign
SVG, HTML = "{http://www.w3.org/2000/svg}", "{http://www.w3.org/1999/xhtml}"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("gallery") / "all"
    assert gallery.run([str(made)]) == 0
    return made


def test_every_figure_stands_there_once_with_its_words(folder: Path) -> None:
    page = html5lib.HTMLParser(strict=True).parse((folder / "index.html").read_text(encoding="utf-8"))
    shown = {one.get("src"): one.get("alt") for one in page.iter(f"{HTML}img")}
    lies = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*.svg")}
    assert shown.keys() == lies.keys()
    assert len(list(page.iter(f"{HTML}img"))) == len(lies) > 60
    for name, words in shown.items():
        description = Xml.parse(lies[name]).getroot().find(f"{SVG}desc")
        assert description is not None
        assert words == description.text
    assert {name.partition("/")[0] for name in shown} == set(DEMO_CARS)
    assert "can injure or kill" in "".join(page.itertext())


def test_nothing_is_overwritten_unasked(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    capsys.readouterr()
    assert gallery.run([str(folder)]) == 2
    assert "index.html" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_made_again_it_is_the_same(folder: Path) -> None:
    before = {path: path.read_bytes() for path in folder.rglob("*.svg")} | {
        folder / "index.html": (folder / "index.html").read_bytes()
    }
    assert gallery.run([str(folder), "--replace"]) == 0
    assert [path for path, content in before.items() if path.read_bytes() != content] == []

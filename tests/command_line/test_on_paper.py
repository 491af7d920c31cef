"""A car that a plan made on paper says so, in its file and by its name, and is never told to be as it was measured."""

import re
from pathlib import Path

import pytest

from kinematics import Car, read_car
from kinematics.car.on_paper import LONGEST_NAME, name_on_paper
from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    (tmp_path / "car.toml").write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")
    return tmp_path


@pytest.mark.campaign
def test_show_and_doubt_say_that_it_is_on_paper(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    measured = read_car(garage / "car.toml").name
    main(["compare", "car.toml", "--change", "ride height", "-4", "--write-car", "this change", "after.toml"])
    after = read_car("after.toml")
    assert (after.name, after.on_paper) == (f"{measured}, this change (on paper)", True)
    capsys.readouterr()
    for words in (["show", "after.toml"], ["doubt", "after.toml", "--draws", "100"]):
        main(words)
        told = " ".join(capsys.readouterr().out.split())
        assert f"{measured}, this change (on paper): nothing here was measured;" in told
        # The caution speaks of links as measured, of whatever car.
        assert not re.search(r"\bas measured", told.split("CAUTION")[0])
        main([words[0], "car.toml", *words[2:]])
        assert "on paper" not in capsys.readouterr().out


def test_a_name_alone_puts_no_car_on_paper(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (garage / "car.toml").read_text(encoding="utf-8")
    named = re.sub(r'^name = ".*"', 'name = "mine (on paper)"', text, count=1, flags=re.MULTILINE)
    assert named != text
    (garage / "named.toml").write_text(named, encoding="utf-8")
    main(["show", "named.toml"])
    assert "nothing here was measured" not in capsys.readouterr().out


def test_the_longest_names_still_make_a_car_file() -> None:
    plan = "p" * 60
    name = name_on_paper(Car("c" * LONGEST_NAME), plan)
    assert len(name) == LONGEST_NAME
    assert name.endswith(f"..., {plan} (on paper)")
    twice = Car("my car, one (on paper)", on_paper=True)
    assert name_on_paper(twice, "two") == "my car, one, two (on paper)"

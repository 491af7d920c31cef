"""What a set-up sheet says of each kind of change: every kind has its words, amount and way, in a sane order."""

import tomllib
from pathlib import Path

import pytest

from kinematics.car.lengths import INCH, MM
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.plans.plan_file import plans_from
from kinematics.inputs.plans.plan_text import plan_text
from kinematics.planning.changes import CHANGES, Change
from kinematics.planning.plan import Plan
from reports.command_line import main
from reports.words.fitted_parts import fitting_steps, fitting_words
from tests.survey.test_measuring_sheet import pages_of

SAID = [
    (
        Change("front", "longer ball joint", 12.0),
        "Front: fit a lower ball joint whose ball sits 12 mm lower in the upright.",
    ),
    (
        Change("front", "longer ball joint", -3.0),
        "Front: fit a lower ball joint whose ball sits 3 mm higher in the upright.",
    ),
    (Change("rear", "tie-rod shim", 5.0), "Rear: shim the outer tie-rod end to sit 5 mm lower in the upright."),
    (Change("front", "rack raised", 4.0), "Front: fix the steering rack 4 mm higher on the body, both ends alike."),
    (
        Change("front", "inner pivots", shift=(0.0, -5.0, 10.0)),
        "Front: move both inner pivots of the lower arm 5 mm in, 10 mm up.",
    ),
    (Change("front", "strut top", shift=(-6.0, 0.0, 0.0)), "Front: move the strut's top mount 6 mm back."),
    (Change("front", "tie-rod inner", shift=(0.0, 0.0, -2.0)), "Front: move the inner tie-rod joint 2 mm down."),
    (
        Change("front", "point", shift=(0.0, 1.0, 0.0), point="strut_low", sides=(1.0, 0.0)),
        "Front, left: move strut low 1 mm out.",
    ),
    (
        Change("rear", "link length", -2.0, point="toe_link_outer"),
        "Rear: make the link at toe link outer 2 mm shorter.",
    ),
    (Change("rear", "spring rate", 45.0), "Rear: fit springs of 45 N/mm."),
    (Change("rear", "spring length", -10.0), "Rear: fit springs of the same rate, 10 mm shorter when free."),
    (Change("rear", "spring spacer", 8.0, sides=(0.0, 1.0)), "Rear, right: put packing of 8 mm under the springs."),
    (Change("rear", "spring spacer", -8.0), "Rear: take packing of 8 mm from under the springs."),
    (Change("front", "cut coils", 0.5), "Front: shorten the springs by 0.5 coils."),
    (Change("front", "bar rate", 30.0), "Front: fit an anti-roll bar of 30 N/mm at the arm end."),
    (Change("rear", "ballast", 15.0), "Rear: fix ballast of 15 kg over this axle."),
    (Change("front", "tyre radius", -6.0), "Front: fit tyres of 6 mm less loaded radius."),
    (Change("front", "wheel spacer", 5.0), "Front: set the wheels 5 mm out, by spacers or other wheels."),
]


@pytest.mark.parametrize(("change", "says"), SAID, ids=lambda one: getattr(one, "what", ""))
def test_words_for_each_kind(change: Change, says: str) -> None:
    assert fitting_words(change, MM) == says


def test_every_kind_has_words() -> None:
    """But the ride height, which is set when all is fitted."""
    assert {change.what for change, _ in SAID} == set(CHANGES) - {"ride height"}
    every = [change for change, _ in SAID]
    assert len(fitting_steps([*every, Change("front", "ride height", -10.0)], MM)) == len(every)


def test_the_order_of_work() -> None:
    """Bolted before sprung, sprung before wheels, however the plan has them."""
    kinds = ["ballast", "wheel spacer", "spring rate", "longer ball joint", "inner pivots"]
    steps = fitting_steps([Change("front", what, 2.0, (0.0, 0.0, 2.0)) for what in kinds], MM)
    begun = ["inner pivots", "ball joint", "springs", "wheels", "ballast"]
    assert [word in step for word, step in zip(begun, steps, strict=True)] == [True] * len(begun)


def test_fractions_of_an_inch_stay() -> None:
    from dataclasses import replace

    tape = replace(INCH, fractions=True)
    assert "5/8 in lower" in fitting_words(Change("front", "longer ball joint", 15.875), tape)


def test_a_part_by_its_owners_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Markup in it is text, on paper and on the screen; a height that stays is not told as a change."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    name = "1 in <b>bar</b> [red]& co"
    change = f'[[plan.change]]\nwhat = "bar rate"\nrate = 30\npart = "{name}"\n'
    stays = '[[plan.change]]\nwhat = "ride height"\nby = 0\n'
    (tmp_path / "car.toml").write_text(demo_text("rear_drive_saloon.toml"), encoding="utf-8")
    (tmp_path / "plans.toml").write_text(f'units = "mm"\n[[plan]]\nname = "bar"\n{change}{stays}', encoding="utf-8")
    step = f'Front: fit an anti-roll bar of 30 N/mm at the arm end ("{name}").'
    assert main(["setup", "car.toml", "plans.toml", "--write", "s.pdf"]) == 0
    (page,) = pages_of((tmp_path / "s.pdf").read_bytes()).pages
    text = " ".join(page.extract_text().split())
    assert step in text
    assert f'Plan: front bar rate 30 N/mm ("{name}").' in text
    assert "ride height 0" not in text
    capsys.readouterr()
    assert main(["setup", "car.toml", "plans.toml"]) == 0
    assert step in " ".join(capsys.readouterr().out.split())


def test_a_name_goes_round_a_plan_file() -> None:
    written = Change("front", "bar rate", 30.0, part='the "thick" one')
    car = car_from(tomllib.loads(demo_text("rear_drive_saloon.toml")), "car")
    (plan,) = plans_from(tomllib.loads(plan_text([Plan("bar", (written,))], (), MM)), "plans", car).plans
    assert plan.changes == (written,)

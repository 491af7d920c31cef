"""Faulty springs, bars and weights: file, key, what was read, what is allowed; and what lean notes of odd ones."""

import re
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main

SALOON = demo_text("rear_drive_saloon.toml")
WEIGHTS = """left = 290
right = 285
unsprung = 36                      # of it, each wheel with what moves with it
"""
FORCE = "force = [[8, 250], [18, 1100], [26, 2800]]"
ALONG = 'along = "strut"\n'
REAR_ENDS = """moving_end = { ahead = 25, out = 505, up = 330, on = "axle" }
chassis_end = { ahead = 30, out = 480, up = 570 }
"""
BAR_SIZES = """diameter = 22
length = 900                       # between the arms
arm = 210                          # lever from the bar's axis
"""
AXIS = "axis = { ahead = 250, up = 300 }\n"
LINK = 'drop_link_end = { ahead = 40, out = 600, up = 186, on = "lower arm" }'
REAR_SEAT = 'up = 330, on = "axle" }'


def table(name: str) -> str:
    """A table of the saloon's file, from its head to the next one."""
    begun = SALOON.index(f"[{name}]")
    return SALOON[begun : SALOON.index("\n[", begun) + 1]


FAULTS = {
    "weights missing": (table("front.weights"), "", ["front.weights: is missing: what each wheel's scale shows"]),
    "spring missing": (table("front.spring"), "", ["front.spring: is missing: weights alone"]),
    "neither, but a bar and a damper": (
        table("front.weights") + table("front.tyre") + table("front.spring"),
        "",
        ["front.bar: means nothing without", "front.damper: means nothing without"],
    ),
    "one side not weighed": (
        WEIGHTS,
        WEIGHTS.replace("right = 285\n", ""),
        ["front.weights.right: is missing"],
    ),
    "unsprung more than the scale": (
        "unsprung = 36 ",
        "unsprung = 286 ",
        ["front.weights.unsprung: read 286; it is a part of what each wheel's scale shows, so it must be less"],
    ),
    "nothing unsprung": ("unsprung = 36 ", "unsprung = 0 ", ["front.weights.unsprung: read 0; a number above 0"]),
    "a weight in words": ("left = 290", 'left = "heavy"', ['front.weights.left: read "heavy"; a number']),
    "a rate below zero": ("rate = 34 ", "rate = -34 ", ["front.spring.rate: read -34; a number above 0 is allowed"]),
    "no rate": ("rate = 34 ", "#", ["front.spring.rate: is missing: give it, or wire, mean_diameter and active_coils"]),
    "some sizes": (
        "rate = 34 ",
        "wire = 12\n#",
        ["front.spring: give its rate, or wire, mean_diameter and active_coils; missing: mean_diameter, active_coils"],
    ),
    "rate and sizes": (
        "rate = 34 ",
        "wire = 12\nmean_diameter = 130\nactive_coils = 6\nrate = 34 ",
        ["front.spring: gives both a rate and mean_diameter, which makes another; leave one of the two out"],
    ),
    "wire as thick as the coil": (
        "rate = 34 ",
        "wire = 130\nmean_diameter = 130\nactive_coils = 6\n#",
        ["front.spring.wire: read 130, which goes 1 times into the mean diameter 130", "front.spring.rate: makes"],
    ),
    "block length above the free length": (
        "rate = 34 ",
        "free_length = 300\nblock_length = 310\nrate = 34 ",
        ["front.spring.block_length: read 310 mm; a coil-bound spring is shorter than a free one: less than free_len"],
    ),
    "more coils than there is length": (
        "rate = 34 ",
        "free_length = 90\nwire = 12\nactive_coils = 6\nrate = 34 ",
        ["front.spring.free_length: read 90 mm, but its coils alone are 96 when they touch; are wire, active_coils"],
    ),
    "fewer coils in all than work": (
        "rate = 34 ",
        "wire = 12\nactive_coils = 6\ntotal_coils = 5\nrate = 34 ",
        ["front.spring.total_coils: read 5; it counts every coil, so not fewer than the active 6"],
    ),
    "coils in all alone": (
        "rate = 34 ",
        "total_coils = 7\nrate = 34 ",
        ["front.spring.active_coils: is missing: total_coils alone"],
    ),
    "a shear modulus in N/mm^2": (
        "rate = 34 ",
        "wire = 12\nmean_diameter = 130\nactive_coils = 6\nshear_modulus = 79300\n#",
        ["front.spring.shear_modulus: read 79300 GPa; 10 to 150 is allowed", "front.spring.rate: makes"],
    ),
    "an endless rate": ("rate = 34 ", "rate = inf ", ["front.spring.rate: read inf"]),
    "no tyre rate": ("rate = 210                         # vertical", "rate = 0 #", ["front.tyre.rate: read 0; "]),
    "along the strut and with ends": (
        ALONG,
        ALONG + REAR_ENDS.replace('"axle"', '"upright"'),
        ['front.spring: give one of: along = "strut"; moving_end and chassis_end; motion_ratio'],
    ),
    "along the strut and with a ratio": (ALONG, ALONG + "motion_ratio = 0.9\n", ["front.spring: give one of: along"]),
    "along nothing": (ALONG, "", ["front.spring: give one of: along"]),
    "along what is no strut": (ALONG, 'along = "damper"\n', ['front.spring.along: read "damper"']),
    "along the strut of a live axle": (
        REAR_ENDS,
        ALONG,
        ['rear.spring.along: read "strut", but a live axle with three links has no strut'],
    ),
    "one end": (REAR_ENDS.splitlines()[1], "", ["rear.spring.chassis_end: is missing"]),
    "moving end on the chassis": (REAR_SEAT, "up = 330 }", ["rear.spring.moving_end.on: say what carries it, like on"]),
    "moving end said to be on the chassis": (
        REAR_SEAT,
        'up = 330, on = "chassis" }',
        ["rear.spring.moving_end.on: say"],
    ),
    "a damper on its own with one end": (
        "chassis_end = { ahead = -40, out = 480, up = 660 }",
        "",
        ["rear.damper.chassis_end: is missing"],
    ),
    "bump stop that weakens": (
        FORCE,
        "force = [[8, 250], [18, 1100], [26, 900]]",
        ["front.spring.bump_stop.force: read [[8.0, 250.0], [18.0, 1100.0], [26.0, 900.0]]; compressions must rise"],
    ),
    "bump stop that runs back": (
        FORCE,
        "force = [[8, 250], [6, 1100]]",
        ["front.spring.bump_stop.force: read [[8.0, 250.0], [6.0, 1100.0]]; compressions must rise from above zero"],
    ),
    "bump stop from zero": (
        FORCE,
        "force = [[0, 100], [6, 1100]]",
        ["front.spring.bump_stop.force: read [[0.0, 100.0]"],
    ),
    "bump stop not in pairs": (
        FORCE,
        "force = [8, 250]",
        ["front.spring.bump_stop.force: read [8, 250]; pairs of compression and force are allowed, like [[5, 300],"],
    ),
    "bump stop without a curve": (FORCE, "force = []", ["front.spring.bump_stop.force: is empty"]),
    "bump stop in words": (
        FORCE,
        'force = [["a", 250], ["3/8", "hard"]]',
        ["front.spring.bump_stop.force 1, entry 1: 'a' is no", "front.spring.bump_stop.force 2, entry 2: read"],
    ),
    "bump stop without a gap": ("gap = 32, ", "", ["front.spring.bump_stop.gap: is missing"]),
    "misspelt": (
        "bump_stop =",
        "bumpstop =",
        ["front.spring.bumpstop: this key is not known here; did you mean bump_stop?"],
    ),
    "bar without rate or sizes": (
        BAR_SIZES,
        "",
        ["front.bar: give its rate, or diameter, length and arm; missing: diameter, length, arm"],
    ),
    "bar without a length": (
        BAR_SIZES,
        "diameter = 22\narm = 210\n",
        ["front.bar: give its rate, or diameter, length and arm; missing: length"],
    ),
    "a tube without a wall": (
        "diameter = 22\n",
        "diameter = 22\ninner_diameter = 22\n",
        ["front.bar.inner_diameter: read 22; it must be less than the diameter 22"],
    ),
    "spring of no rate": ("rate = 34 ", "rate = 5e-324 ", ["front.spring.rate: read 5e-324; a number above 0 is"]),
    "bar like a hair": (
        "diameter = 22\n",
        "diameter = 0.5\n",
        ["front.bar.diameter: read 0.5; at least 1 mm is allowed"],
    ),
    "bar with half its geometry": (AXIS, "", ["front.bar: give axis, arm_end and drop_link_end, or else motion_ratio"]),
    "bar with geometry and ratio": (AXIS, AXIS + "motion_ratio = 0.6\n", ["front.bar: give axis, arm_end and"]),
    "bar whose arm lies on its axis": (
        AXIS,
        "axis = { ahead = 40, up = 300 }\n",
        ["front.bar.arm_end: lies on the bar's axis: such an arm twists nothing"],
    ),
    "drop link on an unknown part": (
        'on = "lower arm" }',
        'on = "lower arms" }',
        ['front.bar.drop_link_end.on: read "lower arms"; did you mean lower arm?'],
    ),
    "two at once": (
        WEIGHTS + "\n" + table("front.tyre"),
        WEIGHTS.replace("36 ", "300 ") + "\n" + table("front.tyre").replace("210", "-1"),
        ["front.tyre.rate: read -1"],
    ),
    "moving end on an unknown part": (
        REAR_SEAT,
        'up = 330, on = "axel" }',
        ['rear.spring.moving_end.on: read "axel"; did you mean axle?'],
    ),
    "drop link on the chassis": (', on = "lower arm" }', " }", ["front.bar.drop_link_end.on: say what carries it"]),
    "drop link of no length": (
        LINK,
        'drop_link_end = { ahead = 40, out = 590, up = 300, on = "lower arm" }',
        ["front.bar.drop_link_end"],
    ),
}


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def written(garage: Path, *swaps: tuple[str, str]) -> None:
    text = SALOON
    for was, now in swaps:
        assert text.count(was) == 1, f"{was!r} must stand in the saloon's file once"
        text = text.replace(was, now)
    (garage / "car.toml").write_text(text, encoding="utf-8")


@pytest.mark.parametrize("what", FAULTS)
def test_told_in_full(what: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    was, now, says = FAULTS[what]
    written(garage, (was, now))
    for command in (["show", "car.toml"], ["lean", "car.toml", "--into", "out"]):
        assert main(command) == 2
        told = capsys.readouterr()
        head, *lines = told.err.splitlines()
        assert head == f"car.toml: {len(says)} fault{'' if len(says) == 1 else 's'}"
        assert [line[: len(begin) + 2] for line, begin in zip(lines, says, strict=True)] == [f"  {s}" for s in says]
        assert told.out == ""
    assert [path.name for path in garage.iterdir()] == ["car.toml"]


LACKS = {
    "centre of gravity": ("centre_of_gravity = { up = 520, behind_front = 1142 }", "#", "centre_of_gravity in [body]"),
    "wheelbase": ("wheelbase = 2560\n", "", "wheelbase in [body]"),
    "an axle": (SALOON[SALOON.index("[rear]") : SALOON.index("[limits]")], "", "both axles"),
    "loads behind": (
        SALOON[SALOON.index("[rear.weights]") : SALOON.index("[limits]")],
        "",
        "[rear.spring] and [rear.weights]",
    ),
}


@pytest.mark.parametrize("what", LACKS)
def test_lean_says_what_it_lacks(what: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Such cars are good for everything else, so only `lean` and `shelf` refuse them."""
    was, now, says = LACKS[what]
    limits = SALOON[SALOON.index("[limits.rear]") :]
    written(garage, (was, now), *([(limits, "")] if what == "an axle" else []))
    (garage / "shelf.toml").write_text('units = "mm"\n[[front_spring]]\nname = "a"\nrate = 40\n', encoding="utf-8")
    assert main(["show", "car.toml"]) in (0, 1)
    capsys.readouterr()
    for command in (["lean", "car.toml", "--into", "out"], ["shelf", "car.toml", "shelf.toml", "out.csv"]):
        assert main(command) == 2
        told = capsys.readouterr()
        head, *lines = told.err.splitlines()
        assert head == "car.toml: 1 fault"
        assert says in " ".join(lines)
        assert told.out == ""
    assert sorted(path.name for path in garage.iterdir()) == ["car.toml", "shelf.toml"]


NOTES = {
    "loose in droop": (("travel = [-25, 25]", "travel = [-90, 25]"), "front: a spring is loose at the droop end"),
    # The strut is 389 mm long between its points, 25 mm less in bump.
    "coil bound": (("rate = 34 ", "block_length = 370\nrate = 34 "), "front: a spring is coil bound at the bump end"),
    "stop touched": (("gap = 32", "gap = 12"), "front: a bump stop is touched inside the working travel"),
    # Leaning in so far it shortens by 0.42 of the travel: 27 N/mm 0.42^2 less the 4.7 kN / 560 mm (1 - 0.42^2) by which
    # the force turns away is -2 N/mm.
    "gives way": (
        ("ahead = 30, out = 480, up = 570", "ahead = 30, out = -1, up = 570"),
        "rear: the wheel rate is below",
    ),
    "rigid tyres": ((table("front.tyre"), ""), "front: no tyre rate is given, so its tyres count as rigid"),
    "scales against file": (("behind_front = 1142", "behind_front = 1300"), "lean goes by the scales"),
}


def noted(out: str) -> list[str]:
    """Notes, each in one line however it was folded."""
    return [re.sub(r"\s+", " ", one) for one in re.findall(r"^note: (.*?)(?=^note: |\n *\n|\Z)", out, re.M | re.S)]


@pytest.mark.campaign
# Those of loose, bound and stopped springs are read in `tests/outputs` too.
@pytest.mark.parametrize("what", NOTES)
def test_notes(what: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    swap, says = NOTES[what]
    written(garage, swap)
    assert main(["lean", "car.toml"]) == 0
    told = capsys.readouterr()
    assert any(says in note for note in noted(told.out)), noted(told.out)
    assert told.err == ""
    assert "nan" not in told.out.lower()


@pytest.mark.campaign
@pytest.mark.parametrize(
    "swap",
    [("gap = 32", "gap = 40"), ("rate = 34 ", "block_length = 340\nrate = 34 ")],
    ids=["stop", "coils"],
)
def test_no_note_of_what_is_sound(swap: tuple[str, str], garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    written(garage, swap)
    assert main(["lean", "car.toml"]) == 0
    in_working_travel = [note for note in noted(capsys.readouterr().out) if "working travel" in note]
    assert not any("bump stop" in note or "coil" in note for note in in_working_travel)


@pytest.mark.campaign
def test_block_length_beside_a_motion_ratio(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With a ratio alone the spring's length is not known, so it cannot be said to be coil bound."""
    written(garage, (ALONG, "motion_ratio = 0.97\nblock_length = 150\n"))
    status = main(["lean", "car.toml"])
    told = capsys.readouterr()
    assert status == 2 or "coil bound" not in told.out


@pytest.mark.campaign
def test_a_stop_that_would_carry_more_than_the_scales_show(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Pressed by 40 mm at rest the stop alone pushes some 7 kN, on a wheel that carries 2.5 kN: such a car rises."""
    written(garage, ("gap = 32", "gap = -40"))
    status = main(["lean", "car.toml"])
    told = capsys.readouterr()
    assert status == 2 or any("at rest" in note for note in noted(told.out))


@pytest.mark.parametrize("out", [0, 4], ids=["on the centre plane", "nearly so"])
def test_springs_that_hold_no_roll(out: int, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Both rear springs side by side in the middle carry the weight and let the axle roll: no rate in roll is told."""
    ends = f'moving_end = {{ ahead = 25, out = {out}, up = 330, on = "axle" }}\n'
    ends += f"chassis_end = {{ ahead = 30, out = {out}, up = 570 }}\n"
    written(garage, (REAR_ENDS, ends))
    assert main(["show", "car.toml"]) in (0, 1)
    capsys.readouterr()
    assert main(["lean", "car.toml", "--into", "out"]) == 2
    told = capsys.readouterr()
    assert "rear.spring hardly changes its length in roll" in " ".join(told.err.split())
    assert told.out == ""
    assert not (garage / "out").exists()


SHORT_LINK = (LINK, 'drop_link_end = { ahead = 36, out = 590, up = 296, on = "lower arm" }')


def test_a_drop_link_that_does_not_reach(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A link of 6 mm cannot follow 25 mm of travel: refused with its key, or noted without numbers that are none."""
    written(garage, SHORT_LINK)
    status = main(["lean", "car.toml", "--into", "out"])
    told = capsys.readouterr()
    if status == 2:
        assert "front.bar.drop_link_end" in told.err or "drop link does not reach" in told.err
        assert told.out == ""
    else:
        assert any("front: the bar's drop link does not reach" in note for note in noted(told.out))
        assert "nan" not in told.out.lower()

"""What the help of the tool and of its commands says besides their options."""

ABOUT = """\
Where is the roll centre of this car, how does it move in bump, droop and roll,
and what do camber and toe do meanwhile? What to change, and by how much?

from the tape to the decision:
  cornersweep demo                   all of it, on a built-in, invented car
  cornersweep sheet strut sheet.pdf  a measuring sheet for the garage floor
  cornersweep survey my_survey.toml my_car.toml
                                     the car that those readings make
  cornersweep show my_car.toml       where it stands, and what to do next
  cornersweep find my_car.toml my_means.toml
                                     what to change, and by how much
  cornersweep compare my_car.toml my_plans.toml
                                     plans side by side
  cornersweep setup my_car.toml my_plans.toml --write setup.pdf
                                     what to fit, turn and measure, to print
  cornersweep open my_car.toml       the same in the browser, with sliders
"""
EXIT = """\
exit status: 0 within the limits, 1 outside them, 2 the input was at fault
(nothing is overwritten unasked); 70 a fault of the program, 130 stopped by the
user, 141 the reader of its output has gone. COMMAND --help says more.
"""
# The names on the command line; a test holds them against those that there are, for help loads no numerics.
TYPES = (
    "strut", "double-wishbone", "strut-with-toe-link", "double-wishbone-with-toe-link", "five-link",
    "semi-trailing-arm", "trailing-arm", "H-arm", "control-blade", "swing-axle", "live-axle-with-three-links",
    "live-axle-with-four-links", "live-axle-with-triangulated-links", "live-axle-with-A-frame",
    "live-axle-with-Watt-linkage-on-the-axle", "live-axle-with-Watt-linkage-on-the-body",
    "live-axle-with-torque-arm", "free-linkage",
)  # fmt: skip
OF_TYPES = ("new", "sheet", "import")
EXAMPLES = {
    "demo": ("demo", "demo out --all"),
    "new": (
        "new strut my_car.toml",
        "new double-wishbone my_car.toml --units in",
        "new means my_means.toml",
        "new plans my_plans.toml",
        "new scales my_scales.toml",
    ),
    "survey": ("survey my_survey.toml my_car.toml", "survey my_survey.toml --next --within 4"),
    "sheet": ("sheet strut sheet.pdf", "sheet strut my_survey.toml --units in"),
    "import": ("import points.csv my_car.toml --suspension strut --forward x --up z",),
    "show": ("show my_car.toml", "show my_car.toml --limits class.toml --all"),
    "open": ("open", "open my_car.toml", "open my_car.toml --no-browser --port 8300"),
    "sweep": ("sweep my_car.toml out", "sweep my_car.toml out --travel -40 50 --drawing pdf"),
    "compare": ("compare my_car.toml plans.toml --into out", "compare my_car.toml --change 'longer ball joint' 20"),
    "find": ("find my_car.toml my_means.toml", "find my_car.toml my_means.toml --into out"),
    "influence": ("influence my_car.toml",),
    "travel": ("travel my_car.toml", "travel my_car.toml plans.toml --into out"),
    "setup": (
        "setup my_car.toml plans.toml --plan 'my plan' --write setup.pdf setup.toml",
        "setup my_car.toml plans.toml --measured setup.pdf",
        "setup my_car.toml --cross 50",
    ),
    "weigh": (
        "weigh my_scales.toml my_car.toml",
        "weigh my_scales.toml my_car.toml --write-car weighed.toml",
    ),
    "record": (
        "record my_record --add my_car.toml --date 2026-03-14 --state 'as measured'",
        "record my_record --into out",
        "record my_record 2026-03-14 'after the first event'",
    ),
    "doubt": ("doubt my_car.toml", "doubt my_car.toml --about bump_steer"),
    "lean": ("lean my_car.toml --into out",),
    "shelf": ("shelf my_car.toml my_shelf.toml shelf.csv",),
    "report": (
        "report my_car.toml report.html",
        "report my_car.toml report.pdf my_plans.toml --paper letter",
        "report my_car.toml report.pdf --plan my_plans.toml 'my plan' --date 2026-05-01",
    ),
    "schema": ("schema car", "schema plans plans.schema.json"),
    "completion": ("completion bash",),
    "draw": ("draw my_car.toml front.png", "draw my_car.toml front.pdf --bump 25 --roll 1.5"),
}
_JUDGED = "0 within the limits, 1 outside them, 2 the input was at fault"
_DONE = "0 when it is done, 2 the input was at fault"
# What each command ends with; 70, 130 and 141 mean the same in all.
OF_COMMAND = {
    "demo": "0 when it ran, although its car is outside the limits",
    "new": _DONE,
    "survey": "0 where the readings agree, 1 where one is suspect, 2 the input was at fault",
    "sheet": _DONE,
    "import": _DONE,
    "show": _JUDGED,
    "open": "0 when it is stopped, 2 the input was at fault",
    "sweep": _JUDGED,
    "compare": f"{_JUDGED}; 0 also where the car as measured is outside and a plan that can be built holds all limits",
    "find": "0 where a plan that may be made holds all limits, else 1; 2 the input was at fault",
    "influence": _DONE,
    "travel": "0 where every corner has the travel that the car uses, as measured and after each plan, else 1; "
    "2 the input was at fault",
    "setup": "0 where nothing that was measured after is off by more than its doubt, else 1; 2 the input was at fault",
    "weigh": _DONE,
    "record": _DONE,
    "doubt": _JUDGED,
    "lean": _DONE,
    "shelf": "0 where something on the shelf gives what is wanted, else 1; 2 the input was at fault",
    "report": f"{_JUDGED}; 0 also where the car as measured is outside and a plan in it that can be built holds all "
    "limits",
    "schema": _DONE,
    "completion": _DONE,
    "draw": _DONE,
}

"""What the help of the tool and of its commands says besides their options."""

ABOUT = """\
Where is the roll centre of this car, how does it move in bump, droop and roll, and what do camber and toe
do meanwhile? Measure the suspension's points, write them into a car file, and sweep it.

  cornersweep demo                      run everything on a built-in, invented car
  cornersweep new strut my_car.toml     write a blank car file to fill in
  cornersweep sheet strut sheet.pdf     a measuring sheet, where there are no coordinates yet
  cornersweep survey my_survey.toml my_car.toml
                                        fit the points to tape readings, heights and angles
  cornersweep show my_car.toml          where the roll centre is, what is out, what to do next
  cornersweep open my_car.toml          a page in the browser: see the car move, try changes on it
  cornersweep sweep my_car.toml out     curves and tables into the folder `out`
  cornersweep draw my_car.toml a.png    front view to scale, at any bump and roll
  cornersweep find my_car.toml my_means.toml
                                        what to change, and by how much, with what may be done
  cornersweep influence my_car.toml     which way to move which point
  cornersweep compare my_car.toml plans.toml --into out
                                        try changes on paper: plans side by side
  cornersweep travel my_car.toml        how far each corner can go, and what ends it
  cornersweep setup my_car.toml plans.toml --write setup.pdf
                                        a sheet to print: what to fit, turn and measure for a plan
  cornersweep weigh my_scales.toml my_car.toml
                                        centre of gravity and cross-weight from four scales
  cornersweep record my_record          a folder of dated states: what changed since last time
  cornersweep doubt my_car.toml         how far to trust all this, and what to measure again
  cornersweep report my_car.toml report.pdf
                                        all of it in one file, to print or to hand on
"""
EXIT = """\
exit status: 0 within the limits, 1 outside them, 2 the input was at fault (nothing is overwritten unasked);
70 a fault of the program, 130 stopped by the user, 141 the reader of its output has gone.
"""
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
OF_COMMAND = {
    "compare": "0 also where the car as measured is outside and a plan that can be built holds all limits",
    "find": "0 where a plan that may be made holds all limits",
    "travel": "0 where every corner has the travel that the car uses, as measured and after each plan",
    "setup": "0 where nothing that was measured after is off by more than its doubt",
    "report": "0 also where the car as measured is outside and a plan in it that can be built holds all limits",
    "open": "0 when it is stopped",
    "demo": "0 when it ran, although its car is outside the limits",
}

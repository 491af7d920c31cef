"""The figure of the trade-off tells what `compare` finds of each of its plans: another way to the same margins."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from kinematics.finding.found_plans import Search
from kinematics.finding.search import find
from kinematics.inputs.car.car_file import read_limits
from kinematics.inputs.demo_cars import demo_car
from kinematics.inputs.plans.means_file import read_means
from kinematics.planning.comparison import compare
from reports.figures.trade_off import trade_off
from reports.words.finding import plan_names
from tests.finding.test_find_command import LIMITS, MEANS
from tests.short_run import at_places


@pytest.mark.campaign
@pytest.mark.parametrize("inches", at_places([False, True], 1), ids=["mm", "in"])
def test_points_and_title_of_the_trade_off(tmp_path: Path, inches: bool) -> None:
    for name, text in (("limits.toml", LIMITS), ("means.toml", MEANS)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    car, limits = demo_car(), read_limits(tmp_path / "limits.toml")
    found = find(car, read_means(tmp_path / "means.toml", car), limits)
    unit = car.unit if not inches else replace(car.unit, symbol="in", in_mm=25.4)
    figure = trade_off(found, replace(car, unit=unit))

    plans = [replace(one.plan, name=f"plan {i}") for i, one in enumerate(found.trade_off)]
    outcomes = compare(car, plans, limits, ()).outcomes[1:]
    # A ride height of its own is a plan's; what else it changes raises nothing.
    raised = [sum(one.by for one in plan.changes if one.what == "ride height") / unit.in_mm for plan in plans]
    margin = [100.0 * one.margin if one.buildable else -np.inf for one in outcomes]
    holds = {round(at, 6): worst for at, worst in zip(raised, margin, strict=True) if worst >= 0.0}
    drawn = {line.get_label(): np.asarray(line.get_xydata()) for line in figure.axes[0].get_lines()}
    points = {round(float(at), 6): float(worst) for at, worst in drawn["holds everything"]}
    assert points == pytest.approx(holds, abs=1e-6)
    assert len(points) + len(drawn["fails something"]) == len(plans)

    assert unit.symbol in figure.axes[0].get_xlabel()
    title = " ".join(text.get_text() for text in figure.texts)
    assert not re.search(r" -\d", title)
    title = title.replace("\N{MINUS SIGN}", "-")
    told = re.search(
        r"Plans hold everything (?:at some heights )?(?:from|at) ([-+]?[\d.]+)(?: to ([-+]?[\d.]+))?", title
    )
    assert told is not None
    ends = [float(one) for one in told.groups() if one is not None]
    assert ends == pytest.approx(sorted({min(holds), max(holds)}), abs=0.01)
    named_and_clear(figure, found, unit.in_mm)


def named_and_clear(figure: Figure, found: Search, in_mm: float) -> None:
    """Each listed plan's name stands nearest to its own point; the legend covers nothing of the curve."""
    (axes,) = figure.axes
    listed = dict(zip(plan_names(found), [found.best, *found.alternatives], strict=True))
    listed["as measured"] = found.as_measured
    texts = {name: text for text in axes.texts for name in text.get_text().split(", ")}
    assert set(texts) == set(listed)
    for name, one in listed.items():
        x, y = texts[name].xy  # type: ignore[attr-defined]
        assert x * in_mm == pytest.approx(one.raised, abs=1e-4)
        assert y == pytest.approx(max(100.0 * one.worst, -150.0), abs=1e-4)
    renderer = FigureCanvasAgg(figure).get_renderer()  # type: ignore[no-untyped-call]
    legend = axes.get_legend()
    assert legend is not None
    assert not legend.get_window_extent(renderer).overlaps(axes.get_window_extent(renderer))

"""Figures of results, for who works in Python: each takes a result and its car, and returns a Matplotlib figure.

They are those of the command line, with the same titles. Matplotlib is slow to load, so each function imports it.
"""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Literal

from kinematics.car.car import Car
from kinematics.car.limits import Limits
from kinematics.doubt.lean_doubt import LeanDoubt
from kinematics.finding.found_plans import Search
from kinematics.finding.influence import Influence
from kinematics.loads.report import LeanSheet
from kinematics.loads.under_load import UnderLoad
from kinematics.numbers.stance import Stance
from kinematics.planning.travel_budget import TravelBudgets
from kinematics.sweeps.arguments import refuse_no_car, refuse_other
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.roll_axis import RollAxis

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from kinematics.doubt.assessment import Assessment

AS_MEASURED = "as measured"


def curves_figure(sweep: Sweep | Mapping[str, Sweep], car: Car, limits: Limits | None = None) -> "Figure":
    """Roll centre, camber, toe and their kind over a sweep in bump or in roll, or over up to five by their names.

    limits: shaded, the car's own where it is None. Several sweeps must all be in bump, or all in roll.
    """
    from reports.figures.curves import curves
    from reports.figures.style import Sheet

    refuse_no_car(car, "curves_figure")
    refuse_other(sweep, (Sweep, Mapping), "curves_figure takes a sweep, or several by name: {name: sweep}")
    named = {AS_MEASURED: sweep} if isinstance(sweep, Sweep) else dict(sweep)
    for one in named.values():
        _refuse_other_sweep(one, ("bump", "roll"), "curves_figure")
    held = limits or car.limits
    title = curves_title(list(named.items()), held, car)
    axle = next(iter(named.values())).axle
    return curves(list(named.items()), held.of(axle), car.unit, Sheet(title, car.name), held.working)


def curves_title(named: Sequence[tuple[str, Sweep]], limits: Limits, car: Car) -> str:
    """What the first of some sweeps says, or what the last does against it."""
    from reports.figures.plans import driver_of
    from reports.words.figure_titles import bump_title, plan_title, roll_title

    (_, first), (name, last) = named[0], named[-1]
    own, working = limits.of(first.axle), limits.working
    if len(named) > 1:
        return plan_title(f"With {name}", (first, last), driver_of(first), working, car.unit)
    if first.kind == "roll":
        return roll_title(first, own, working, car.unit)
    return bump_title(first, driver_of(first), own, working, car.unit)


def roll_centre_figure(bump: Sweep, roll: Sweep, car: Car, limits: Limits | None = None) -> "Figure":
    """Where the roll centre goes, seen from the front, over a sweep in bump and one in roll of the same axle."""
    from reports.figures.plans import driver_of
    from reports.figures.roll_centre_path import roll_centre_path
    from reports.figures.style import Sheet
    from reports.words.figure_titles import path_title

    refuse_no_car(car, "roll_centre_figure")
    _refuse_other_sweep(bump, ("bump",), "roll_centre_figure")
    _refuse_other_sweep(roll, ("roll",), "roll_centre_figure")
    held = limits or car.limits
    title = path_title(bump, driver_of(bump), roll, held.working, car.unit)
    both = [(AS_MEASURED, bump), (AS_MEASURED, roll)]
    return roll_centre_path(both, held.of(bump.axle), car.unit, Sheet(title, car.name))


def front_view_figure(stance: Stance, car: Car, limits: Limits | None = None) -> "Figure":
    """The axle drawn to scale from the front, as it stands in a stance of one state, such as `stances(axle, 0, 0)`."""
    from reports.figures.front_view import front_view
    from reports.figures.style import Sheet
    from reports.words.figure_titles import position_title

    refuse_no_car(car, "front_view_figure")
    refuse_other(stance, Stance, "front_view_figure takes a stance, such as stances(car.front, 0, 0)")
    own = (limits or car.limits).of(stance.states.axle)
    title = position_title(stance, own, car.unit)
    return front_view(stance, car.unit, Sheet(title[:1].upper() + title[1:], car.name), own)


def side_view_figure(sweep: Sweep, car: Car) -> "Figure":
    """Anti-dive and its kind, how the wheel centre recedes, and caster change over a sweep in bump, a panel each."""
    from reports.figures.panels import SIDE_VIEW, along_travel, panels
    from reports.figures.style import Sheet
    from reports.words.figure_titles import side_view_title

    refuse_no_car(car, "side_view_figure")
    _refuse_other_sweep(sweep, ("bump",), "side_view_figure")
    along = along_travel(sweep, car.unit)
    title = side_view_title(sweep, along.values * car.unit.in_mm, car.unit)
    return panels(sweep, along, SIDE_VIEW, car.unit, Sheet(title, car.name))


def steering_figure(sweep: Sweep, car: Car) -> "Figure":
    """Steer angles, Ackermann share and their kind over rack travel, of a sweep that moves the rack alone."""
    from reports.figures.panels import STEER, along_rack, panels
    from reports.figures.style import Sheet
    from reports.words.figure_titles import steering_title

    refuse_no_car(car, "steering_figure")
    _refuse_other_sweep(sweep, ("steer",), "steering_figure")
    along = along_rack(sweep, car.unit)
    return panels(sweep, along, STEER, car.unit, Sheet(steering_title(sweep, car.unit), car.name))


def roll_axis_figure(in_heave: RollAxis, in_roll: RollAxis, car: Car) -> "Figure":
    """The roll axis over heave, from `roll_axis(car, bumps, 0)`, and over roll, from `roll_axis(car, 0, rolls)`."""
    from reports.figures.roll_axis_curves import roll_axis_curves
    from reports.figures.style import Sheet
    from reports.words.figure_titles import roll_axis_title

    refuse_no_car(car, "roll_axis_figure")
    for axis in (in_heave, in_roll):
        refuse_other(axis, RollAxis, "roll_axis_figure takes two roll axes, over heave and over roll")
    return roll_axis_curves(in_heave, in_roll, car, Sheet(roll_axis_title(in_heave, car.unit), car.name))


def lean_figure(sheet: LeanSheet, car: Car, doubt: LeanDoubt | None = None) -> "Figure":
    """Roll, wheel loads and what the tyres could hold over lateral acceleration.

    doubt: what `lean_doubt` gives of the same sheet, for bands in which 95 of 100 such cars lie.
    """
    from reports.figures.lean_curves import lean_curves
    from reports.figures.style import Sheet
    from reports.words.figure_titles import lean_title

    refuse_no_car(car, "lean_figure")
    refuse_other(sheet, LeanSheet, "lean_figure takes what lean_sheet(car) gives")
    _refuse_other_lean(doubt, "lean_figure")
    return lean_curves(sheet, car, Sheet(lean_title(sheet), car.name), doubt)


def under_load_figure(found: UnderLoad, car: Car) -> "Figure":
    """Both axles seen from the front in each manoeuvre, over themselves at rest, with every wheel's load and camber."""
    from reports.figures.loaded_views import loaded_views
    from reports.figures.style import Sheet
    from reports.words.under_load import under_load_title

    refuse_no_car(car, "under_load_figure")
    refuse_other(found, UnderLoad, "under_load_figure takes what under_load(car, manoeuvres) gives")
    return loaded_views(found, car.unit, Sheet(under_load_title(found, car.unit), car.name))


def wheel_rates_figure(sheet: LeanSheet, car: Car, doubt: LeanDoubt | None = None) -> "Figure":
    """Wheel rates, motion ratios and spring forces of both axles over travel.

    doubt: what `lean_doubt` gives of the same sheet, for bands in which 95 of 100 such cars lie.
    """
    from reports.figures.lean_curves import rate_curves
    from reports.figures.style import Sheet
    from reports.words.figure_titles import rates_title

    refuse_no_car(car, "wheel_rates_figure")
    refuse_other(sheet, LeanSheet, "wheel_rates_figure takes what lean_sheet(car) gives")
    _refuse_other_lean(doubt, "wheel_rates_figure")
    return rate_curves(sheet, car, Sheet(rates_title(sheet, car.unit), car.name), doubt)


def travel_figure(budgets: TravelBudgets, car: Car) -> "Figure":
    """What ends each corner's travel, as measured and after the first plans, a bar for each corner."""
    from reports.figures.travel_bars import travel_bars

    refuse_no_car(car, "travel_figure")
    refuse_other(budgets, TravelBudgets, "travel_figure takes what travel_budgets(...) gives")
    return travel_bars(budgets, car, budgets.working)


def influence_figure(found: Influence, car: Car) -> "Figure":
    """The points that move the deciding numbers most, a panel for each number."""
    from reports.figures.influence_chart import influence_chart

    refuse_no_car(car, "influence_figure")
    refuse_other(found, Influence, "influence_figure takes what influence(axle) gives")
    return influence_chart(found, car.unit, car.name)


def trade_off_figure(search: Search, car: Car) -> "Figure":
    """The best worst margin of a search's plans against ride height, price or the number of things changed."""
    from reports.figures.trade_off import trade_off

    refuse_no_car(car, "trade_off_figure")
    refuse_other(search, Search, "trade_off_figure takes what find(...) gives")
    return trade_off(search, car)


def doubt_figure(
    study: "Assessment", car: Car, place: Literal["bump", "roll"] = "bump", limits: Limits | None = None
) -> "Figure":
    """The curves of `curves_figure` in bump or in roll, with the band in which 95 of 100 such measurements lie."""
    from kinematics.doubt.question import DRAWN
    from reports.figures.curve_panels import Bands
    from reports.figures.curves import curves
    from reports.figures.style import Sheet
    from reports.words.figure_titles import doubt_title

    _refuse_other_study(study, car, "doubt_figure")
    if place not in study.curves:
        asked = " and ".join(one for one in ("bump", "roll") if one in study.curves) or "neither bump nor roll"
        raise ValueError(f"this question asked {asked}; read {place!r}")
    chances, held = study.chances, limits or car.limits
    drawn = "" if chances is None else f"{chances.draws} drawn cars"
    at = study.question.roll if place == "roll" else study.question.travel
    how = f"as {drawn} show" if drawn else "to first order"
    bands = Bands(at, {key: study.band((place, key)) for key in DRAWN}, how)
    sheet = Sheet(doubt_title(bands.at, bands.ends, place, car.unit), car.name)
    return curves([(AS_MEASURED, study.curves[place])], held.of(study.axle), car.unit, sheet, held.working, bands)


def shares_figure(
    study: "Assessment", car: Car, about: Sequence[str] = ("roll_centre_height", "camber_gain", "bump_steer")
) -> "Figure":
    """Whose doubt the doubt of some numbers at ride height comes from, the largest shares first."""
    from reports.figures.share_chart import share_chart
    from reports.figures.style import Sheet
    from reports.words.figure_titles import shares_title

    _refuse_other_study(study, car, "shares_figure")
    for key in about:
        study["ride height", key]  # KeyError names the nearest
    return share_chart(study, about, car.unit, Sheet(shares_title(study, about), car.name))


def _refuse_other_study(study: object, car: object, what: str) -> None:
    from kinematics.doubt.assessment import Assessment

    refuse_no_car(car, what)
    refuse_other(study, Assessment, f"{what} takes what assess(...) gives; None comes of an axle that states no doubt")


def _refuse_other_lean(doubt: object, what: str) -> None:
    refuse_other(doubt, (LeanDoubt, type(None)), f"{what} takes as doubt what lean_doubt(...) gives, or none")


def _refuse_other_sweep(sweep: object, kinds: Sequence[str], what: str) -> None:
    words = " or ".join(f"sweep_{kind}" for kind in kinds)
    refuse_other(sweep, Sweep, f"{what} takes what {words} gives")
    assert isinstance(sweep, Sweep)
    if sweep.kind not in kinds:
        raise ValueError(f"{what} takes what {words} gives; read a {sweep.kind} sweep")
    if sweep.axle.batch_shape or len(sweep.shape) != 1:
        raise ValueError(f"{what} shows one car over one list of states; read {sweep!r}")
    if not sweep.reached.any():
        raise ValueError(f"{what} has nothing to show: no state of this sweep is reached")

"""What a report tells of a car, solved once before anything is written."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from kinematics.car.car import Car
from kinematics.car.limits import Limits, Over
from kinematics.doubt.assessment import Assessment, assess
from kinematics.doubt.first_order_chance import first_order_chance
from kinematics.doubt.lean_doubt import LeanDoubt, lean_doubt
from kinematics.doubt.planned import PlanSureness
from kinematics.doubt.question import AT_RIDE_HEIGHT
from kinematics.doubt.solved_car import MeasuredCar, SolvedCar, solve
from kinematics.finding.influence import Influence, influence
from kinematics.judging.verdict import Finding
from kinematics.loads.readiness import NotReadyError
from kinematics.loads.report import LeanSheet, lean_sheet
from kinematics.planning.compared_numbers import NEARBY
from kinematics.planning.comparison import Comparison, Outcome, compare
from kinematics.planning.plans import AS_MEASURED, Plan
from kinematics.planning.rules import Rule
from kinematics.planning.swept_plans import SweptPlan, sweep_plans
from kinematics.planning.travel_budget import TravelBudgets, travel_budgets
from kinematics.sweeps.asked import over_travel
from kinematics.sweeps.sweep_job import SweepJob
from reports.words.compared import best_plan, holds_all

Judged = tuple[str, str, Over]  # axle, number, and where it is judged


@dataclass(frozen=True)
class PlansTried:
    """Plans beside the car as measured. chosen: the one that the report is about; None where none does better.

    sure: by a plan's name. swept: by axle, the car as measured and the chosen plan. asked: as it was asked.
    """

    compared: Comparison
    chosen: Outcome | None
    sure: Mapping[str, PlanSureness]
    swept: Mapping[str, Sequence[SweptPlan]]
    asked: "Asked"

    @property
    def measured(self) -> Outcome:
        """The car as measured."""
        return self.compared.outcomes[0]

    @property
    def in_order(self) -> list[Outcome]:
        """All plans, the most wanted first where the means say what is wanted; what they do not tell of by rank."""
        wanted = [self.compared[name] for name in self.asked.wanted]
        return [*wanted, *(one for one in self.compared.ranked if all(one is not other for other in wanted))]


@dataclass(frozen=True)
class ReportSolved:
    """A car with all that its report tells. files: the words that name car and limits in a command; means: likewise.

    taking: as `Asked` has it.

    chances: to first order that each limit holds, of the axles that state a doubt; studies: theirs too. lean: None
    where the file tells too little of springs and weights. tried: None where no plans are named.
    rules: the class rules that plans were held against. lean_doubt: None where there is no lean, or the file says of
    nothing how well it is known.
    """

    files: Sequence[str]
    means: str
    taking: Mapping[str, Sequence[str]]
    limits: Limits
    job: SweepJob
    solved: SolvedCar
    measured: MeasuredCar
    chances: Mapping[Judged, float]
    studies: Sequence[Assessment]
    moved: Sequence[Influence]
    budgets: TravelBudgets
    lean: LeanSheet | None
    tried: PlansTried | None
    rules: Sequence[Rule] = ()
    lean_doubt: LeanDoubt | None = None

    @property
    def car(self) -> Car:
        """The car."""
        return self.solved.car

    def chance(self, finding: Finding) -> float | None:
        """The chance that a limit holds; None where the file does not say how well that axle was measured."""
        return self.chances.get((finding.axle, finding.limit.key, finding.over))


@dataclass(frozen=True)
class Asked:
    """Which plans a report is to tell of, the rules they are held against, and which is chosen; empty for the best.

    taking: by a plan's name the words of the command that takes it up. wanted: names of plans that a search found, the
    most wanted first, the car as measured among them where it is. found: whether a file of plans is one of `find`.
    """

    plans: Sequence[Plan] = ()
    rules: Sequence[Rule] = ()
    chosen: str = ""
    taking: Mapping[str, Sequence[str]] = field(default_factory=dict)
    wanted: Sequence[str] = ()
    found: bool = False


def solve_report(
    car: Car, limits: Limits, job: SweepJob, asked: Asked, files: Sequence[str], means: str
) -> ReportSolved:
    """Solve all that a report tells; what it shows of the car as measured comes from one path an axle."""
    also = (*job.along_curves, over_travel(-NEARBY, NEARBY))
    solved = solve(car, job, limits, *also)
    measured = solved.as_measured(limits)
    tried = _tried(car, limits, job, asked, solved) if asked.plans else None
    sheet = _lean(car, limits)
    plans = [tried.chosen.plan] if tried is not None and tried.chosen is not None else []
    return ReportSolved(
        files,
        means,
        asked.taking,
        limits,
        job,
        solved,
        measured,
        _chances(measured, limits),
        _studies(measured, limits),
        [influence(axle, asked.rules) for axle in car.axles],
        travel_budgets(car, plans, limits.working),
        sheet,
        tried,
        asked.rules,
        None if sheet is None else lean_doubt(car, sheet, limits.working),
    )


def _chances(measured: MeasuredCar, limits: Limits) -> dict[Judged, float]:
    return {
        (one.axle.name, *judged): chance
        for one in measured.axles
        if one.cars is not None and one.findings
        for judged, chance in first_order_chance(one.cars, limits).each.items()
    }


def _studies(measured: MeasuredCar, limits: Limits) -> list[Assessment]:
    """Each axle's doubt at ride height, to first order."""
    found = [
        assess(one.axle, AT_RIDE_HEIGHT, limits, ready=one.ready, cars=one.cars)
        for one in measured.axles
        if one.cars is not None
    ]
    return [one for one in found if one is not None]


def _lean(car: Car, limits: Limits) -> LeanSheet | None:
    try:
        return lean_sheet(car, limits.working)
    except NotReadyError:
        return None


def _tried(car: Car, limits: Limits, job: SweepJob, asked: Asked, solved: SolvedCar) -> PlansTried:
    from kinematics.doubt.planned import plan_sureness

    ready = {one.axle.name: one.measured.ready for one in solved.axles}
    compared = compare(car, asked.plans, limits, asked.rules, *job.along_curves, ready=ready)
    chosen = _chosen(compared, asked)
    together = [one for one in (compared.outcomes[0], chosen) if one is not None and one.numbers]
    told = [
        one
        for one in compared.outcomes
        if holds_all(one) or (one.buildable and any(one is other for other in together))
    ]
    sure = {one.plan.name: plan_sureness(car, one.plan, limits) for one in told}
    swept = {axle.name: sweep_plans(together, axle.name, job) for axle in car.axles}
    return PlansTried(compared, chosen, sure, swept, asked)


def _chosen(compared: Comparison, asked: Asked) -> Outcome | None:
    """What was named, else what the means want most, else what ranks first; None for the car as measured."""
    name = asked.chosen or next(iter(asked.wanted), "")
    if not name:
        return best_plan(compared)
    return None if name == AS_MEASURED.name else compared[name]

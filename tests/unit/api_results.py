"""One result of each exported function, small, for tests of what all of them have in common."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

import kinematics as k
from kinematics.finding.means import Amount
from kinematics.inputs import demo_cars

DEMOS = Path(demo_cars.__file__).parent
TRAVEL, ROLL = np.linspace(-10.0, 10.0, 5), np.radians([-1.0, 0.0, 1.0])
COUPE, SALOON = k.demo_car("lowered_coupe.toml"), k.demo_car("rear_drive_saloon.toml")


@cache
def plans() -> k.PlanFile:
    return k.read_plans([DEMOS / "lowered_coupe_plans.toml"], COUPE)


@cache
def whole() -> k.WholeCar:
    return k.whole_car(SALOON)


def means() -> k.Means:
    values = np.array([6.0, 12.0])
    raised = Amount(k.Change("front", "ride height", 1.0), values, np.zeros(2), np.zeros(2))
    return k.Means((raised,))


def cornered() -> k.Limits:
    return replace(SALOON.limits, accelerations=k.Accelerations(cornering=0.5))


def question() -> k.Question:
    return k.Question(TRAVEL, ROLL, np.zeros(0))


def survey() -> k.SurveyFile:
    return k.read_survey(DEMOS / "lowered_coupe_survey.toml")


# What each exported function that computes or reads something gives.
MADE: Mapping[str, Callable[[], Any]] = MappingProxyType(
    {
        "assess": lambda: k.assess(COUPE.front, question(), COUPE.limits, draws=20),
        "carry_out": lambda: k.carry_out(COUPE, plans()[:1]),
        "compare": lambda: k.compare(COUPE, plans()[:1], COUPE.limits),
        "demo_car": lambda: COUPE,
        "find": lambda: k.find(COUPE, means(), COUPE.limits),
        "fit": lambda: k.fit(survey().surveys[0]),
        "influence": lambda: k.influence(COUPE.front),
        "judge": lambda: k.judge(COUPE.front, COUPE.limits),
        "lean_sheet": lambda: k.lean_sheet(SALOON),
        "next_readings": lambda: k.next_readings(made("fit"), most=2),
        "rank": lambda: k.rank(whole(), k.read_shelf(DEMOS / "rear_drive_saloon_shelf.toml", SALOON)),
        "read_car": lambda: k.read_car(DEMOS / "five_link_tourer.toml"),
        "read_limits": lambda: k.read_limits(DEMOS / "lowered_coupe.toml"),
        "read_means": lambda: k.read_means(DEMOS / "lowered_coupe_means.toml", COUPE),
        "read_plans": plans,
        "read_shelf": lambda: k.read_shelf(DEMOS / "rear_drive_saloon_shelf.toml", SALOON),
        "read_survey": survey,
        "roll_axis": lambda: k.roll_axis(SALOON, TRAVEL, ROLL),
        "stances": lambda: k.stances(COUPE.front, [0.0], [0.0]),
        "sweep_bump": lambda: k.sweep_bump(COUPE.front, TRAVEL),
        "sweep_grid": lambda: k.sweep_grid(COUPE.front, TRAVEL, ROLL),
        "sweep_roll": lambda: k.sweep_roll(COUPE.front, ROLL),
        "sweep_steer": lambda: k.sweep_steer(COUPE.front, TRAVEL),
        "travel_budgets": lambda: k.travel_budgets(COUPE, plans()[:1], COUPE.limits.working),
        "whole_car": whole,
        "with_working_states": lambda: k.with_working_states(cornered(), SALOON),
    }
)
OF_NUMBERS = (
    "assess", "influence", "lean_sheet", "rank", "roll_axis", "sweep_bump", "sweep_grid", "sweep_roll", "sweep_steer",
)  # fmt: skip
OF_ROWS = ("compare", "find", "fit", "judge", "next_readings", "read_plans", "travel_budgets")


@cache
def made(name: str) -> Any:
    return MADE[name]()

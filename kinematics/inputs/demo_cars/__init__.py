"""Built-in demo cars and their plans, all invented."""

import tomllib
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.inputs.plans.plan_file import PlanFile

HATCHBACK = "hill-climb-hatchback"  # the car of the demo's story
LOWERED_COUPE = "lowered_coupe.toml"
LOWERED_COUPE_PLANS = "lowered_coupe_plans.toml"
DEMO_CARS = {
    HATCHBACK: "hill_climb_hatchback.toml",
    "lowered-coupe": LOWERED_COUPE,
    "rear-drive-saloon": "rear_drive_saloon.toml",
    "five-link-tourer": "five_link_tourer.toml",
}
DEMO_MEANS = {HATCHBACK: "hill_climb_hatchback_means.toml", "lowered-coupe": "lowered_coupe_means.toml"}
DEMO_PLANS = {HATCHBACK: "hill_climb_hatchback_plans.toml", "lowered-coupe": LOWERED_COUPE_PLANS}
DEMO_SURVEYS = {"lowered-coupe": "lowered_coupe_survey.toml"}
DEMO_SHELVES = {"rear-drive-saloon": "rear_drive_saloon_shelf.toml"}


def demo_text(name: str = LOWERED_COUPE) -> str:
    """Return a built-in file as text."""
    return (files(__package__) / name).read_text(encoding="utf-8")


def demo_car(name: str = LOWERED_COUPE) -> "Car":
    """Read an invented car; ValueError names the nearest where there is none of that name.

    There are "lowered_coupe.toml", "rear_drive_saloon.toml", "five_link_tourer.toml" and "hill_climb_hatchback.toml".
    """
    from kinematics.car.nearest_names import hint
    from kinematics.inputs.car.car_file import car_from

    name = DEMO_CARS.get(name, name)
    if name not in DEMO_CARS.values():
        raise ValueError(f"{name!r} is no demo car{hint(name, DEMO_CARS.values())}")
    return car_from(tomllib.loads(demo_text(name)), f"built-in {name}")


def demo_plans(name: str = LOWERED_COUPE_PLANS, car: "Car | None" = None) -> "PlanFile":
    """Read a demo car's plans, with its class rules; the car is the lowered coupe unless it is given."""
    from kinematics.inputs.plans.plan_file import plans_from

    return plans_from(tomllib.loads(demo_text(name)), f"built-in {name}", car or demo_car())

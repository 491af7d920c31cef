"""Built-in demo cars, all invented."""

from importlib.resources import files

from kinematics.car import Car

LOWERED_COUPE = "lowered_coupe.toml"


def demo_text(name: str = LOWERED_COUPE) -> str:
    """Return a demo car's file as text."""
    return (files(__package__) / name).read_text(encoding="utf-8")


def demo_car(name: str = LOWERED_COUPE) -> Car:
    """Read a demo car."""
    import tomllib

    from kinematics.car_file import car_from

    return car_from(tomllib.loads(demo_text(name)), f"built-in {name}")

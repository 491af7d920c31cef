"""Random cars from wild to plausible, of every registered type, as the text of a car file; each has its own seed."""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from kinematics import Car
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.reading.faults import InputFaultError

KINDS = list(SUSPENSIONS.values())
_BOX = np.array([[-700.0, 0.0, 0.0], [700.0, 900.0, 900.0]])  # mm: ahead, out, up
_SHAKEN = (2.0, 400.0)  # mm, log-uniform: from what a tape gets wrong to another car altogether
_KEPT = Path(__file__).parent / "cars"


@dataclass(frozen=True)
class WildCar:
    """A car file's text, and what it is made of.

    number: which of its type; wildness: how far points lie from typical ones [mm], inf: in a box.
    """

    number: int
    kind: SuspensionType
    wildness: float
    text: str


def wild_car(kind: SuspensionType, seed: int, number: int) -> WildCar:
    """Car `number` of a type in a campaign; the same whatever else is drawn, and whatever other types there are."""
    rng = np.random.default_rng([seed, number, *kind.name.encode()])
    boxed = rng.random() < 0.15
    wildness = float("inf") if boxed else float(np.exp(rng.uniform(*np.log(_SHAKEN))))
    sides_apart = rng.random() < 0.6
    inches = rng.random() < 0.15
    scale, decimals = (1.0 / 25.4, 4) if inches else (1.0, 3)
    out = ['name = "wild (invented)"', f'units = "{"in" if inches else "mm"}"']
    if rng.random() < 0.5:
        out += _body(rng, scale)
    axle = "front" if kind.rack else "rear"
    out += [f"[{axle}]", f'suspension = "{kind.name}"', f"wheel = {_wheel(kind, rng, boxed)}"]
    if rng.random() < 0.2 and not kind.whole_axle:
        out.append('brakes = "inboard"')
    tables: dict[str, list[str]] = {"": [], "left": [], "right": []}
    for point in kind.points:
        besides = f', on = "{point.carrier}"' if kind.listed else ""
        apart = (sides_apart or point.other_side is not None) and not point.single
        for place in ("left", "right") if apart else ("",):
            typical = point.other_side if place == "right" and point.other_side else point.typical
            if boxed:
                at = rng.uniform(*_BOX)
                if point.single:
                    at[1] = rng.uniform(-_BOX[1, 1], _BOX[1, 1])
            else:
                at = np.array(typical) + wildness * rng.uniform(-1.0, 1.0, 3)
                at[2] = abs(at[2])
            ahead, across, up = (round(float(one) * scale, decimals) for one in at)
            tables[place].append(f"{point.key} = {{ ahead = {ahead}, out = {across}, up = {up}{besides} }}")
    out += [f"[{axle}.points]", *tables[""]]
    for side in ("left", "right"):
        if tables[side]:
            out += [f"[{axle}.{side}.points]", *tables[side]]
        if sides_apart and rng.random() < 0.3:
            out += [f"[{axle}.{side}]", f"wheel = {_wheel(kind, rng, boxed)}"]
    if kind.listed:
        out += _joints(kind, axle)
    if rng.random() < 0.3:
        low, high = (round(float(one) * scale, decimals) for one in (rng.uniform(-90, -1), rng.uniform(1, 90)))
        out += ["[limits]", f"travel = [{low}, {high}]", f"roll = {rng.uniform(0.1, 8.0):.2f}"]
        if not kind.whole_axle:
            out += [f"[limits.{axle}]", "bump_steer = { from = -0.01, to = 0.01 }", "camber = { to = 0.0 }"]
    return WildCar(number, kind, wildness, "\n".join(out) + "\n")


def kept_car(name: str) -> WildCar:
    """A car that was found wanting once, and is kept as a file in `cars/`."""
    text = (_KEPT / f"{name}.toml").read_text(encoding="utf-8")
    content = tomllib.loads(text)
    axle = content.get("front") or content["rear"]
    return WildCar(0, SUSPENSIONS[axle["suspension"]], float("nan"), text)


def read(car: WildCar) -> Car | list[str]:
    """The car as the program reads it, or the keys and words of what it refuses."""
    content: dict[str, Any] = tomllib.loads(car.text)
    try:
        return car_from(content, f"wild car {car.number}")
    except InputFaultError as refusal:
        return [f"{fault.key}: {fault.message}" for fault in refusal.faults]


def _body(rng: np.random.Generator, scale: float) -> list[str]:
    up, wheelbase = rng.uniform(200, 900) * scale, rng.uniform(1800, 3600) * scale
    return [
        "[body]",
        f"wheelbase = {wheelbase:.4f}",
        f"centre_of_gravity = {{ up = {up:.4f}, behind_front = {rng.uniform(0.2, 0.8) * wheelbase:.4f} }}",
        f"front_brakes = {rng.uniform(0.0, 1.0):.3f}",
        f"front_drive = {rng.uniform(0.0, 1.0):.3f}",
    ]


def _wheel(kind: SuspensionType, rng: np.random.Generator, boxed: bool) -> str:
    extreme = boxed or rng.random() < 0.2
    camber, toe = (15.0, 10.0) if extreme else (0.5, 0.5) if kind.whole_axle else (4.0, 0.5)
    return f"{{ camber = {rng.uniform(-camber, camber):.3f}, toe_in = {rng.uniform(-toe, toe):.3f} }}"


def _joints(kind: SuspensionType, axle: str) -> list[str]:
    """The built-in free linkage's joints, as an owner lists them."""

    def named(pair: tuple[str, str]) -> str:
        return f'["{pair[0]}", "{pair[1]}"]'

    assert kind.steering_axis is not None
    assert kind.toe_link is not None
    lines = [f"[{axle}.linkage]", f"steering_axis = {named(kind.steering_axis)}", f"toe_link = {named(kind.toe_link)}"]
    lines.append(f'rack = ["{kind.rack[0]}"]')
    joints = [f"link = {named(link)}" for link in kind.all_links]
    joints += [f"hinge = {named((one.first, one.second))}\nparts = {named((one.part, one.on))}" for one in kind.hinges]
    joints += [f'ball = "{one.at}"\nparts = {named((one.part, one.on))}' for one in kind.balls]
    return lines + [f"[[{axle}.linkage.joint]]\n{joint}" for joint in joints]

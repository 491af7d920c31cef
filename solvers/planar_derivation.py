"""Derivation in SymPy of the planar closed forms, and their rendering as the NumPy functions of planar_formulas.

`python -m solvers.planar_derivation` rewrites planar_formulas. Only that and the tests import this module: SymPy takes
longer to load and to solve than the rest of a run.

A point or vector of the plane is a Matrix of two symbols, its y and its z.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sympy
from sympy.printing.numpy import NumPyPrinter

FORMULAS_FILE = Path(__file__).with_name("planar_formulas.py")

_LONGEST = 105  # characters of one rendered expression, so that its line stays within 120


@dataclass(frozen=True)
class Formula:
    """One closed form: a function of points and scalars.

    arguments: Matrices of two symbols (points, vectors) and Symbols (scalars), in calling order.
    results: expression of each result, by name, in the order returned.
    """

    name: str
    docstring: str
    arguments: list[Any]
    results: dict[str, Any]


def derive() -> list[Formula]:
    """Solve the equations of every closed form."""
    return [_meeting_of_two_lines(), _slope_to_meeting(), _wishbone_position(), _strut_position()]


def _meeting_of_two_lines() -> Formula:
    arguments, (y, z) = _meeting()
    docstring = "Point (y, z) on both lines, each given by a point and a vector along it."
    return Formula("meeting_of_two_lines", docstring, arguments, {"y": y, "z": z})


def _slope_to_meeting() -> Formula:
    """Slope of the line from the origin to the meeting of two lines.

    Both coordinates of the meeting are divided by the same determinant, which is zero for parallel
    lines; written as one fraction, their ratio no longer contains it.
    """
    arguments, (y, z) = _meeting()
    docstring = "Slope dz/dy of the line from the origin to the meeting of two lines."
    return Formula("slope_to_meeting", docstring, arguments, {"slope": sympy.cancel(sympy.together(z / y))})


def _meeting() -> tuple[list[Any], Any]:
    """Symbols (point, direction, point, direction) and, in them, the point that lies on both lines."""
    point_1, along_1, point_2, along_2, meeting = _symbols("point_1 along_1 point_2 along_2 meeting")
    on_first = _cross(along_1, meeting - point_1)
    on_second = _cross(along_2, meeting - point_2)
    solution = sympy.solve([on_first, on_second], list(meeting))
    return [point_1, along_1, point_2, along_2], meeting.subs(solution)


def _wishbone_position() -> Formula:
    """Lower joint and upright turn of the four-bar.

    The moved upper joint is sought as along * base + across * (base turned by a quarter), seen from the moved
    lower joint, with base the vector from there to the upper pivot. In y and z, the elimination would divide
    by a coordinate of base, which may be zero; in these unknowns, the difference of the two circle equations is
    linear in along, and they hold only the square of across: its sign is the assembly.
    """
    lower_pivot, lower_joint, upper_pivot, upper_joint = points = _symbols(
        "lower_pivot lower_joint upper_pivot upper_joint"
    )
    turn = sympy.Symbol("lower_arm_turn")
    moved_joint = lower_pivot + _turned(lower_joint - lower_pivot, turn)
    upright, upper_arm = upper_joint - lower_joint, upper_joint - upper_pivot
    base = upper_pivot - moved_joint

    along, across_sq, base_sq, upright_sq, arm_sq = sympy.symbols("along across_sq base_sq upright_sq arm_sq")
    on_upright_circle = (along**2 + across_sq) * base_sq - upright_sq
    on_upper_arm_circle = ((along - 1) ** 2 + across_sq) * base_sq - arm_sq
    solution = _only_solution([on_upright_circle, on_upper_arm_circle], [along, across_sq])
    squares = {base_sq: base.dot(base), upright_sq: upright.dot(upright), arm_sq: upper_arm.dot(upper_arm)}

    side = _cross(upper_pivot - lower_joint, upright)
    across = _sign(side) * sympy.sqrt(solution[across_sq].subs(squares))
    moved_upright = solution[along].subs(squares) * base + across * _quarter_turned(base)
    docstring = "Moved lower joint (y, z) and turn of the upright [rad] of two wishbones."
    return Formula(
        "wishbone_position", docstring, [*points, turn], _position(moved_joint, _turn_from(upright, moved_upright))
    )


def _strut_position() -> Formula:
    """Lower joint and upright turn of the inverted slider-crank.

    The turned strut direction is sought as along * base + across * (base turned by a quarter), with base the
    vector from the moved lower joint to the top mount. It keeps its length and, since the axis passes the
    lower joint at a fixed distance, its cross product with base. Both equations hold only the square of
    along: its sign is the assembly.
    """
    lower_pivot, lower_joint, direction, top_mount = points = _symbols(
        "lower_pivot lower_joint strut_direction top_mount"
    )
    turn = sympy.Symbol("lower_arm_turn")
    moved_joint = lower_pivot + _turned(lower_joint - lower_pivot, turn)
    measured_base, base = top_mount - lower_joint, top_mount - moved_joint

    along_sq, across, base_sq, direction_sq, offset = sympy.symbols("along_sq across base_sq direction_sq offset")
    keeps_length = (along_sq + across**2) * base_sq - direction_sq
    keeps_distance = across * base_sq - offset
    solution = _only_solution([keeps_length, keeps_distance], [along_sq, across])
    measured = {
        base_sq: base.dot(base),
        direction_sq: direction.dot(direction),
        offset: _cross(measured_base, direction),
    }

    along = _sign(measured_base.dot(direction)) * sympy.sqrt(solution[along_sq].subs(measured))
    moved_direction = along * base + solution[across].subs(measured) * _quarter_turned(base)
    docstring = "Moved lower joint (y, z) and turn of the upright [rad] of arm and strut."
    return Formula(
        "strut_position", docstring, [*points, turn], _position(moved_joint, _turn_from(direction, moved_direction))
    )


def _position(moved_joint: Any, upright_turn: Any) -> dict[str, Any]:
    return {"moved_joint_y": moved_joint[0], "moved_joint_z": moved_joint[1], "upright_turn": upright_turn}


def _only_solution(equations: list[Any], unknowns: list[Any]) -> Any:
    # SymPy's own check of the solution imports its physical units; the tests check it.
    (solution,) = sympy.solve(equations, unknowns, dict=True, check=False)
    return solution


def _symbols(names: str) -> list[Any]:
    return [sympy.Matrix(sympy.symbols(f"{name}_y {name}_z")) for name in names.split()]


def _cross(u: Any, v: Any) -> Any:
    return u[0] * v[1] - u[1] * v[0]


def _quarter_turned(vector: Any) -> Any:
    return sympy.Matrix([-vector[1], vector[0]])


def _turned(vector: Any, angle: Any) -> Any:
    return sympy.cos(angle) * vector + sympy.sin(angle) * _quarter_turned(vector)


def _turn_from(before: Any, after: Any) -> Any:
    """Angle from one vector to another; unlike an arc cosine, accurate for small angles too."""
    return sympy.atan2(_cross(before, after), before.dot(after))


def _sign(side: Any) -> Any:
    """Sign as side / |side|, so that a measured position on neither side gives nan and not zero."""
    return side / sympy.Abs(side)


# Rendering as NumPy source, in the layout that `ruff format` gives it.

_HEAD = '''\
# made by python -m solvers.planar_derivation; do not edit
# SymPy {version}
"""Planar closed forms as derived by planar_derivation.

A point or vector of the plane is an array (2, ...), y and z first; a scalar is (...); trailing axes broadcast.
"""

from numpy import {functions}

from solvers.vectors import Array
'''


def render(formulas: list[Formula]) -> str:
    """Source text of planar_formulas."""
    bodies = [_function(formula) for formula in formulas]
    called = set(re.findall(r"\b([a-z]\w*)\(", "".join(body for _, body in bodies))) - {"abs"}
    head = _HEAD.format(version=sympy.__version__, functions=", ".join(sorted(called)))
    return "\n\n".join([head, *(signature + body for signature, body in bodies)])


def _function(formula: Formula) -> tuple[str, str]:
    """Signature and docstring, and body, of one NumPy function."""
    names: list[str] = []
    unpacked = []
    for argument in formula.arguments:
        if isinstance(argument, sympy.MatrixBase):
            y, z = (symbol.name for symbol in argument)
            names.append(y.removesuffix("_y"))
            unpacked.append(f"{y}, {z} = {names[-1]}")
        else:
            names.append(argument.name)
    returned = "Array" if len(formula.results) == 1 else f"tuple[{', '.join(['Array'] * len(formula.results))}]"
    parameters = "".join(f"    {name}: Array,\n" for name in names)
    signature = f'def {formula.name}(\n{parameters}) -> {returned}:\n    """{formula.docstring}"""\n'

    temporaries = sympy.numbered_symbols("x")
    common, results = sympy.cse(list(formula.results.values()), symbols=temporaries)
    assigned = [*common, *zip(map(sympy.Symbol, formula.results), results, strict=True)]
    lines = [line for name, value in assigned for line in _assignments(name, value, temporaries)]
    lines = _numbered_in_order(lines)
    if len(formula.results) == 1:  # division has no type of its own, a returned tuple needs none
        lines[-1] = lines[-1].replace(" = ", ": Array = ")
    lines = [*unpacked, *lines, f"return {', '.join(formula.results)}"]
    return signature, "".join(f"    {line}\n" for line in lines)


def _numbered_in_order(lines: list[str]) -> list[str]:
    """The assignments with their temporaries numbered in order."""
    temporaries = [found[0] for line in lines if (found := re.match(r"x\d+\b", line))]
    renamed = {old: f"x{number}" for number, old in enumerate(temporaries)}
    return [re.sub(r"\bx\d+\b", lambda found: renamed[found[0]], line) for line in lines]


def _assignments(name: Any, value: Any, temporaries: Iterator[Any]) -> list[str]:
    """Line that assigns value to name, after those for the parts of a value too long for one line."""
    text = _spaced(_PRINTER.doprint(value))
    if len(text) <= _LONGEST:
        return [f"{name} = {text}"]
    lines: list[str] = []
    parts: list[Any] = []
    for part in value.args:
        # A divisor's base is taken out, not its reciprocal, which would be rounded once more.
        divisor = part.base if part.is_Pow and part.exp.is_negative else part
        if len(_PRINTER.doprint(divisor)) <= _LONGEST // 4:
            parts.append(part)
            continue
        temporary = next(temporaries)
        lines += _assignments(temporary, divisor, temporaries)
        parts.append(temporary if divisor is part else temporary**part.exp)
    return [*lines, *_assignments(name, value.func(*parts), temporaries)]


def _spaced(expression: str) -> str:
    """Blanks around * and /, and around ** if an operand is in parentheses."""
    expression = re.sub(r"(?<!\*)\*(?!\*)|/", r" \g<0> ", expression)
    return re.sub(r"(?<=\))\*\*|\*\*(?=\()", " ** ", expression)


_PRINTER = NumPyPrinter({"fully_qualified_modules": False})


if __name__ == "__main__":
    FORMULAS_FILE.write_text(render(derive()), encoding="utf-8", newline="\n")

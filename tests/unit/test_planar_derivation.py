"""The committed closed forms against a fresh derivation, worked out in long arithmetic."""

import re
import subprocess
import sys
from pathlib import Path

import mpmath
import numpy as np
import pytest
import sympy
from numpy.testing import assert_allclose
from sympy.core.cache import clear_cache

from solvers import planar_formulas
from solvers.planar_derivation import FORMULAS_FILE, Formula, derive, render

COMMITTED = FORMULAS_FILE.read_text(encoding="utf-8")
FORMULAS = derive()
SAMPLES = 40

# Points about a front view in mm, scattered so that the two arms neither come near parallel nor fail to assemble.
SCATTER = 40.0
PLACES = {
    "point_1": (700.0, 200.0),
    "along_1": (350.0, -60.0),
    "point_2": (650.0, 480.0),
    "along_2": (150.0, 300.0),
    "lower_pivot": (350.0, 220.0),
    "lower_joint": (700.0, 200.0),
    "upper_pivot": (420.0, 470.0),
    "upper_joint": (650.0, 480.0),
    "strut_direction": (-100.0, 400.0),
    "top_mount": (570.0, 800.0),
    "lower_arm_turn": 0.2,  # rad
}


def names_of(formula: Formula) -> list[str]:
    first_symbols = [item[0] if isinstance(item, sympy.MatrixBase) else item for item in formula.arguments]
    return [symbol.name.removesuffix("_y") for symbol in first_symbols]


def scattered(name: str, random: np.random.Generator) -> np.ndarray:
    """Coordinates first (2, samples) for a point; (samples,) for an angle."""
    if isinstance(PLACES[name], float):
        return random.uniform(-PLACES[name], PLACES[name], SAMPLES)
    return np.array(PLACES[name])[:, None] + random.uniform(-SCATTER, SCATTER, (2, SAMPLES))


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.name)
def test_the_committed_function_is_what_the_equations_give(formula: Formula) -> None:
    random = np.random.default_rng(20)
    values = [scattered(name, random) for name in names_of(formula)]
    found = getattr(planar_formulas, formula.name)(*values)

    symbols = [symbol for item in formula.arguments for symbol in (item if hasattr(item, "shape") else [item])]
    exact = sympy.lambdify(symbols, list(formula.results.values()), modules="mpmath")
    with mpmath.workdps(50):
        derived = np.array(
            [[float(item) for item in exact(*map(mpmath.mpf, sample))] for sample in np.vstack(values).T]
        )
    assert derived.shape == (SAMPLES, len(formula.results))
    # A few dozen roundings (1e-16 each); small turns are differences, so theirs is an absolute error in rad.
    atol = 1e-12 if "upright_turn" in formula.results else 0.0
    assert_allclose(np.reshape(found, derived.T.shape), derived.T, rtol=1e-12, atol=atol)


def test_no_committed_function_is_left_over() -> None:
    defined = re.findall(r"^def (\w+)", COMMITTED, flags=re.MULTILINE)
    assert defined == [formula.name for formula in FORMULAS]


def test_the_text_does_not_depend_on_the_run() -> None:
    first = render(FORMULAS)
    clear_cache()
    assert render(derive()) == first


def test_the_committed_text_is_that_of_its_version() -> None:
    made_with = re.search(r"^# SymPy (\S+)$", COMMITTED, flags=re.MULTILINE)
    assert made_with is not None
    if made_with[1] != sympy.__version__:
        pytest.skip(f"made with SymPy {made_with[1]}; another version may write the same solution otherwise")
    assert render(FORMULAS) == COMMITTED


def test_sympy_is_not_loaded_to_use_the_closed_forms() -> None:
    script = """
import sys
from solvers import planar
guides = (0.35, 0.22), (0.7, 0.2), (0.42, 0.47), (0.65, 0.48)
strut = (0.35, 0.22), (0.7, 0.2), (-0.1, 0.4), (0.57, 0.8)
planar.wishbone_line_slope(*guides, (0.7, 0.0))
planar.wishbone_instant_centre(*guides)
planar.wishbone_positions(*guides, 0.1)
planar.strut_line_slope(*strut, (0.7, 0.0))
planar.strut_instant_centre(*strut)
planar.strut_positions(*strut, 0.1)
planar.lines_meeting((0.7, 0.0), 0.1, (-0.7, 0.0), -0.1)
assert not {"sympy", "mpmath"} & set(sys.modules)
"""
    root = Path(__file__).parents[2]
    subprocess.run([sys.executable, "-c", script], check=True, cwd=root)

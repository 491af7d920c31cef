"""How the house is built: imports run one way, from floor to floor too; files stay short, and what ships is named."""

import ast
import sys
import tomllib
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGES = ("reports", "kinematics", "solvers")  # each may use those after it
SOURCES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
# The folders of kinematics by floor, from the bottom; each may use those on the floors below it.
FLOORS = (
    {"car"},
    {"motion"},
    {"numbers"},
    {"sweeps"},
    {"judging", "loads"},
    {"planning"},
    {"doubt"},
    {"finding", "record", "setting", "survey", "weighing"},
    {"inputs"},
)
SOLVERS_MAY_USE = {"numpy", "scipy", "sympy"}
LONGEST, LONGEST_TEST = 350, 600  # lines


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


@cache
def imports(path: Path) -> list[ast.Import | ast.ImportFrom]:
    """All imports of a file, wherever in it; a file is read once for all tests."""
    return [one for one in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(one, ast.Import | ast.ImportFrom)]


def imported(path: Path) -> set[str]:
    """First parts of all modules that a file imports, wherever in the file."""
    found = set()
    for node in imports(path):
        if isinstance(node, ast.Import):
            found |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{named(path)}: relative import in line {node.lineno}"
            assert node.module is not None
            found.add(node.module.partition(".")[0])
    return found


def test_there_is_something_to_look_at() -> None:
    assert {path.relative_to(ROOT).parts[0] for path in SOURCES} == set(PACKAGES)
    assert len(SOURCES) > 30


def above(path: Path) -> set[str]:
    """What a file must not import: the packages above its own."""
    return {*PACKAGES[: PACKAGES.index(path.relative_to(ROOT).parts[0])], "tests", "benchmarks"}


def test_imports_run_one_way() -> None:
    assert [named(path) for path in SOURCES if imported(path) & above(path)] == []


def floor(folder: str) -> int:
    return next(height for height, folders in enumerate(FLOORS) if folder in folders)


def folders_imported(path: Path) -> set[tuple[str, str]]:
    """Folders of kinematics that a file imports from, each with the module: in functions and for types alone too."""
    modules = set()
    for node in imports(path):
        if isinstance(node, ast.Import):
            modules |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module == "kinematics":
            modules |= {f"kinematics.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            modules.add(str(node.module))
    parts = [(module, module.split(".")) for module in modules]
    return {(part[1], module) for module, part in parts if part[0] == "kinematics" and len(part) > 1}


def test_every_folder_of_kinematics_has_its_floor() -> None:
    package = ROOT / "kinematics"
    assert {path.name for path in package.iterdir() if (path / "__init__.py").is_file()} == set().union(*FLOORS)
    # The package's face, which hands names on, is all that stands outside them.
    assert [path.name for path in package.glob("*.py")] == ["__init__.py"]


def test_no_folder_of_kinematics_imports_from_its_own_floor_or_above() -> None:
    wrong = []
    for path in SOURCES:
        package, folder, *rest = path.relative_to(ROOT).parts
        if package == "kinematics" and rest:
            wrong += [
                f"{named(path)} imports {module}"
                for other, module in sorted(folders_imported(path))
                if other != folder and floor(other) >= floor(folder)
            ]
    assert wrong == []


def test_solvers_know_numerics_only() -> None:
    solvers = [path for path in SOURCES if path.is_relative_to(ROOT / "solvers")]
    others = {named(path): imported(path) - {"solvers", *SOLVERS_MAY_USE} - sys.stdlib_module_names for path in solvers}
    assert {name: used for name, used in others.items() if used} == {}


def test_what_is_imported_is_required() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    required = {requirement.partition(">=")[0] for requirement in project["dependencies"]}
    used = {name for path in SOURCES for name in imported(path)} - set(PACKAGES) - sys.stdlib_module_names
    # pandas and xarray are asked for only where a notebook wants them, SymPy only where closed forms are derived again.
    assert used - {"pandas", "xarray", "sympy"} == required


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def test_no_file_is_too_long() -> None:
    assert [named(path) for path in SOURCES if lines(path) > LONGEST] == []
    assert [named(path) for path in (ROOT / "tests").rglob("*.py") if lines(path) > LONGEST_TEST] == []


@pytest.mark.campaign
def test_a_file_says_what_it_is() -> None:
    assert [named(path) for path in SOURCES if not ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))] == []
    vague = {"utils", "util", "helpers", "common", "misc"}
    assert [named(path) for path in SOURCES if path.stem in vague] == []


def test_every_package_is_shipped() -> None:
    found = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["packages"][
        "find"
    ]
    assert found["include"] == [f"{package}*" for package in reversed(PACKAGES)]
    # What is found are folders that hold an `__init__.py`.
    assert {path.parent for path in SOURCES if not (path.parent / "__init__.py").is_file()} == set()
    assert all((ROOT / package / "py.typed").is_file() for package in PACKAGES)


def test_files_do_not_import_each_other_in_a_circle() -> None:
    """Imports inside functions and for types alone count too."""
    modules = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path for path in SOURCES
    }
    leads_to: dict[str, set[str]] = {name: set() for name in modules}
    for name, path in modules.items():
        for node in imports(path):
            if isinstance(node, ast.ImportFrom) and node.module is not None:
                within = {f"{node.module}.{alias.name}" for alias in node.names} & set(modules)
                # A package's face hands names on; what it names is what counts.
                leads_to[name] |= within or ({node.module} & set(modules))
    while leads_to:
        free = {name for name, others in leads_to.items() if not others & set(leads_to) - {name}}
        assert free, f"in a circle, or behind one: {sorted(leads_to)}"
        leads_to = {name: others for name, others in leads_to.items() if name not in free}

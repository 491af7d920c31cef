"""The reference of the Python interface as Markdown, made of docstrings: `python -m reports.reference FILE`.

It holds what `kinematics` and `reports` export: functions, what they give, all numbers, and all kinds of change.
"""

import argparse
import ast
import inspect
import sys
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import kinematics
import reports
from kinematics.inputs.reading.faults import InputFaultError
from reports.outputs.safe_write import write_content

_OURS = ("kinematics", "reports", "solvers")


def reference_text() -> str:
    """The whole reference."""
    parts = [
        "# Reference of the Python interface",
        "Made from the docstrings by `python -m reports.reference`. Millimetres and radians unless something else is "
        "said; signs and array shapes: `kinematics/GLOSSARY.md`; a tour: `kinematics/TUTORIAL.md`.",
        *_of_module(kinematics),
        *_numbers(),
        *_changes(),
        *_of_module(reports),
    ]
    return "\n\n".join(parts) + "\n"


def _of_module(module: ModuleType) -> Iterator[str]:
    yield f"## `{module.__name__}`"
    yield inspect.getdoc(module) or ""
    public = {name: getattr(module, name) for name in module.__all__}
    functions = {name: one for name, one in public.items() if inspect.isfunction(one)}
    classes = {name: one for name, one in public.items() if inspect.isclass(one)}
    if functions:
        yield f"### Functions of `{module.__name__}`"
    for name, function in functions.items():
        yield f"#### `{name}`"
        yield _code(f"{name}{_signature(_definition(function))}")
        yield inspect.getdoc(function) or ""
    if classes:
        yield "### What they take and give"
    for name, kind in classes.items():
        yield f"#### `{name}`"
        yield from _of_class(kind)
    rest = [name for name in public if name not in functions and name not in classes]
    if rest:
        yield "### Constants"
        yield "\n".join(f"- `{name}`: {_told(public[name])}" for name in rest)


def _of_class(kind: type) -> Iterator[str]:
    yield inspect.getdoc(kind) or ""
    fields = [line for one in _lineage(kind) for line in _fields(one)]
    if fields:
        yield _code("\n".join(fields))
    lines = [line for one in _lineage(kind) for line in _members(one, kind)]
    if lines:
        yield "\n".join(lines)


def _lineage(kind: type) -> list[type]:
    """A class and what it is made from, as far as it is ours."""
    return [one for one in kind.__mro__ if one.__module__.partition(".")[0] in _OURS]


def _fields(kind: type) -> list[str]:
    """Its own fields as written; only a dataclass tells some."""
    if "__dataclass_fields__" not in vars(kind):
        return []
    body = _definition(kind).body
    own = (ast.unparse(node) for node in body if isinstance(node, ast.AnnAssign))
    return [field for field in own if "ClassVar" not in field]


def _members(kind: type, of: type) -> list[str]:
    """Its public methods and properties, but those that a class made from it says anew."""
    lines = []
    for node in _definition(kind).body:
        if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
            continue
        if node.name not in vars(kind) or next(one for one in of.__mro__ if node.name in vars(one)) is not kind:
            continue
        is_property = any("property" in ast.unparse(one) for one in node.decorator_list)
        how = _returns(node) if is_property else _signature(node, method=True)
        lines.append(f"- `{node.name}{how}`: {_one_paragraph(ast.get_docstring(node) or '')}")
    return list(dict.fromkeys(lines))


def _definition(what: Any) -> Any:
    """The syntax of a function or class, whose annotations are as short there as they were written."""
    return _definitions(what.__module__)[what.__name__]


@cache
def _definitions(module: str) -> dict[str, ast.stmt]:
    """Functions and classes of a module by their names, the annotations without the quotes in which some stand."""
    tree = ast.parse(inspect.getsource(sys.modules[module]))
    for node in ast.walk(tree):
        if isinstance(node, ast.arg | ast.AnnAssign) and node.annotation is not None:
            node.annotation = ast.Name(_type(node.annotation))
    return {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef | ast.ClassDef)}


def _signature(node: ast.FunctionDef, *, method: bool = False) -> str:
    told = ast.unparse(node.args)
    if method:
        told = told.removeprefix("self").removeprefix(", ")
    return f"({told}){_returns(node)}"


def _returns(node: ast.FunctionDef) -> str:
    return "" if node.returns is None else f" -> {_type(node.returns)}"


def _type(annotation: ast.expr) -> str:
    """An annotation as it reads, without the quotes in which some stand."""
    return str(annotation.value) if isinstance(annotation, ast.Constant) else ast.unparse(annotation)


def _numbers() -> Iterator[str]:
    yield "## Numbers of an axle"
    yield "What a sweep has by key (`QUANTITIES`); units as tables and `in_unit` tell them, in a car measured in mm."
    rows = ["| key | number | unit | of each | meaning | sign |", "| --- | --- | --- | --- | --- | --- |"]
    for key, number in kinematics.QUANTITIES.items():
        each = "wheel" if number.per_side else "axle"
        unit = number.dimension.unit(kinematics.MM)
        rows.append(f"| `{key}` | {number.title} | {unit} | {each} | {number.meaning} | {number.sign} |")
    yield "\n".join(rows)


def _changes() -> Iterator[str]:
    yield "## Kinds of change"
    yield "What a `Change` may be of (`CHANGES`), and what it takes: `by` an amount, or a `shift` (ahead, out, up)."
    rows = ["| kind | takes | meaning |", "| --- | --- | --- |"]
    rows += [f"| {one.what} | {one.takes} | {one.meaning} |" for one in kinematics.CHANGES.values()]
    yield "\n".join(rows)


def _told(value: object) -> str:
    if isinstance(value, dict):
        return f"{len(value)} by key; see below"
    return f"`{value!r}`"


def _code(text: str) -> str:
    return f"```python\n{text}\n```"


def _one_paragraph(text: str) -> str:
    return " ".join(text.split())


def run(words: Sequence[str] | None = None) -> int:
    """Write the reference to the file that is named; 2 where it cannot be written."""
    parser = argparse.ArgumentParser(prog="python -m reports.reference", description="write the Python reference")
    parser.add_argument("file", type=Path, help="the Markdown file to write")
    parser.add_argument("--replace", action="store_true", help="write over a file that is there already")
    options = parser.parse_args(words)
    try:
        write_content(options.file, reference_text(), replace=options.replace)
    except InputFaultError as fault:
        sys.stderr.write(f"{fault}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(run())

"""Where a line can be spoiled, and how: each operator finds places in a file and what would stand there instead."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

_PAIRS = (
    ("left", "right"),
    ("LEFT", "RIGHT"),
    ("front", "rear"),
    ("low", "high"),
    ("bump", "droop"),
    ("bump", "roll"),
    ("bump_stop", "droop_stop"),
    ("travel_low", "travel_high"),
    ("minimum", "maximum"),
    ("min", "max"),
    ("nanmin", "nanmax"),
    ("lower", "upper"),
    ("ahead", "behind"),
    ("read", "fitted"),
    ("value", "change"),
    ("radians", "degrees"),
)
_OTHER = {one: other for pair in _PAIRS for one, other in (pair, pair[::-1])} | {"bump": "roll"}
_KIND = {"radians": "degrees for radians", "degrees": "degrees for radians"}
_COMPARE = {ast.Lt: (r"<", ">"), ast.Gt: (r">", "<"), ast.LtE: (r"<=", ">="), ast.GtE: (r">=", "<="),
            ast.Eq: (r"==", "!="), ast.NotEq: (r"!=", "==")}  # fmt: skip
_FACTOR = re.compile(r"in_mm|scale|units\.|degrees|NORMAL_95|^100\.0$|^1e3$|GRAVITY|to_mm|from_mm|^180\.0$|^25\.4$")
_NO_SIZES = ("reports/figures", "reports/sheet")  # a tenth more of a gap on paper is a matter of taste


@dataclass(frozen=True)
class Fault:
    """One spoiled line: in a file, from a place to a place (line, column), instead of what."""

    path: str
    line: int
    start: int
    end: int
    was: str
    now: str
    kind: str

    @property
    def name(self) -> str:
        """Where and what, as a survivor is listed."""
        return f"{self.path}: {self.kind}: {self.was} -> {self.now}"

    def planted(self, text: str) -> str:
        """The text of its file with the fault in it."""
        lines = text.splitlines(keepends=True)
        line = lines[self.line - 1].encode()
        assert line[self.start : self.end].decode() == self.was
        lines[self.line - 1] = (line[: self.start] + self.now.encode() + line[self.end :]).decode()
        return "".join(lines)


def faults_in(root: Path, path: str) -> list[Fault]:
    """Every fault that can be planted in a file."""
    text = (root / path).read_text(encoding="utf-8")
    tree = ast.parse(text)
    lines = [line.encode() for line in text.splitlines()]
    found = []
    for node in _code(tree):
        for line, start, end, now, kind in _faults(node, lines):
            was = lines[line - 1][start:end].decode()
            if kind == "constant" and path.startswith(_NO_SIZES):
                continue
            # A name that is nowhere else in the file would be a crash, which anything notices.
            if kind == "exchanged" and not re.search(rf"\b{now}\b", text):
                continue
            fault = Fault(path, line, start, end, was, now, kind)
            if _compiles(fault.planted(text)):
                found.append(fault)
    return list(dict.fromkeys(found))


def _compiles(text: str) -> bool:
    try:
        compile(text, "planted", "exec")
    except SyntaxError:
        return False
    return True


def _code(node: ast.AST) -> Iterator[ast.AST]:
    """All that runs: no docstrings, annotations, imports, assertions or what is only said when something is refused."""
    if isinstance(node, ast.Import | ast.ImportFrom | ast.Assert | ast.Raise):
        return
    if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
        return
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return
    yield node
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "bases", "decorator_list", "type_params"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _code(child)


_Edit = tuple[int, int, int, str, str]


def _faults(node: ast.AST, lines: list[bytes]) -> Iterator[_Edit]:
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield node.lineno, node.col_offset, node.operand.col_offset, "", "sign"
    elif isinstance(node, ast.BinOp) and node.left.end_lineno == node.right.lineno:
        yield from _operation(node, lines)
    elif isinstance(node, ast.Compare) and node.left.end_lineno == node.comparators[0].lineno and len(node.ops) == 1:
        if type(node.ops[0]) in _COMPARE:
            token, now = _COMPARE[type(node.ops[0])]
            yield from _between(node.left, node.comparators[0], lines, token, now, "comparison")
    elif isinstance(node, ast.Constant):
        yield from _constant(node)
    elif isinstance(node, ast.Name) and node.id in _OTHER and node.id not in _KIND:
        yield node.lineno, node.col_offset, node.end_col_offset or 0, _OTHER[node.id], "exchanged"
    elif isinstance(node, ast.Attribute) and node.attr in _OTHER and node.end_lineno and node.end_col_offset:
        start = node.end_col_offset - len(node.attr)
        yield node.end_lineno, start, node.end_col_offset, _OTHER[node.attr], _KIND.get(node.attr, "exchanged")
    elif isinstance(node, ast.Subscript):
        yield from _index(node)


def _operation(node: ast.BinOp, lines: list[bytes]) -> Iterator[_Edit]:
    left, right = (ast.unparse(one) for one in (node.left, node.right))
    if isinstance(node.op, ast.Add | ast.Sub) and "'" not in left + right and '"' not in left + right:
        token, now = (r"\+", "-") if isinstance(node.op, ast.Add) else ("-", "+")
        yield from _between(node.left, node.right, lines, token, now, "sign")
    if isinstance(node.op, ast.Mult | ast.Div):
        token, now = (r"\*", "/") if isinstance(node.op, ast.Mult) else ("/", "*")
        kind = "unit factor" if _FACTOR.search(left) or _FACTOR.search(right) else "times for over"
        yield from _between(node.left, node.right, lines, token, now, kind)
        if _FACTOR.search(right) and node.left.end_lineno == node.right.end_lineno:
            # Dropped: the factor and its sign go.
            yield node.right.lineno, node.left.end_col_offset or 0, node.right.end_col_offset or 0, "", "unit factor"


def _between(one: ast.expr, other: ast.expr, lines: list[bytes], token: str, now: str, kind: str) -> Iterator[_Edit]:
    line, start, end = one.end_lineno or 0, one.end_col_offset or 0, other.col_offset
    found = re.search(token.encode(), lines[line - 1][start:end])
    if found:
        yield line, start + found.start(), start + found.end(), now, kind


def _constant(node: ast.Constant) -> Iterator[_Edit]:
    end = node.end_col_offset or 0
    if isinstance(node.value, float) and node.value not in (0.0, 1.0) and _is_seen(node.value):
        yield node.lineno, node.col_offset, end, repr(round(1.1 * node.value, 12)), "constant"
    if isinstance(node.value, str) and node.value in _OTHER and node.lineno == node.end_lineno:
        yield node.lineno, node.col_offset + 1, end - 1, _OTHER[node.value], "exchanged"


def _is_seen(value: float) -> bool:
    """Whether a number may be one that a user sees, not a mere tolerance."""
    return 1e-4 < abs(value) < 1e6


def _index(node: ast.Subscript) -> Iterator[_Edit]:
    parts = node.slice.elts if isinstance(node.slice, ast.Tuple) else [node.slice]
    for part in parts:
        if isinstance(part, ast.Constant) and type(part.value) is int and part.value in (0, 1):
            yield part.lineno, part.col_offset, part.end_col_offset or 0, str(1 - part.value), "index"

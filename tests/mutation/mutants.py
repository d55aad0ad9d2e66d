"""Small faults for one source file: where, what stood there, what stands there now.

Each mutant replaces one expression (or one augmented assignment) by another, in its own source span, so that
the difference is one line. Left alone: docstrings, annotations, decorators, text, imports, messages of
exceptions, and tolerances below 1e-4, which are there to swallow the last digits of floats.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass

TOLERANCE = 1e-4

_COMPARE: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
_ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: byte span in the file, its line (from 1), the text put there, and what was done."""

    path: str
    line: int
    last_line: int
    begin: int
    end: int
    text: str
    what: str

    def apply(self, source: bytes) -> bytes:
        """The file with the fault in it."""
        return source[: self.begin] + self.text.encode() + source[self.end :]


class _Walk:
    """Expressions that may be mutated, with the reason to leave the others."""

    def __init__(self, tree: ast.Module) -> None:
        self.skipped: set[int] = set()
        for node in ast.walk(tree):
            for part in self._left_alone(node):
                self.skipped.update(id(n) for n in ast.walk(part))

    @staticmethod
    def _left_alone(node: ast.AST) -> Iterator[ast.AST]:
        match node:
            case ast.FunctionDef() | ast.AsyncFunctionDef() | ast.ClassDef():
                yield from node.decorator_list
                if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.returns:
                    yield node.returns
            case ast.arg() if node.annotation:
                yield node.annotation
            case ast.AnnAssign():
                yield node.annotation
            case ast.Raise() | ast.JoinedStr() | ast.Import() | ast.ImportFrom():
                yield node
            case ast.Expr(value=ast.Constant()):
                yield node
            case ast.If(test=ast.Name(id="TYPE_CHECKING")):
                yield node


def mutants(path: str, source: bytes) -> list[Mutant]:
    """Every mutant of a file, in the order of the file."""
    tree = ast.parse(source)
    walk = _Walk(tree)
    starts = [0]
    for row in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(row))
    found = []
    for node in ast.walk(tree):
        if id(node) in walk.skipped or not isinstance(node, ast.expr | ast.AugAssign | ast.Return):
            continue
        for at, new, what in _changes(node):
            begin = starts[at.lineno - 1] + at.col_offset
            end = starts[(at.end_lineno or at.lineno) - 1] + (at.end_col_offset or 0)
            text = ast.unparse(new)
            if isinstance(new, ast.expr) and not isinstance(new, ast.Constant | ast.Name | ast.Call):
                text = f"({text})"
            found.append(
                Mutant(path, at.lineno, at.end_lineno or at.lineno, begin, end, text, what),
            )
    return sorted(found, key=lambda m: (m.begin, m.end, m.text))


def _changes(node: ast.AST) -> Iterator[tuple[ast.stmt | ast.expr, ast.AST, str]]:
    """What is replaced, by what, and its name."""
    match node:
        case ast.Compare():
            yield from ((node, *change) for change in _compared(node))
        case ast.BoolOp():
            other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield node, ast.BoolOp(other, node.values), "and/or"
        case ast.UnaryOp(op=ast.Not()):
            yield node, node.operand, "not dropped"
        case ast.UnaryOp(op=ast.USub()):
            yield node, node.operand, "sign dropped"
        case ast.BinOp() if type(node.op) in _ARITHMETIC and not _of_text(node):
            changed = ast.BinOp(node.left, _ARITHMETIC[type(node.op)](), node.right)
            yield node, changed, "arithmetic"
        case ast.AugAssign() if type(node.op) in _ARITHMETIC and not _of_text(node.value):
            swapped = ast.AugAssign(node.target, _ARITHMETIC[type(node.op)](), node.value)
            yield node, swapped, "arithmetic"
        case ast.Constant(value=bool() | int() | float() as value):
            yield from ((node, new, "constant") for new in _nudged(value))
        case ast.Call(func=ast.Name(id=name)) if name in {"min", "max"}:
            call = copy.deepcopy(node)
            call.func = ast.Name("max" if name == "min" else "min", ast.Load())
            yield node, call, "min/max"
            if len(node.args) == 2 and not any(isinstance(a, ast.Starred) for a in node.args):
                yield node, node.args[0], f"{name} dropped"
                yield node, node.args[1], f"{name} dropped"
        case ast.Return(value=ast.expr() as value) if not isinstance(value, ast.Constant):
            yield value, ast.Constant(None), "return"
        case _:
            return


def _compared(node: ast.Compare) -> Iterator[tuple[ast.expr, str]]:
    for k, op in enumerate(node.ops):
        for other in _COMPARE.get(type(op), ()):
            ops = [*node.ops[:k], other(), *node.ops[k + 1 :]]
            yield ast.Compare(node.left, ops, node.comparators), "comparison"


def _of_text(node: ast.expr) -> bool:
    """Text is put together, not computed."""
    return any(
        isinstance(n, ast.JoinedStr) or (isinstance(n, ast.Constant) and isinstance(n.value, str))
        for n in ast.walk(node)
    )


def _nudged(value: float) -> Iterator[ast.Constant]:
    if isinstance(value, bool):
        yield ast.Constant(not value)
    elif isinstance(value, int):
        yield ast.Constant(value + 1)
    elif value == 0 or abs(value) >= TOLERANCE:
        yield ast.Constant(value * 1.25 if value else 1.0)

"""Mutants: a module with one small thing changed, such as `<` to `<=`, 1 to 2, or a condition the other way round."""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType

COMPARED = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
COUNTED = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.FloorDiv,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Div: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
    ast.LShift: ast.RShift,
    ast.RShift: ast.LShift,
}
CALLED = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True)
class Mutant:
    """`node` is the place of the changed node in a walk of the module's tree, `way` which of its changes this is.

    `function` is the outermost function around it, such as `Table.add`: empty for what runs when the module is loaded.
    """

    path: str
    line: int
    function: str
    node: int
    way: int
    words: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line} {self.words}  [{self.node}.{self.way}]"

    def code(self) -> CodeType:
        tree = ast.parse(Path(self.path).read_text())
        node = list(ast.walk(tree))[self.node]
        changed = list(_changes(node))[self.way][1]
        for name, value in ast.iter_fields(changed):
            setattr(node, name, value)
        if type(changed) is not type(node):
            node.__class__ = type(changed)  # in its place, whatever holds it
        return compile(ast.fix_missing_locations(tree), self.path, "exec")

    def function_code(self) -> CodeType:
        """The code of its function alone."""
        code = self.code()
        for name in self.function.split("."):
            code = next(inner for inner in code.co_consts if isinstance(inner, CodeType) and inner.co_name == name)
        return code


def mutants_of(path: str) -> Iterator[Mutant]:
    tree = ast.parse(Path(path).read_text())
    places = {node: number for number, node in enumerate(ast.walk(tree))}
    for node, function in _inside(tree, ""):
        if not function and isinstance(node, ast.BinOp) and isinstance(node.op, ast.BitOr):
            continue  # a type
        for way, (words, _) in enumerate(_changes(node)):
            line = node.target.lineno if isinstance(node, ast.comprehension) else node.lineno
            yield Mutant(path, line, function, places[node], way, words)


def _inside(node: ast.AST, function: str, classes: str = "") -> Iterator[tuple[ast.AST, str]]:
    """Each node with the outermost function around it; what only types and what only narrows them is passed over."""
    for field, value in ast.iter_fields(node):
        if field in ("annotation", "returns", "type_params", "decorator_list", "bases"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if not isinstance(child, ast.AST) or isinstance(child, (ast.Assert, ast.ImportFrom, ast.Import)):
                continue
            if isinstance(child, ast.If) and ast.unparse(child.test) == "TYPE_CHECKING":
                continue
            if isinstance(child, ast.keyword) and child.arg == "strict":  # an assertion too
                continue
            yield child, function
            if isinstance(child, ast.ClassDef) and not function:
                yield from _inside(child, "", f"{classes}{child.name}.")
            elif isinstance(child, ast.FunctionDef):
                yield from _in_function(child, function, classes)
            else:
                yield from _inside(child, function, classes)


def _in_function(node: ast.FunctionDef, function: str, classes: str) -> Iterator[tuple[ast.AST, str]]:
    """What is inside a function. One that is made within another may be made when the module is loaded."""
    for statement in node.body:
        if isinstance(statement, ast.Assert):
            continue
        yield statement, (inner := "" if function else f"{classes}{node.name}")
        yield from _inside(statement, inner, classes)
    yield from _inside(node.args, "")


def _changes(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """Every change of one node: what it is called, and the node that it becomes."""
    before = ast.unparse(node) if not isinstance(node, ast.operator | ast.cmpop | ast.boolop | ast.unaryop) else ""
    for changed in _changed(node):
        after = ast.unparse(changed)
        yield f"{_short(before)}  ->  {_short(after)}", changed


def _changed(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.Compare):
        for place, operator in enumerate(node.ops):
            yield _with(node, ops=[*node.ops[:place], COMPARED[type(operator)](), *node.ops[place + 1 :]])
    elif isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in COUNTED:
        yield _with(node, op=COUNTED[type(node.op)]())
    elif isinstance(node, ast.BoolOp):
        yield _with(node, op=ast.And() if isinstance(node.op, ast.Or) else ast.Or())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield _with(node, op=ast.Not(), operand=ast.UnaryOp(ast.Not(), node.operand))
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield _with(node, op=ast.UAdd())
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield ast.Constant(not node.value)
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        yield ast.Constant(node.value + 1)
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLED:
        yield _with(node, func=ast.Name(CALLED[node.func.id], ast.Load()))
    elif isinstance(node, ast.Return) and node.value and ast.unparse(node.value) != "None":
        yield ast.Return(ast.Constant(None))
    elif isinstance(node, ast.Continue):
        yield ast.Break()
    elif isinstance(node, ast.Break):
        yield ast.Continue()
    elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
        yield ast.Expr(ast.Constant(None))
    if isinstance(node, ast.If | ast.While | ast.IfExp) and not isinstance(node.test, ast.Compare | ast.UnaryOp):
        yield _with(node, test=ast.UnaryOp(ast.Not(), node.test))
    if isinstance(node, ast.comprehension):
        for place, test in enumerate(node.ifs):
            if not isinstance(test, ast.Compare | ast.UnaryOp):
                yield _with(node, ifs=[*node.ifs[:place], ast.UnaryOp(ast.Not(), test), *node.ifs[place + 1 :]])


def _with(node: ast.AST, **fields: object) -> ast.AST:
    changed = copy.copy(node)
    for name, value in fields.items():
        setattr(changed, name, value)
    return changed


def _short(source: str) -> str:
    first = source.split("\n")[0]
    return first if len(first) <= 70 else first[:67] + "..."

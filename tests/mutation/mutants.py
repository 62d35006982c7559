"""Small faults that a slip of the hand makes: where each can be put, and the changed code.

A mutant changes one operator, comparison, constant or condition inside a function. Texts,
annotations and declarations of records stay as they are: a changed word is no changed result.
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass

_ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
}
_COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
_CALLS = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: the file, the line, which of the file's places it is, and what it changes."""

    file: str
    line: int
    place: int
    what: str


def places(file: str, text: str) -> list[Mutant]:
    """Every place of a file where a fault can be put."""
    return [
        Mutant(file, node.lineno, place, what)
        for place, (node, what) in enumerate(_sites(ast.parse(text)))
    ]


def mutated(text: str, place: int) -> ast.Module:
    """The module with the fault at this place."""
    tree = ast.parse(text)
    node, _ = list(_sites(tree))[place]
    _change(node)
    return ast.fix_missing_locations(tree)


_Site = tuple[ast.expr | ast.stmt, str]


def _sites(tree: ast.Module) -> Iterator[_Site]:
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            for statement in node.body:
                yield from _inside(statement)


def _inside(root: ast.AST) -> Iterator[_Site]:
    """Sites below a node, none of them in a text, an annotation or a function of its own."""
    if isinstance(root, ast.FunctionDef | ast.ClassDef | ast.JoinedStr | ast.Raise | ast.Assert):
        return
    if isinstance(root, ast.keyword) and root.arg == "strict":
        return  # lists of unlike length are a fault of the program itself
    if isinstance(root, ast.expr | ast.stmt) and (what := _what(root)):
        yield root, what
    for name, value in ast.iter_fields(root):
        if name in ("annotation", "returns"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _inside(child)


def _what(node: ast.expr | ast.stmt) -> str:
    """What the fault at this node would be; empty where there is none."""
    match node:
        case ast.BinOp(op=op, left=left, right=right) if type(op) in _ARITHMETIC:
            if any(isinstance(x, ast.JoinedStr) or _is_text(x) for x in (left, right)):
                return ""
            return f"{type(op).__name__} -> {_ARITHMETIC[type(op)].__name__}"
        case ast.Compare(ops=[op]) if type(op) in _COMPARISONS:
            return f"{type(op).__name__} -> {_COMPARISONS[type(op)].__name__}"
        case ast.BoolOp(op=op):
            return "and -> or" if isinstance(op, ast.And) else "or -> and"
        case ast.UnaryOp(op=ast.Not()):
            return "not dropped"
        case ast.UnaryOp(op=ast.USub()):
            return "minus dropped"
        case ast.Constant(value=bool() as value):
            return f"{value} -> {not value}"
        case ast.Constant(value=int() | float() as value):
            return f"{value} -> {_other(value)}"
        case ast.Call(func=ast.Name(id=name)) if name in _CALLS:
            return f"{name} -> {_CALLS[name]}"
        case ast.IfExp():
            return "condition turned round"
        case ast.If(test=ast.Name(id="TYPE_CHECKING")):
            return ""
        case ast.If(test=test) if not isinstance(test, ast.Compare | ast.BoolOp | ast.UnaryOp):
            return "condition turned round"
    return ""


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _other(value: float) -> float:
    return value + 1 if isinstance(value, int) else value * 1.5 + 0.1


def _change(node: ast.expr | ast.stmt) -> None:
    match node:
        case ast.BinOp(op=op):
            node.op = _ARITHMETIC[type(op)]()
        case ast.Compare(ops=[op]):
            node.ops = [_COMPARISONS[type(op)]()]
        case ast.BoolOp(op=op):
            node.op = ast.Or() if isinstance(op, ast.And) else ast.And()
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            # `not x` becomes `bool(x)`, `-x` becomes `+x`.
            node.op, node.operand = ast.Not(), ast.UnaryOp(ast.Not(), operand)
        case ast.UnaryOp():
            node.op = ast.UAdd()
        case ast.Constant(value=bool() as value):
            node.value = not value
        case ast.Constant(value=int() | float() as value):
            node.value = _other(value)
        case ast.Call(func=ast.Name(id=name) as called):
            called.id = _CALLS[name]
        case ast.IfExp(test=test) | ast.If(test=test):
            node.test = ast.UnaryOp(ast.Not(), test)

"""The changes that a piece of source is tried with: one comparison, constant, operator or statement at a time.

Words for people are left as they are; names, codes and everything that decides are changed.
"""

import ast
import re
from collections.abc import Iterator, Mapping
from copy import copy
from typing import Any, Final, NamedTuple

COMPARED: Final[Mapping[type[ast.cmpop], tuple[type[ast.cmpop], ...]]] = {
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
COMPUTED: Final[Mapping[type[ast.operator], type[ast.operator]]] = {
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
NAME: Final = re.compile(r"[a-z0-9_-]{0,32}")
UNSEEN: Final = {"annotation", "returns", "decorator_list", "type_comment", "format_spec", "bases"}
SHOWN: Final = 90


class Mutant(NamedTuple):
    """One change.

    Attributes:
        place: its number among the changes of the module.
        within: the function it lies in, as `Class.method`; "" outside all functions and classes.
        early: whether it is run when the module is imported, so that no test runs through it later.
        first: the first line of the statement it lies in.
        last: the last line of that statement, of its head where it holds others.
        before: what stands there.
        after: what stands there instead.
    """

    place: int
    within: str
    early: bool
    first: int
    last: int
    before: str
    after: str


class _Site(NamedTuple):
    owner: Any
    field: str
    index: int | None
    old: ast.AST
    new: ast.AST
    within: str
    early: bool
    statement: ast.stmt


def mutants(source: str) -> list[Mutant]:
    """Every change of a module's source, in a fixed order."""
    return [
        Mutant(
            place,
            site.within,
            site.early,
            site.statement.lineno,
            _last(site.statement),
            _text(site.old),
            _text(site.new),
        )
        for place, site in enumerate(_sites(ast.parse(source), "", True, None))
    ]


def mutated(source: str, place: int) -> ast.Module:
    """The module with that one change."""
    module = ast.parse(source)
    for number, site in enumerate(_sites(module, "", True, None)):
        if number == place:
            ast.copy_location(site.new, site.old)
            if site.index is None:
                setattr(site.owner, site.field, site.new)
            else:
                getattr(site.owner, site.field)[site.index] = site.new
            return ast.fix_missing_locations(module)
    raise IndexError(place)


def _last(statement: ast.stmt) -> int:
    body = getattr(statement, "body", None)
    if isinstance(body, list) and body and not isinstance(statement, ast.ClassDef):
        return max(statement.lineno, body[0].lineno - 1)
    return statement.end_lineno or statement.lineno


def _text(node: ast.AST) -> str:
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= SHOWN else f"{text[: SHOWN - 1]}…"


def _sites(node: ast.AST, within: str, early: bool, statement: ast.stmt | None) -> Iterator[_Site]:
    for field, index, child in _children(node):
        inside = child if isinstance(child, ast.stmt) else statement
        then = early and not (isinstance(node, ast.FunctionDef) and field == "body")
        if inside is not None:
            for new in _changes(child):
                yield _Site(node, field, index, child, new, within, then, inside)
        named = isinstance(child, ast.FunctionDef | ast.ClassDef)
        name = f"{within}.{child.name}".lstrip(".") if named else within  # type: ignore[attr-defined] # it is named
        yield from _sites(child, name, then, inside)


def _children(node: ast.AST) -> Iterator[tuple[str, int | None, ast.AST]]:
    for field, value in ast.iter_fields(node):
        if field in UNSEEN or _unseen(node, field):
            continue
        if isinstance(value, ast.AST):
            yield field, None, value
        elif isinstance(value, list):
            for index, each in enumerate(value):
                if isinstance(each, ast.AST) and not _is_words(node, each):
                    yield field, index, each


def _unseen(node: ast.AST, field: str) -> bool:
    """Whether a part says nothing at run time: the names in a type, and the list of what is exported."""
    if isinstance(node, ast.Subscript) and field == "slice":
        return isinstance(node.value, ast.Name) and node.value.id in {"Literal", "Callable", "Mapping"}
    target = node.targets[0] if isinstance(node, ast.Assign) else None
    return isinstance(target, ast.Name) and target.id == "__all__"


def _is_words(node: ast.AST, each: ast.AST) -> bool:
    """Whether it is a docstring, or the letters of a sentence between what is put into it."""
    words = isinstance(each, ast.Expr) and isinstance(each.value, ast.Constant)
    return words or (isinstance(node, ast.JoinedStr) and isinstance(each, ast.Constant))


def _changes(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Compare():
            yield from _compared(node)
        case ast.BoolOp():
            yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
            for place in range(len(node.values)):
                rest = [*node.values[:place], *node.values[place + 1 :]]
                yield rest[0] if len(rest) == 1 else ast.BoolOp(node.op, rest)
        case ast.BinOp() | ast.AugAssign():
            if type(node.op) in COMPUTED and not _joins_text(node):
                yield _with(node, op=COMPUTED[type(node.op)]())
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield node.operand
        case ast.IfExp():
            yield node.body
            yield node.orelse
        case ast.Constant():
            yield from _constants(node.value)
        case ast.comprehension():
            for place in range(len(node.ifs)):
                yield _with(node, ifs=[*node.ifs[:place], *node.ifs[place + 1 :]])
        case ast.stmt():
            yield from _statements(node)


def _compared(node: ast.Compare) -> Iterator[ast.AST]:
    for place, op in enumerate(node.ops):
        for other in COMPARED[type(op)]:
            yield _with(node, ops=[*node.ops[:place], other(), *node.ops[place + 1 :]])


def _constants(value: Any) -> Iterator[ast.AST]:
    if isinstance(value, bool):
        yield ast.Constant(not value)
    elif isinstance(value, int | float):
        yield ast.Constant(value + 1)
    elif isinstance(value, str) and NAME.fullmatch(value):
        yield ast.Constant(f"{value}x")


def _statements(node: ast.stmt) -> Iterator[ast.AST]:
    match node:
        case ast.Return(value=ast.expr()) if not isinstance(node.value, ast.Constant):
            yield ast.Return(ast.Constant(None))
        case ast.If() | ast.While() if not isinstance(node.test, ast.Compare | ast.BoolOp | ast.UnaryOp):
            yield _with(node, test=ast.UnaryOp(ast.Not(), node.test))
        case ast.Raise() | ast.Expr():
            yield ast.Pass()
        case ast.Continue():
            yield ast.Break()
        case ast.Break():
            yield ast.Continue()


def _joins_text(node: ast.BinOp | ast.AugAssign) -> bool:
    sides = [node.value] if isinstance(node, ast.AugAssign) else [node.left, node.right]
    return any(
        isinstance(side, ast.JoinedStr) or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in sides
    )


def _with(node: Any, **parts: Any) -> ast.AST:
    new: ast.AST = copy(node)
    for name, value in parts.items():
        setattr(new, name, value)
    return new

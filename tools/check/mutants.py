"""Makes mutants: copies of a module of calc with one small fault put in.

Half of what can be wrong in calc stands in tables at the top of its modules, so the faults are made on the syntax
tree, not in function bodies alone:

| operator | what it does |
|---|---|
| arithmetic | `+` and `-`, `*` and `/` change places, `//` and `%` and `**` too; a minus sign goes |
| boundary | `<` becomes `<=` and so on |
| comparison | `<` becomes `>=`, `==` becomes `!=`, `in` becomes `not in`, `is` becomes `is not` |
| boolean | `and` becomes `or`, `not x` becomes `x`, `True` becomes `False`, and each the other way |
| condition | the condition of an `if`, a `while` or a choice is turned round |
| number | a whole number grows or shrinks by one, another by a tenth |
| figure | the number in a text that is a figure, such as "3/8 in", grows by one in its last part |
| return | a function returns None instead of its value |
| removal | a call whose result nobody takes, or a raise, is left out |
| loop | `break` and `continue` change places |

Left out: annotations, decorators, docstrings, texts that are no figures, `if __name__ == "__main__"`.
"""

from __future__ import annotations

import ast
import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass
from types import CodeType

ARITHMETIC = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Div, ast.Mod: ast.Mult,
    ast.Pow: ast.Mult, ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr,
}
BOUNDARY = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
COMPARISON = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}
# A text that is nothing but a number and perhaps a unit: "3/8 in", "1-1/2 in", "0.2836 lb/in³", "12".
FIGURE = re.compile(
    r"(?P<number>-?\d+(?:[.,]\d+)?(?:[- ]\d+/\d+|/\d+)?)(?P<unit> ?[^\W\d_]{0,4}[²³°%]?(?:[/·][^\W\d_]{1,4}[²³]?)?)"
)


@dataclass(frozen=True)
class Mutant:
    """One fault: where it is, what it is, and the function it is in ("" for the module's own lines)."""

    module: str
    line: int
    operator: str
    before: str
    after: str
    place: int
    variant: int
    owner: str = ""
    owner_line: int = 0
    first: int = 0
    last: int = 0

    @property
    def key(self) -> str:
        """The same fault has the same key as long as the module's source stays."""
        return f"{self.module}:{self.place}:{self.operator}:{self.variant}"

    def __str__(self) -> str:
        return f"{self.module}:{self.line}: {self.operator}: {self.before}  ->  {self.after}"


def mutants_of(source: str, module: str) -> list[Mutant]:
    """Every mutant of a module, in the order of its syntax tree."""
    tree = ast.parse(source)
    places = {id(node): place for place, node in enumerate(ast.walk(tree))}
    found = []
    for node, statement, owner in _nodes(tree):
        for variant, (operator, after) in enumerate(_changes(node)):
            first, last = _lines_of(statement)
            found.append(Mutant(
                module, node.lineno, operator, _shown(node), _shown(after), places[id(node)], variant,
                owner[0], owner[1], min(first, node.lineno), max(last, node.lineno),
            ))
    return found


def compile_mutant(source: str, mutant: Mutant, path: str) -> CodeType:
    """The module with this one fault, compiled under the path of the real one."""
    return compile(mutated_tree(source, mutant), path, "exec", dont_inherit=True)


def mutated_tree(source: str, mutant: Mutant) -> ast.Module:
    """The module's syntax tree with this one fault."""
    tree = ast.parse(source)
    target = next(node for place, node in enumerate(ast.walk(tree)) if place == mutant.place)
    _, after = list(_changes(target))[mutant.variant]
    for child in ast.walk(after):
        if not hasattr(child, "lineno"):
            ast.copy_location(child, target)
    for parent in ast.walk(tree):
        for name, value in ast.iter_fields(parent):
            if value is target:
                setattr(parent, name, after)
            elif isinstance(value, list) and any(each is target for each in value):
                value[next(n for n, each in enumerate(value) if each is target)] = after
    return ast.fix_missing_locations(tree)


def _shown(node: ast.AST) -> str:
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 110 else f"{text[:107]}..."


def _lines_of(statement: ast.stmt) -> tuple[int, int]:
    """The lines that run when the statement (of a compound one: its head) runs."""
    body = getattr(statement, "body", None)
    if isinstance(body, list) and body:
        return statement.lineno, max(statement.lineno, body[0].lineno - 1)
    return statement.lineno, statement.end_lineno or statement.lineno


def _nodes(tree: ast.Module) -> Iterator[tuple[ast.AST, ast.stmt, tuple[str, int]]]:
    """Each node that may be changed, with its statement and the outermost function around it (name, first line)."""

    def visit(node: ast.AST, statement: ast.stmt | None, owner: tuple[str, int], classes: str):
        if isinstance(node, ast.stmt):
            statement = node
        if statement is not None and node is not tree:
            yield node, statement, owner
        if isinstance(node, ast.If) and "__name__" in ast.unparse(node.test):
            return
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list", "type_params"):
                continue
            inner_owner, inner_classes = owner, classes
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and name == "body" and not owner[0]:
                start = min([node.lineno, *(each.lineno for each in node.decorator_list)])
                inner_owner = (f"{classes}{node.name}", start)
            if isinstance(node, ast.ClassDef) and name == "body":
                inner_classes = f"{classes}{node.name}."
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST) and not _is_docstring(node, child):
                    yield from visit(child, statement, inner_owner, inner_classes)

    yield from visit(tree, None, ("", 0), "")


def _is_docstring(parent: ast.AST, child: ast.AST) -> bool:
    return isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant) and isinstance(child.value.value, str)


def _changes(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """Every (operator, changed copy) of one node, its children left as they are."""
    match node:
        case ast.BinOp() if type(node.op) in ARITHMETIC and not _is_text(node.left) and not _is_text(node.right):
            yield "arithmetic", _with(node, op=ARITHMETIC[type(node.op)]())
        case ast.AugAssign() if type(node.op) in ARITHMETIC and not _is_text(node.value):
            yield "arithmetic", _with(node, op=ARITHMETIC[type(node.op)]())
        case ast.UnaryOp(op=ast.USub()):
            yield "arithmetic", node.operand
        case ast.UnaryOp(op=ast.Not()):
            yield "boolean", node.operand
        case ast.BoolOp():
            yield "boolean", _with(node, op=ast.Or() if isinstance(node.op, ast.And) else ast.And())
        case ast.Compare():
            for position, each in enumerate(node.ops):
                for name, table in (("boundary", BOUNDARY), ("comparison", COMPARISON)):
                    if type(each) in table:
                        ops = [table[type(each)]() if n == position else old for n, old in enumerate(node.ops)]
                        yield name, _with(node, ops=ops)
        case ast.Constant(value=bool()):
            yield "boolean", _with(node, value=not node.value)
        case ast.Constant(value=int()):
            yield "number", _with(node, value=node.value + 1)
            yield "number", _with(node, value=node.value - 1)
        case ast.Constant(value=float()):
            yield "number", _with(node, value=node.value * 1.1 if node.value else 0.1)
            yield "number", _with(node, value=node.value * 0.9 if node.value else -0.1)
        case ast.Constant(value=str()) if _next_figure(node.value):
            yield "figure", _with(node, value=_next_figure(node.value))
        case ast.If() | ast.While() | ast.IfExp() if not isinstance(
            node.test, ast.Compare | ast.UnaryOp | ast.Constant
        ):
            yield "condition", _with(node, test=ast.UnaryOp(ast.Not(), node.test))
        case ast.Return(value=ast.expr()) if not (isinstance(node.value, ast.Constant) and node.value.value is None):
            yield "return", _with(node, value=ast.Constant(None))
        case ast.Expr(value=ast.Call()) | ast.Raise():
            yield "removal", ast.Pass()
        case ast.Break():
            yield "loop", ast.Continue()
        case ast.Continue():
            yield "loop", ast.Break()


def _with(node: ast.AST, **fields: object) -> ast.AST:
    changed = copy.copy(node)
    for name, value in fields.items():
        setattr(changed, name, value)
    return changed


def _is_text(node: ast.AST) -> bool:
    """Whether + on it joins texts or lists: taking those apart only fails, and says nothing of the tests."""
    if isinstance(node, ast.BinOp):
        return _is_text(node.left) or _is_text(node.right)
    return isinstance(node, ast.JoinedStr | ast.List | ast.Tuple | ast.ListComp) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str))


def _next_figure(text: str) -> str:
    """The figure with its last whole part (of a fraction: the numerator) one more; "" for a text that is none.

    >>> _next_figure("3/8 in"), _next_figure("1-1/2 in"), _next_figure("0.2836 lb/in³"), _next_figure("bend")
    ('4/8 in', '1-2/2 in', '0.2837 lb/in³', '')
    """
    match = FIGURE.fullmatch(text)
    if not match or match["unit"] in ("F", "G"):  # 1G to 4G and 1F to 4F are names of positions
        return ""
    number = match["number"]
    parts = re.split(r"(\d+)", number.split("/")[0])
    width = len(parts[-2])
    parts[-2] = str(int(parts[-2]) + 1).zfill(width)
    rest = number.partition("/")
    return "".join(parts) + rest[1] + rest[2] + match["unit"]

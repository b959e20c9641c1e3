"""Less memory for the same firmware: numbers in the place of their names, short names for what is private.

On a small board every name costs: its letters and a row in the interpreter's table, a row in a module's or object's
dictionary; a number that is not whole costs an object besides. `shrunk` takes all modules of a board together and gives
them back with the same meaning:

    a number that a module names once (`LIMIT_C = 350.0`) stands where it is used, in every module that imports it;
    private data (`self._name`, `_NAME`) have short names, the same few in each class and module;
    so have the arguments of functions, where nobody gives them by name.

Public functions keep their names and private methods a beginning of theirs, so that a traceback says where. What is
looked up by text (`getattr`, a script of `on_board`) keeps its name: every word of every text is left alone. Tests hold
that a board with the shrunk tree sends the same bytes as one with the sources.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from itertools import product
from string import ascii_lowercase

Number = int | float
LEAST_BEGINNING = 2  # letters, the underscore among them
Function = ast.FunctionDef | ast.AsyncFunctionDef
_WHOLE = {ast.Add: int.__add__, ast.Sub: int.__sub__, ast.Mult: int.__mul__, ast.BitOr: int.__or__}


def shrunk(sources: dict[str, str], other: Iterable[str] = ()) -> dict[str, str]:
    """Module text by file name, shrunk; names that `other` texts (scripts reaching into the modules) say are kept."""
    trees = {name: ast.parse(text) for name, text in sources.items()}
    kept = set().union(*(_words(text) for text in other), *(_said(tree) for tree in trees.values()))
    numbers = {name: _numbers(tree) for name, tree in trees.items()}
    for name, tree in trees.items():
        _Inline(name, tree, numbers).visit(tree)
    asked = kept.union(*(_asked(tree) for tree in trees.values()))
    by_name = kept.union(*(_by_name(tree) for tree in trees.values()))
    for name, tree in trees.items():
        gone = set(numbers[name]) - asked
        tree.body = [row for row in tree.body if _target(row) not in gone]
        _shorten(tree, kept)
        _Arguments(by_name).visit(tree)
    return {name: ast.unparse(ast.fix_missing_locations(tree)) + "\n" for name, tree in trees.items()}


def _words(text: str) -> set[str]:
    return set(re.findall(r"\w+", text))


def _said(tree: ast.Module) -> set[str]:
    """Words of all texts in a module but those that stand alone, as docstrings do."""
    alone = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    texts = (node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in alone)
    return set().union(*(_words(node.value) for node in texts if isinstance(node.value, str)))


def _target(row: ast.stmt) -> str:
    """The one name that this row gives a value to, or ''."""
    if isinstance(row, ast.Assign) and len(row.targets) == 1 and isinstance(row.targets[0], ast.Name):
        return row.targets[0].id
    return ""


# ---- numbers --------------------------------------------------------------------------------------------------------


def _numbers(tree: ast.Module) -> dict[str, Number]:
    """Names that stand for one number in all of this module."""
    found: dict[str, Number] = {}
    stored = _stored(tree)
    for row in tree.body:
        value = _value(row.value, found) if isinstance(row, ast.Assign) else None
        if _target(row).isupper() and value is not None and stored.count(_target(row)) == 1:
            found[_target(row)] = value
    return found


def _stored(tree: ast.Module) -> list[str]:
    """Names that get a value anywhere in the module, each as often as it does."""
    names = [node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and not isinstance(node.ctx, ast.Load)]
    return names + [node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)]


def _value(node: ast.expr, known: dict[str, Number]) -> Number | None:
    """The number that this is, or None. Fractions are not worked out: a board has fewer digits than this computer."""
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        return node.value  # type: ignore[return-value]
    if isinstance(node, ast.Name):
        return known.get(node.id)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "const":
        return _value(node.args[0], known)
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        value = _value(node.operand, known)
        return None if value is None else -value
    return _sum(node, known) if isinstance(node, ast.BinOp) else None


def _sum(node: ast.BinOp, known: dict[str, Number]) -> int | None:
    left, right, work = _value(node.left, known), _value(node.right, known), _WHOLE.get(type(node.op))
    if work is not None and isinstance(left, int) and isinstance(right, int):
        return int(work(left, right))
    return None


class _Inline(ast.NodeTransformer):
    """Puts numbers in the place of their names, in one module."""

    def __init__(self, name: str, tree: ast.Module, numbers: dict[str, dict[str, Number]]) -> None:
        self._package = name.split("/")[:-1]
        self._numbers = numbers
        self._here = dict(numbers[name])
        self._modules: dict[str, dict[str, Number]] = {}
        self._stored = set(_stored(tree))

    def visit_ImportFrom(self, node: ast.ImportFrom) -> ast.stmt | None:
        """Numbers need no import any more; modules are remembered by the name they have here."""
        base = self._package[: len(self._package) - node.level + 1] if node.level else []
        path = base + (node.module.split(".") if node.module else [])
        theirs = self._numbers.get("/".join(path) + ".py", {})
        node.names = [alias for alias in node.names if not self._taken(alias, theirs)]
        for alias in node.names:
            self._modules[alias.asname or alias.name] = self._numbers.get("/".join([*path, alias.name]) + ".py", {})
        return node if node.names else None

    def _taken(self, alias: ast.alias, theirs: dict[str, Number]) -> bool:
        name = alias.asname or alias.name
        if alias.name not in theirs or name in self._stored:
            return False
        self._here[name] = theirs[alias.name]
        return True

    def visit_Name(self, node: ast.Name) -> ast.expr:
        """`LIMIT_C` becomes `350.0`."""
        known = isinstance(node.ctx, ast.Load) and node.id in self._here
        return _literal(self._here[node.id]) if known else node

    def visit_Attribute(self, node: ast.Attribute) -> ast.expr:
        """`limits.LIMIT_C` becomes `350.0`."""
        self.generic_visit(node)
        theirs = self._modules.get(node.value.id, {}) if isinstance(node.value, ast.Name) else {}
        return _literal(theirs[node.attr]) if node.attr in theirs else node


def _literal(value: Number) -> ast.expr:
    return ast.UnaryOp(ast.USub(), ast.Constant(-value)) if value < 0 else ast.Constant(value)


def _asked(tree: ast.Module) -> set[str]:
    """Names that this module still asks others for."""
    out = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    return out | {alias.name for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) for alias in node.names}


# ---- private names --------------------------------------------------------------------------------------------------


def _shorten(tree: ast.Module, kept: set[str]) -> None:
    """Private data of each class among themselves, then what is private to the module."""
    lent = kept | _lent(tree)
    for node in tree.body:
        if isinstance(node, ast.ClassDef):
            _Rename(_short(_own(node), lent)).visit(node)
            _Rename(_begun(node, lent)).visit(node)
    _Rename(_short({_target(row) for row in tree.body}, lent)).visit(tree)


def _short(names: Iterable[str], kept: set[str]) -> dict[str, str]:
    """_a, _b, ... for those that are private."""
    private = sorted(name for name in names if name.startswith("_") and len(name) > 2 and name not in kept)
    free = ("_" + "".join(letters) for count in (1, 2) for letters in product(ascii_lowercase, repeat=count))
    usable: Iterator[str] = (short for short in free if short not in kept)
    return {name: next(usable) for name in private if not name.startswith("__")}


def _begun(node: ast.ClassDef, kept: set[str]) -> dict[str, str]:
    """For private methods the beginnings of their names, as long as it takes: a traceback still says which it was."""
    taken = kept | {part.attr for part in ast.walk(node) if isinstance(part, ast.Attribute)} | _methods(node)
    short: dict[str, str] = {}
    for name in sorted(_methods(node) - kept):
        if name.startswith("_") and not name.startswith("__"):
            ways = (name[:length] for length in range(LEAST_BEGINNING, len(name)))
            short[name] = next((way for way in ways if way not in taken), name)
            taken.add(short[name])
    return short


def _methods(node: ast.ClassDef) -> set[str]:
    return {row.name for row in node.body if isinstance(row, Function)}


def _own(node: ast.ClassDef) -> set[str]:
    """What a class keeps in `self`, without its methods and what it gives to all its objects."""
    methods = _methods(node)
    shared = {_target(row) for row in node.body}
    return {inner.attr for inner in ast.walk(node) if isinstance(inner, ast.Attribute)} - methods - shared


def _lent(tree: ast.Module) -> set[str]:
    """Private names that are asked of something else than `self`, and short names in use."""
    asked = [node for node in ast.walk(tree) if isinstance(node, ast.Attribute)]
    others = {node.attr for node in asked if not (isinstance(node.value, ast.Name) and node.value.id == "self")}
    return others | {name for name in [*_stored(tree), *(node.attr for node in asked)] if len(name) <= 3}


class _Rename(ast.NodeTransformer):
    """New names by the old ones, for attributes and plain names alike: no private name is both."""

    def __init__(self, short: dict[str, str]) -> None:
        self._short = short

    def visit_Attribute(self, node: ast.Attribute) -> ast.Attribute:
        """`self._name`."""
        self.generic_visit(node)
        node.attr = self._short.get(node.attr, node.attr)
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.FunctionDef:
        """`def _name(self)`."""
        self.generic_visit(node)
        node.name = self._short.get(node.name, node.name)
        return node

    def visit_AsyncFunctionDef(self, node: ast.AsyncFunctionDef) -> ast.AsyncFunctionDef:
        """One that waits."""
        self.generic_visit(node)
        node.name = self._short.get(node.name, node.name)
        return node

    def visit_Name(self, node: ast.Name) -> ast.Name:
        """`_NAME`."""
        node.id = self._short.get(node.id, node.id)
        return node


# ---- arguments ------------------------------------------------------------------------------------------------------


def _by_name(tree: ast.Module) -> set[str]:
    """Names by which arguments are given somewhere."""
    return {node.arg for node in ast.walk(tree) if isinstance(node, ast.keyword) and node.arg}


class _Arguments(ast.NodeTransformer):
    """a, b, c ... for the arguments of functions that hold no other function."""

    def __init__(self, kept: set[str]) -> None:
        self._kept = kept

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        """A function of the plain kind."""
        return self._function(node)

    def visit_AsyncFunctionDef(self, node: ast.AsyncFunctionDef) -> ast.AST:
        """One that waits."""
        return self._function(node)

    def _function(self, node: Function) -> ast.AST:
        self.generic_visit(node)
        inner = [part for part in ast.walk(node) if isinstance(part, Function | ast.Lambda | ast.ClassDef)]
        if len(inner) == 1:
            names = [arg.arg for arg in node.args.args if arg.arg != "self" and arg.arg not in self._kept]
            taken = {part.id for part in ast.walk(node) if isinstance(part, ast.Name)} | {a.arg for a in node.args.args}
            free = (letter for letter in ascii_lowercase if letter not in taken)
            _Locals(dict(zip(names, free, strict=False))).visit(node)
        return node


class _Locals(ast.NodeTransformer):
    """New names for the arguments of one function."""

    def __init__(self, short: dict[str, str]) -> None:
        self._short = short

    def visit_arg(self, node: ast.arg) -> ast.arg:
        """Where it is taken."""
        node.arg = self._short.get(node.arg, node.arg)
        return node

    def visit_Name(self, node: ast.Name) -> ast.Name:
        """Where it is used."""
        node.id = self._short.get(node.id, node.id)
        return node

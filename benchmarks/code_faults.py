"""Small faults of code: what can be wrong at each place of a module, and putting one into a module that runs."""

from __future__ import annotations

import ast
import copy
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
ROOMS = ("agronomy", "planning")

COMPARE: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv, ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One fault: the n-th place of its module. `number` is its place among the mutants of all modules."""

    number: int
    module: str
    place: int
    line: int
    kind: str
    what: str

    @property
    def key(self) -> str:
        """What a log calls it: it holds as long as its module is not changed."""
        return f"{self.module.removeprefix('earleaf.')} {digest_of(path_of(self.module))[:8]} {self.place}"


def expressions(node: ast.AST) -> Iterator[ast.AST]:
    """Every node that runs, in a fixed order: no annotations, no texts."""
    yield node
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "type_params") or (name == "decorator_list"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from expressions(child)


def faults(node: ast.AST) -> Iterator[tuple[str, str]]:
    """(kind, what) of each fault that this node can have; `break_node` makes it."""
    match node:
        case ast.Compare(ops=ops):
            for i, op in enumerate(ops):
                if type(op) in COMPARE:
                    yield f"comparison {i}", f"{type(op).__name__} becomes {COMPARE[type(op)].__name__}"
        case ast.BinOp(op=op) | ast.AugAssign(op=op) if type(op) in ARITHMETIC:
            if not any(isinstance(side, ast.Constant) and isinstance(side.value, str) for side in ast.walk(node)):
                yield "arithmetic", f"{type(op).__name__} becomes {ARITHMETIC[type(op)].__name__}"
        case ast.Constant(value=bool()):
            yield "truth", f"{node.value} becomes {not node.value}"
        case ast.Constant(value=int() | float()):
            yield "number up", f"{node.value} becomes {node.value + 1}"
            yield "number down", f"{node.value} becomes {node.value - 1}"
        case ast.BoolOp(op=op):
            yield "and or", f"{type(op).__name__} becomes {'Or' if isinstance(op, ast.And) else 'And'}"
        case ast.UnaryOp(op=ast.Not()):
            yield "not", "not is left out"
        case ast.UnaryOp(op=ast.Invert()):
            yield "not", "~ is left out"
        case ast.UnaryOp(op=ast.USub()) if not isinstance(node.operand, ast.Constant):
            yield "sign", "the sign is left out"
        case ast.If(test=test) | ast.IfExp(test=test) | ast.While(test=test):
            if not isinstance(test, ast.Compare | ast.BoolOp | ast.UnaryOp):
                yield "condition", "the condition is turned round"
        case ast.Return(value=value) if value is not None and not (
            isinstance(value, ast.Constant) and value.value is None
        ):
            yield "return", "returns None"
        case ast.Break():
            yield "loop", "break becomes continue"
        case ast.Continue():
            yield "loop", "continue becomes break"
        case ast.Slice(lower=lower, upper=upper):
            for name, bound in (("lower", lower), ("upper", upper)):
                if bound is not None and not isinstance(bound, ast.Constant | ast.UnaryOp):
                    yield f"slice {name}", f"the {name} bound is one more"


def break_node(node: Any, kind: str) -> Any:
    """The node with the fault in it; a new node where the old one must go."""
    word, _, rest = kind.partition(" ")
    if word == "comparison":
        node.ops[int(rest)] = COMPARE[type(node.ops[int(rest)])]()
    elif word == "arithmetic":
        node.op = ARITHMETIC[type(node.op)]()
    elif word == "truth":
        node.value = not node.value
    elif word == "number":
        node.value += 1 if rest == "up" else -1
    elif word == "and":
        node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    elif word in ("not", "sign"):
        return node.operand
    elif word == "condition":
        node.test = ast.UnaryOp(ast.Not(), node.test)
    elif word == "return":
        node.value = ast.Constant(None)
    elif word == "loop":
        return ast.Continue() if isinstance(node, ast.Break) else ast.Break()
    elif word == "slice":
        setattr(node, rest, ast.BinOp(getattr(node, rest), ast.Add(), ast.Constant(1)))
    return node


def places(tree: ast.AST) -> list[tuple[ast.AST, str, str]]:
    return [(node, kind, what) for node in expressions(tree) for kind, what in faults(node)]


def broken(source: str, place: int) -> ast.AST:
    """The tree of a module with the fault at this place."""
    tree = copy.deepcopy(ast.parse(source))
    target, kind, _ = places(tree)[place]

    class Put(ast.NodeTransformer):
        def visit(self, node: ast.AST) -> Any:
            return break_node(node, kind) if node is target else self.generic_visit(node)

    return ast.fix_missing_locations(Put().visit(tree))


def path_of(module: str) -> Path:
    return ROOT / "generator" / (module.replace(".", "/") + ".py")


@cache
def digest_of(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()


@cache
def source_of(module: str) -> str:
    return path_of(module).read_text("utf-8")


def every_mutant() -> list[Mutant]:
    found: list[Mutant] = []
    for room in ROOMS:
        for path in sorted((ROOT / "generator/earleaf" / room).glob("*.py")):
            module = f"earleaf.{room}.{path.stem}"
            for place, (node, kind, what) in enumerate(places(ast.parse(path.read_text("utf-8")))):
                line = next(n.lineno for n in ast.walk(node) if hasattr(n, "lineno"))
                found.append(Mutant(len(found), module, place, line, kind.split(" ")[0], what))
    return found


# A fault put into a module that runs

ADDRESS = re.compile(r" at 0x[0-9a-f]+")


def put_in(mutant: Mutant) -> None:
    """Swap the code of every function of the module, and its constants wherever they were imported."""
    old = sys.modules[mutant.module]
    new = ModuleType(mutant.module)
    new.__dict__.update(__name__=mutant.module, __package__=old.__package__, __file__=old.__file__)
    sys.modules[mutant.module] = new  # dataclasses look their module up
    try:
        exec(compile(broken(source_of(mutant.module), mutant.place), str(old.__file__), "exec"), new.__dict__)
    finally:
        sys.modules[mutant.module] = old
    for name, value in list(new.__dict__.items()):
        if name.startswith("__") or name not in old.__dict__:
            continue
        swap(old.__dict__[name], value, name, mutant.module)


def swap(was: Any, now: Any, name: str, module: str) -> None:
    if isinstance(was, FunctionType) and isinstance(now, FunctionType):
        if was.__module__ == module and was.__code__.co_freevars == now.__code__.co_freevars:
            was.__code__, was.__defaults__, was.__kwdefaults__ = now.__code__, now.__defaults__, now.__kwdefaults__
    elif hasattr(was, "__wrapped__"):
        swap(was.__wrapped__, now.__wrapped__, name, module)
        if hasattr(was, "cache_clear"):
            was.cache_clear()
    elif isinstance(was, type):
        if was.__module__ == module:
            swap_class(was, now, module)
    elif isinstance(was, dict) and any(isinstance(v, FunctionType) for v in was.values()):
        for key, value in was.items():
            swap(value, now[key], name, module)
    elif not isinstance(was, ModuleType) and ADDRESS.sub("", repr(was)) != ADDRESS.sub("", repr(now)):
        for other in list(sys.modules.values()):
            if getattr(other, "__dict__", {}).get(name) is was:
                setattr(other, name, now)


def swap_class(was: type, now: type, module: str) -> None:
    for name, value in list(vars(was).items()):
        changed = vars(now).get(name)
        if isinstance(value, FunctionType) and isinstance(changed, FunctionType):
            swap(value, changed, name, module)
        elif isinstance(value, property) and isinstance(changed, property) and value.fget and changed.fget:
            swap(value.fget, changed.fget, name, module)
        elif isinstance(value, (staticmethod, classmethod)):
            swap(value.__func__, changed.__func__, name, module)  # type: ignore[union-attr]
        elif isinstance(value, (int, float, str, tuple)) and not name.startswith("__") and value != changed:
            setattr(was, name, changed)

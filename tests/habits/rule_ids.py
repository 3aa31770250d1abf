"""Which rules a finding may name, read out of the program: no list to forget."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[2] / "generator/earleaf"
KNOWN = {"Finding": 2, "Rule": 0}
"""Where the rule stands among the arguments: of a finding, and of a rule of the check."""


@dataclass
class Module:
    """One file: its constants and functions by name."""

    path: Path
    tree: ast.Module
    constants: dict[str, str] = field(default_factory=dict)
    functions: dict[str, ast.FunctionDef] = field(default_factory=dict)
    imports: set[str] = field(default_factory=set)


def modules() -> list[Module]:
    out = []
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.parent.name == "language" and path.parents[1] == PACKAGE:
            continue  # its remarks are about sentences, not about the data; they are read from RULES there
        module = Module(path, ast.parse(path.read_text("utf-8")))
        for node in ast.walk(module.tree):
            if isinstance(node, ast.FunctionDef):
                module.functions[node.name] = node
            elif isinstance(node, ast.ImportFrom) and node.level:
                module.imports |= {name.name for name in node.names}
            elif isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant):
                text = node.value.value
                module.constants |= {
                    t.id: text for t in node.targets if isinstance(t, ast.Name) and isinstance(text, str)
                }
        out.append(module)
    return out


@cache
def rule_ids() -> tuple[set[str], list[str]]:
    """Every rule, and the places whose rule could not be read."""
    found: set[str] = set()
    unread: list[str] = []
    every = modules()
    for module in every:
        for other in every:
            module.constants |= {n: c for n, c in other.constants.items() if n in module.imports}
            module.functions |= {n: f for n, f in other.functions.items() if n in module.imports}
    for module in every:
        takes = KNOWN | _taking(_methods(every, module.imports)) | _taking(module.functions)
        for node in ast.walk(module.tree):
            if isinstance(node, ast.Call) and (name := _name(node.func)) in takes:
                given = _argument(node, takes[name])
                if given is None:
                    continue
                ids = set(_read(given, module))
                found |= ids
                if not ids and not _handed_on(given):
                    unread.append(f"{module.path.name}:{node.lineno}")
        found |= {d for made in module.functions.values() for d in _defaults(made)}
    return found, unread


def _taking(functions: dict[str, ast.FunctionDef]) -> dict[str, int]:
    """Functions that take a rule, and where among their arguments."""
    return {name: at for name, made in functions.items() if (at := _place(made)) is not None}


def _methods(every: list[Module], names: set[str]) -> dict[str, ast.FunctionDef]:
    """The methods of classes that a module imports."""
    classes = [n for m in every for n in m.tree.body if isinstance(n, ast.ClassDef) and n.name in names]
    return {f.name: f for made in classes for f in made.body if isinstance(f, ast.FunctionDef)}


def _place(made: ast.FunctionDef) -> int | None:
    """Where among its arguments a function takes a rule; `self` is not counted."""
    names = [a.arg for a in made.args.args if a.arg != "self"]
    return names.index("rule") if "rule" in names else None


def _defaults(made: ast.FunctionDef) -> Iterator[str]:
    """The rule that a function takes when none is given."""
    for name, default in zip(reversed(made.args.args), reversed(made.args.defaults), strict=False):
        if name.arg == "rule" and isinstance(default, ast.Constant):
            yield default.value


def _name(func: ast.expr) -> str:
    return func.id if isinstance(func, ast.Name) else func.attr if isinstance(func, ast.Attribute) else ""


def _argument(call: ast.Call, at: int) -> ast.expr | None:
    for keyword in call.keywords:
        if keyword.arg == "rule":
            return keyword.value
    for i, one in enumerate(call.args):
        if isinstance(one, ast.Starred) and i < at:  # `*place` stands for file and line
            at -= 1
    if at >= len(call.args):
        return None
    given = call.args[at]
    return given.value if isinstance(given, ast.Starred) else given  # `*control(letter)` stands for rule and message


def _read(given: ast.expr, module: Module) -> Iterator[str]:
    if isinstance(given, ast.Constant) and isinstance(given.value, str):
        yield given.value
    elif isinstance(given, ast.Name) and given.id in module.constants:
        yield module.constants[given.id]
    elif isinstance(given, ast.Call) and _name(given.func) in module.functions:
        yield from _returned(module.functions[_name(given.func)])
    elif isinstance(given, ast.Name):
        for node in ast.walk(module.tree):
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Tuple):
                first = node.targets[0].elts[0]
                of = _name(node.value.func) if isinstance(node.value, ast.Call) else ""
                if isinstance(first, ast.Name) and first.id == given.id and of in module.functions:
                    yield from _returned(module.functions[of])


def _returned(made: ast.FunctionDef) -> Iterator[str]:
    """The texts a function returns, alone or first in a row of values."""
    for node in ast.walk(made):
        if isinstance(node, ast.Return) and node.value is not None:
            value = node.value.elts[0] if isinstance(node.value, ast.Tuple) else node.value
            for one in (value.body, value.orelse) if isinstance(value, ast.IfExp) else (value,):
                if isinstance(one, ast.Constant) and isinstance(one.value, str):
                    yield one.value


def _handed_on(given: ast.expr) -> bool:
    """A rule that came in as an argument, or belongs to the rule that is running."""
    if isinstance(given, ast.Name):
        return given.id == "rule"
    return isinstance(given, ast.Attribute) and given.attr in ("rule", "name")

"""Who may import whom. The layers of the program, read from its own source."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import earleaf

PACKAGE = Path(earleaf.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))
BELOW: dict[str, frozenset[str]] = {
    "model": frozenset(),
    "agronomy": frozenset(),
    "language": frozenset(),
    "database": frozenset({"model", "agronomy"}),
    "planning": frozenset({"model", "agronomy", "database"}),
    "views": frozenset({"model", "agronomy", "database", "planning"}),
    "drawing": frozenset({"model", "agronomy", "database", "planning", "views"}),
    "rendering": frozenset({"model", "agronomy", "database", "planning", "views"}),
    "site": frozenset({"model", "agronomy", "database", "planning", "views", "drawing", "rendering", "language"}),
    "commands": frozenset({"model", "database", "views", "rendering", "site"}),
}
ONLY_IN = {
    "yaml": ("database/",),
    "jinja2": ("rendering/",),
    "typst": ("rendering/paper/",),
    "segno": ("rendering/paper/",),
    "fontTools": ("rendering/paper/",),
    "PIL": ("rendering/paper/",),
    "babel": ("database/po_files.py", "views/words.py"),
    "numpy": ("agronomy/", "planning/", "database/weather.py"),
    "mkdocs": ("site/mkdocs_shell.py", "site/preview.py"),
    "markdown": ("site/",),
    "pydantic": ("model/", "database/", "rendering/"),
}
CLOCK = {
    "date.today",
    "datetime.now",
    "datetime.today",
    "datetime.utcnow",
    "time.time",
    "time.perf_counter",
    "time.monotonic",
    "time.localtime",
    "os.environ",
    "os.getenv",
    "locale.getlocale",
}
MAY_READ_THE_WORLD = ("cli.py", "commands/build.py", "site/")
MAY_PRINT = ("cli.py", "commands/")


def place(module: Path) -> str:
    return module.relative_to(PACKAGE).as_posix()


def layer(module: Path) -> str:
    """The layer of a module; the command and the package itself stand above all."""
    parts = module.relative_to(PACKAGE).parts
    return parts[0] if len(parts) > 1 else "cli"


@cache
def nodes(module: Path) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(ast.parse(module.read_text("utf-8"))))


def imports(module: Path) -> Iterator[tuple[str, ...]]:
    """Every imported module as its full dotted path, imports inside functions included."""
    here = ("earleaf", *module.relative_to(PACKAGE).with_suffix("").parts)
    for node in nodes(module):
        if isinstance(node, ast.Import):
            yield from (tuple(alias.name.split(".")) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = here[: len(here) - node.level] if node.level else ()
            named = (*base, *(node.module.split(".") if node.module else ()))
            yield named
            yield from ((*named, alias.name) for alias in node.names if named in (("earleaf",), base))


def dotted(node: ast.AST) -> str:
    """'os.environ' for an attribute of a name; '' for anything else."""
    named = isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name)
    return f"{node.value.id}.{node.attr}" if named else ""  # type: ignore[attr-defined]


def test_every_folder_is_a_known_layer() -> None:
    assert {layer(m) for m in MODULES} <= {*BELOW, "cli"}
    assert len(MODULES) > 30


@pytest.mark.parametrize("module", [m for m in MODULES if layer(m) != "cli"], ids=place)
def test_a_module_imports_only_from_below(module: Path) -> None:
    own = layer(module)
    asked = {path[1] for path in imports(module) if path[0] == "earleaf" and len(path) > 1}
    assert asked <= BELOW[own] | {own, "__version__"}


@pytest.mark.parametrize("library", ONLY_IN)
def test_a_library_is_used_in_one_place(library: str) -> None:
    users = [place(m) for m in MODULES if any(path[0] == library for path in imports(m))]
    assert [u for u in users if not u.startswith(ONLY_IN[library])] == []


def test_clock_and_environment_are_read_at_the_edge_only() -> None:
    readers = {(place(m), name) for m in MODULES for node in nodes(m) if (name := dotted(node)) in CLOCK}
    assert {r for r in readers if not r[0].startswith(MAY_READ_THE_WORLD)} == set()
    assert ("cli.py", "date.today") in readers
    in_verbs = {r for r in readers if r[0].startswith("commands/")}
    assert in_verbs == {("commands/build.py", "time.perf_counter")}, "the day is handed to a verb by `main`"


def test_only_the_command_prints() -> None:
    printers = {
        place(m)
        for m in MODULES
        for node in nodes(m)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    }
    assert [p for p in sorted(printers) if not p.startswith(MAY_PRINT)] == []
    assert "commands/parser.py" not in printers

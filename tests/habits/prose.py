"""Every word that somebody wrote for somebody to read, and where it stands: for the spelling."""

from __future__ import annotations

import ast
import csv
import io
import re
import tokenize
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from babel.messages.pofile import read_po

ROOT = Path(__file__).resolve().parents[2]
NAMES = {"id", "row", "rows", "source", "basis", "differs", "url", "latin", "short_id", "aliases"} | {
    "authors",
    "publisher",
    "title",
    "number",
    "also_called",
}
"""Keys whose values are ids, names, titles of publications, and the words of others."""
MARKS = re.compile(r"`[^`\n]*`|<[^>\n]*>|\{[^}\n]*\}|\[@[^\]]*\]|https?://\S+|\]\([^)]*\)")
CODE = re.compile(r"\S+@\S+|\S*[/_\\=#]\S*|\S*\w\.\w\S*")
FENCE = re.compile(r"^```.*?^```|^ {4,}\S.*$", re.M | re.S)
WORD = re.compile(r"(?<![\w'’-])[^\W\d_]+(?:['’][^\W\d_]+)*(?![\w-])")
Place = tuple[str, str]


def words(text: str) -> Iterator[str]:
    """The words of a text. Code, addresses, codes, names of classes and words joined by hyphens are left out."""
    for word in WORD.findall(CODE.sub(" ", MARKS.sub(" ", text))):
        plain = word.replace("’", "'")
        if len(plain) > 2 and (plain.islower() or plain.istitle() or (plain[:1].isupper() and plain[1:].islower())):
            yield plain


@cache
def english() -> dict[str, str]:
    """Each word of our English, and one file that has it."""
    return _collect(_english_texts())


@cache
def spanish() -> dict[str, str]:
    """Each word of our Spanish, and one file that has it."""
    return _collect(_spanish_texts())


def _collect(texts: Iterator[Place]) -> dict[str, str]:
    found: dict[str, str] = {}
    for file, text in texts:
        for word in words(text):
            found.setdefault(word, file)
    return found


def _english_texts() -> Iterator[Place]:
    pages = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "benchmarks").glob("*.md")]
    for path in pages:
        if "es" not in path.parts and path.name not in ("THIRD-PARTY.md", "quality.md"):
            yield _name(path), FENCE.sub(" ", path.read_text("utf-8"))
    for folder in ("generator", "tests", "benchmarks"):
        for path in (ROOT / folder).rglob("*.py"):
            yield _name(path), "\n".join(_of_python(path.read_text("utf-8")))
    for path in (ROOT / "generator/earleaf/rendering/templates").glob("*.html"):
        yield _name(path), "\n".join(re.findall(r"""say\(\s*"([^"]+)\"""", path.read_text("utf-8")))
    for path in [*(ROOT / "protocols").rglob("*.yml"), *(ROOT / "demo_scenario").glob("*.yml")]:
        if "languages" not in path.parts:
            yield _name(path), "\n".join(_of_yaml(yaml.safe_load(path.read_text("utf-8"))))
    for path in (ROOT / "protocols/evidence").glob("*.csv"):
        with path.open(encoding="utf-8") as file:
            for row in csv.DictReader(file):
                yield _name(path), " ".join(row.get(key) or "" for key in ("note", "rule", "condition"))


def _spanish_texts() -> Iterator[Place]:
    for path in (ROOT / "docs/es").rglob("*.md"):
        yield _name(path), FENCE.sub(" ", path.read_text("utf-8"))
    for path in (ROOT / "protocols/languages/es").glob("*.po"):
        catalogue = read_po(io.BytesIO(path.read_bytes()))
        for message in catalogue:
            if message.id:
                said = message.string if isinstance(message.string, tuple | list) else (message.string,)
                yield _name(path), "\n".join(re.sub(r"\[[^\]]*\]", " ", text) for text in said)


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def _of_python(text: str) -> Iterator[str]:
    """Docstrings, comments, and the sentences handed to `say`."""
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            yield token.string.lstrip("# ")
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
            yield re.sub(r"^ *>>>.*$", " ", FENCE.sub(" ", node.value.value), flags=re.M)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute | ast.Name):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else node.func.id
            first = node.args[0] if node.args else None
            if name == "say" and isinstance(first, ast.Constant) and isinstance(first.value, str):
                yield first.value
        if isinstance(node, ast.keyword) and node.arg in ("help", "description", "hint"):
            yield from (
                c.value for c in ast.walk(node.value) if isinstance(c, ast.Constant) and isinstance(c.value, str)
            )


def _of_yaml(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, one in value.items():
            if key not in NAMES:
                yield from _of_yaml(one)
    elif isinstance(value, list):
        for one in value:
            yield from _of_yaml(one)
    elif isinstance(value, str) and " " in value:
        yield value

"""What is to be translated, and the files that hold it: one .po file for the program, one for what crops share, one for
each group of crops, and one of the manual's own texts, which stays beside the manual.
"""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path
from struct import pack
from typing import Any

import earleaf

from ..database.languages import Catalogue, subtag
from ..database.load import Database
from ..database.manual import shipped_protocols
from ..database.po_files import write_sentences
from ..model.base import Record
from ..views.words import Words
from .build import Prepared
from .cache import Cache
from .plain_shell import plain_files
from .publish import put
from .tree import build_tree

IN_TEMPLATE = re.compile(r"""say\(\s*"((?:[^"\\]|\\.)*)\"""")
SHARED = "shared"
PROGRAM = "program"
OWN = "manual"
ALIKE = 0.85
"""From this ratio of difflib on, a new sentence counts as an old one reworded."""
Wanted = dict[str, dict[str, set[str]]]
"""File name, then sentence, then the crops that use it."""


@dataclass(frozen=True)
class Coverage:
    """How much of one file is translated."""

    file: str
    sentences: int
    translated: int
    doubtful: int


class NoPaper(Cache):
    """A cache that is never asked in vain: every sentence of the cards is said, and none is printed."""

    def get(self, name: str, make: Callable[[], bytes]) -> bytes:
        """The start of a picture of one pixel: whoever shows a card asks it for its size."""
        return b"\x89PNG\r\n\x1a\n" + pack(">I4sII", 13, b"IHDR", 1, 1)


def wanted(prepared: Prepared, tag: str, besides: Iterable[str] = ()) -> Wanted:
    """Every sentence that an edition in this language must have, by file. Takes as long as a build without cards.

    `besides` are texts of the manual's own that stand elsewhere, such as those of mkdocs.yml.
    A sentence that is nothing but places, such as "{day} {month}", may be put in another order, but need not be.
    Crops of the database that the manual does not show are among them, for the files belong to the whole database.
    Chapters that are still to be written count as well, for the rules that they show.
    """
    manual, db = prepared.manual, prepared.db
    assert manual is not None
    known = db.languages[tag]  # type: ignore[attr-defined]
    every = {**db.crops, **db.left_out}
    db = replace(db, crops={name: every[name] for name in sorted(every)}, left_out={})
    words = Words(tag, {}, db.units, known.language)
    words.say(manual.title)
    chapters = {c.name: c for t in (manual.languages[0], tag) for c in prepared.chapters.get(t, [])}
    tree = build_tree(db, manual, list(chapters.values()), words, NoPaper(None), keep=True)
    plain_files(tree, manual, words)
    uses: dict[str, set[str]] = defaultdict(set)
    for crop, sentences in tree.left_out.items():
        for sentence in sentences:
            uses[sentence].add(crop)
    program = {s for s in program_sentences() if words.lacks(s) or s.count("{") > 1}
    for sentence in besides:
        words.say(sentence)
    every_page = tree.missing | words.missing
    own = set(strings([manual.title, manual.regions, *db.labs.values(), *besides])) - set(database_strings(db))
    out: Wanted = defaultdict(dict)
    for sentence in sorted(program | every_page | uses.keys()):
        crops = uses.get(sentence, set())
        groups = {db.crops[crop].group for crop in crops}
        if sentence in program:
            name = PROGRAM
        elif sentence in own:
            name = OWN
        else:
            name = groups.pop() if len(groups) == 1 and sentence not in every_page else SHARED
        out[name][sentence] = crops
    return dict(out)


def update(prepared: Prepared, tag: str, path: Path, besides: Iterable[str] = ()) -> list[Coverage]:
    """Write the catalogue of a language anew, for the manual at `path`; translations are kept.

    A sentence that is nowhere any more leaves; if a new one is much like it, its translation is kept for that one, as
    doubtful. A sentence of the database that this manual has no place for stays where it is.
    """
    manual = prepared.manual
    assert manual is not None
    known: Catalogue = prepared.db.languages[tag]  # type: ignore[attr-defined]
    protocols = path.parent / manual.protocols_folder if manual.protocols_folder else shipped_protocols()
    database, own = protocols / "languages", path.parent / manual.languages_folder
    files, entries = wanted(prepared, tag, besides), dict(known.entries)
    asked = {sentence for sentences in files.values() for sentence in sentences}
    alive = set(database_strings(prepared.db))
    idle = {sentence: entry for sentence, entry in entries.items() if sentence not in asked}
    for sentence in idle.keys() & alive:
        files.setdefault(Path(idle[sentence].file).stem, {})[sentence] = set()
    for sentence in asked - entries.keys():
        if old := get_close_matches(sentence, idle.keys() - alive, 1, ALIKE):
            entries[sentence] = replace(idle[old[0]], sentence=sentence, doubtful=True)
    covered = []
    for name, sentences in sorted(files.items()):
        folder = (own if name == OWN else database) / subtag(tag)
        folder.mkdir(parents=True, exist_ok=True)
        about = f"{known.language.name}: {name}. A line that starts with #. names crops that use the sentence."
        put(write_sentences(sentences, entries, subtag(tag), about), folder / f"{name}.po")
        found = [entries[s] for s in sentences if s in entries]
        doubtful = sum(e.doubtful for e in found)
        covered.append(Coverage(f"{name}.po", len(sentences), len(found) - doubtful, doubtful))
    return covered


def program_sentences() -> Iterator[str]:
    """Every sentence that stands in the program's own code and templates."""
    package = Path(earleaf.__file__).parent
    for path in sorted(package.rglob("*.html")):
        yield from (match.group(1) for match in IN_TEMPLATE.finditer(path.read_text("utf-8")))
    for path in sorted(package.rglob("*.py")):
        module = ast.parse(path.read_text("utf-8"))
        for node in ast.walk(module):
            if isinstance(node, ast.Call) and node.args and _name(node.func) == "say":
                yield from _literals(node.args[0])
        if path.parent.name == "views" or path.name == "describe.py":
            yield from _tables(module)


def _tables(module: ast.Module) -> Iterator[str]:
    """The sentences that stand in tables: a manual may need tomorrow what the pages of this one do not show."""
    for node in module.body:
        if isinstance(node, ast.Assign | ast.AnnAssign) and isinstance(node.value, ast.Dict):
            for value in node.value.values:
                yield from _literals(value)


def _name(function: ast.expr) -> str:
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


def _literals(node: ast.expr) -> Iterator[str]:
    """The text of a literal, and of both arms of a choice between two."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _literals(node.body)
        yield from _literals(node.orelse)


def database_strings(db: Database) -> Iterator[str]:
    """Every text of the database without labs and regions."""
    records: Iterable[Any] = [
        *(*db.crops.values(), *db.left_out.values()),
        *(*db.parts.values(), *db.units.values(), *db.cautions.values(), *db.faults.values()),
        *(*db.handling.values(), *db.groups.values(), *db.systems.values()),
        *(*db.sampling.values(), *db.handling_rows.values(), *db.timing.values()),
    ]
    yield from strings(records)


def strings(value: Any) -> Iterator[str]:
    """Every text inside a value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Record):
        yield from strings(value.model_dump())
    elif isinstance(value, dict):
        yield from strings(list(value.values()))
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from strings(inner)

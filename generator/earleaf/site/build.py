"""From a manual.yml to a published site. The phases, in order, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from ..database.check import check
from ..database.load import Database
from ..database.manual import common_root, load_manual
from ..database.rules.base import Context
from ..model.finding import Finding
from ..model.manual import Manual
from ..views.words import Words
from .cache import Cache
from .chapters import Chapter, check_chapter, read_chapters
from .drawings import undrawn
from .plain_shell import plain_files
from .publish import publish
from .tree import Tree, build_tree


@dataclass
class Prepared:
    """A manual read and checked. `errors` says whether it may be built."""

    manual: Manual | None
    db: Database
    chapters: list[Chapter] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    @property
    def errors(self) -> list[Finding]:
        return [f for f in self.findings if f.level == "error"]


def prepare(path: Path, today: date) -> Prepared:
    """Read the manual and everything it names; run every rule."""
    manual, db = load_manual(path)
    if manual is None:
        return Prepared(None, db, findings=sorted(set(db.findings)))
    chapters: list[Chapter] = []
    found: list[Finding] = []
    if manual.chapters_folder:
        folder = path.parent / manual.chapters_folder
        if folder.is_dir():
            chapters, found = read_chapters(folder, common_root(path.parent, folder))
            found += [f for c in chapters for f in check_chapter(db, c)]
        else:
            found.append(
                Finding(
                    path.name,
                    0,
                    "missing-file",
                    f"chapters_folder {manual.chapters_folder!r} is not there",
                    "give the folder of your Markdown chapters, from the manual's own folder",
                )
            )
    found += check(db, Context(today, demo=manual.invented))
    if not any(f.level == "error" for f in (*found, *db.findings)):
        found += undrawn(db)
    return Prepared(manual, db, chapters, sorted(set(found)))


def grow(prepared: Prepared, cache: Cache | None = None) -> tuple[Tree, Words]:
    """The tree of a checked manual; with cards if there is a cache for them. Raises CannotBuild."""
    assert prepared.manual is not None
    words = Words(units=prepared.db.units)
    return build_tree(prepared.db, prepared.manual, prepared.chapters, words, cache), words


def build_plain(prepared: Prepared, out: Path, cache: Cache | None = None) -> Tree:
    """Publish the plain site into `out`. Raises OSError, NotOurs or CannotBuild; the old site then stays."""
    assert prepared.manual is not None
    tree, words = grow(prepared, cache)
    publish(plain_files(tree, prepared.manual, words), out)
    return tree

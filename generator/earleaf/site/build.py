"""From a manual.yml to a published site. The phases, in order, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from ..database.check import check
from ..database.files import is_folder
from ..database.languages import is_source, subtag
from ..database.load import Database
from ..database.manual import common_root, load_manual
from ..database.rules.base import Context
from ..model.feed_state import FeedState
from ..model.finding import Finding
from ..model.manual import Manual
from ..rendering.pages import up
from .cache import Cache
from .cards import CannotBuild
from .chapters import Chapter, check_chapter, read_chapters
from .drawings import undrawn
from .editions import Edition, editions, joined, untranslated
from .feed_file import read_feeds, remembered
from .handouts import Handouts, all_handouts
from .keeping import kept_files, with_keeping
from .plain_shell import plain_files
from .publish import started, swap, write
from .tree import Tree, build_tree
from .whole import whole
from .workers import spread


@dataclass
class Prepared:
    """A manual read and checked, its chapters by language. `errors` says whether it may be built."""

    manual: Manual | None
    db: Database
    chapters: dict[str, list[Chapter]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    feeds: FeedState = field(default_factory=FeedState)
    feeds_path: Path | None = None

    @property
    def errors(self) -> list[Finding]:
        return [f for f in self.findings if f.level == "error"]


def prepare(path: Path, today: date) -> Prepared:
    """Read the manual and everything it names; run every rule."""
    manual, db = load_manual(path)
    if manual is None:
        return Prepared(None, db, findings=sorted(set(db.findings)))
    chapters: dict[str, list[Chapter]] = {}
    found: list[Finding] = []
    if manual.chapters_folder:
        folder = path.parent / manual.chapters_folder
        if is_folder(folder):
            root = common_root(path.parent, folder)
            for tag in manual.languages:
                chapters[tag], faults = read_chapters(folder if is_source(tag) else folder / subtag(tag), root)
                found += [*faults, *(f for c in chapters[tag] for f in check_chapter(db, c))]
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
    feeds_path = path.parent / manual.feeds_file if manual.feeds_file else None
    feeds, damaged = read_feeds(feeds_path)
    found += damaged
    found += check(db, Context(today, demo=manual.invented))
    if not any(f.level == "error" for f in (*found, *db.findings)):
        found += undrawn(db)
    return Prepared(manual, db, chapters, sorted(set(found)), feeds, feeds_path)


def grow(
    prepared: Prepared, cache: Cache | None = None, handouts: Handouts = all_handouts
) -> list[tuple[Edition, Tree]]:
    """An edition and its tree for each language; with cards if there is a cache for them. Raises CannotBuild.

    `handouts` is for those who have some of them already.
    """
    assert prepared.manual is not None
    trees = []
    for edition in editions(prepared.manual, prepared.db, prepared.chapters):
        tree = build_tree(
            edition.db,
            edition.manual,
            edition.chapters,
            edition.words,
            cache,
            prepared.feeds,
            source=edition.source,
            home=up(edition.prefix) if edition.prefix else "",
            handouts=handouts,
        )
        if tree.missing or edition.lacks_start:
            raise CannotBuild(untranslated(edition, tree.missing))
        trees.append((edition, tree))
    with_keeping(trees)
    return whole(joined(trees))


def finished(trees: list[tuple[Edition, Tree]], *, keep_lists: bool = True) -> dict[str, bytes]:
    """Every file of the plain site, by name; `keep_lists`: those of what may be kept on a phone. Raises CannotBuild."""
    files: dict[str, bytes] = {}
    for edition, tree in trees:
        files |= _files(edition, tree, keep_lists=keep_lists)
    _refuse([fault for edition, _ in trees for fault in untranslated(edition, edition.words.missing)])
    return files


def _files(edition: Edition, tree: Tree, *, keep_lists: bool = True) -> dict[str, bytes]:
    made = plain_files(tree, edition.manual, edition.words)
    if keep_lists:
        made |= kept_files(made, edition, tree)
    return {f"{edition.prefix}{name}": content for name, content in made.items()}


def _refuse(lacking: list[Finding]) -> None:
    if lacking:
        raise CannotBuild(lacking)


def build_plain(prepared: Prepared, out: Path, cache: Cache | None = None) -> list[tuple[Edition, Tree]]:
    """Publish the plain site into `out`. Raises OSError, NotOurs or CannotBuild; the old site then stays.

    Editions are finished and written side by side.
    """
    trees = grow(prepared, cache)
    with started(out) as new:
        faults = spread(_written, (trees, new), range(len(trees)), chunk=1, few=2)
        _refuse([fault for of_edition in faults for fault in of_edition])
        with remembered(prepared.feeds_path, prepared.feeds, trees[0][1].feeds):
            swap(new, out)
    return trees


def _written(shared: tuple[list[tuple[Edition, Tree]], Path], i: int) -> list[Finding]:
    """Put the files of one edition into the new folder; what its shell says and the language lacks."""
    trees, new = shared
    edition, tree = trees[i]
    write(_files(edition, tree), new)
    return untranslated(edition, edition.words.missing)

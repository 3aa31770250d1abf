"""Parts of a site put together into the site that one machine would have built, byte for byte.

Joint pages are made here, by the same code as ever; what they must know of the handouts stands in the parts. The files
of the parts stay on disk until they are copied, so joining needs little memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

from ..database.load import Database
from ..model.manual import Manual
from ..rendering.pages import Pages
from ..rendering.part_file import read
from .build import Prepared, grow
from .cache import Cache
from .cards import CannotBuild, Press
from .editions import Edition, untranslated
from .feed_file import remembered
from .handouts import CropHandouts, assembled
from .keeping import kept_files
from .parts import ANY, FILES, SUM, TOLD, Digests, Part, inputs, not_left_out, plan, summed
from .plain_shell import plain_files
from .publish import publish
from .tree import Tree

NAMED = 3
"""So many names are told of a long list."""


class BadPart(Exception):
    """Parts that cannot be joined. The message says which, and what to do."""


def join(prepared: Prepared, folders: Sequence[Path], out: Path, cache: Cache | None) -> list[tuple[Edition, Tree]]:
    """Publish the site of these parts into `out`. Raises BadPart, CannotBuild, OSError or NotOurs; the old site stays.

    The cache is asked only if the parts hold cards.
    """
    parts = {folder: read_part(folder) for folder in folders}
    _check(prepared, parts)
    kept = {tag: _kept(tag, parts) for tag in {part.language for part in parts.values()}}
    printed = any(part.printed for part in parts.values())
    trees = grow(prepared, cache if printed else None, _Told(list(parts.values())))
    if lacking := [fault for edition, tree in trees for fault in not_left_out(edition, tree.left_out)]:
        raise CannotBuild(lacking)
    files = _site(trees, kept)
    publish(files, out, during=remembered(prepared.feeds_path, prepared.feeds, trees[0][1].feeds))
    return trees


def read_part(folder: Path) -> Part:
    """What a part tells of itself. Raises BadPart."""
    try:
        content, told = (folder / TOLD).read_bytes(), (folder / SUM).read_bytes()
        if told != summed(content):
            raise _damaged(folder, TOLD)
        part = read(content, Part)
    except OSError:
        said = f"{folder} is no part of a site: there are no {TOLD} and {SUM} to read in it"
        raise BadPart(f"{said}; give the folders that `earleaf build --plain --part` made") from None
    except ValueError:
        raise _damaged(folder, TOLD) from None
    if any(name.startswith("/") or ".." in name.split("/") for name, _ in part.files()):
        raise _damaged(folder, TOLD)
    return part


def _damaged(folder: Path, name: str) -> BadPart:
    said = f"{folder}: {name} is gone or damaged"
    return BadPart(f"{said}; copy the part again, or build it again")


def _check(prepared: Prepared, parts: Mapping[Path, Part]) -> None:
    """BadPart unless all parts are from this manual, and every language and lab is there once."""
    wanted, ours = plan(prepared), inputs(prepared)
    seen: dict[str, Path] = {}
    for folder, part in parts.items():
        _same(folder, part.inputs, ours)
        once = part.once if ANY in part.shares else prepared.db.crops
        if any(list(of_lab) != list(prepared.db.crops) for of_lab in (once, *part.shares.values())):
            raise _damaged(folder, TOLD)
        for name in part.names:
            if name in seen:
                raise BadPart(f"{name} is in {seen[name]} and in {folder}; give each part once")
            seen[name] = folder
    if missing := [name for name in wanted if name not in seen]:
        raise BadPart(f"parts are missing: {_few(missing)}; build each with `earleaf build --plain --part`")
    with_cards = {part.printed: folder for folder, part in parts.items()}
    if len(with_cards) > 1:
        said = f"{with_cards[True]} has cards and {with_cards[False]} has none"
        raise BadPart(f"{said}; build all parts with --no-cards, or none of them")


def _same(folder: Path, theirs: Digests, ours: Digests) -> None:
    other = sorted(name for name in ours.keys() | theirs.keys() if ours.get(name) != theirs.get(name))
    if other:
        said = f"{folder} was not made from what is here: {_few(other)} differ"
        raise BadPart(f"{said}{'s' * (len(other) == 1)}; build this part again")


def _few(names: Sequence[str]) -> str:
    rest = len(names) - NAMED
    return ", ".join(names[:NAMED]) + (f" and {rest} more" if rest > 0 else "")


@dataclass(frozen=True)
class _Told:
    """Gives a build the handouts of every crop as the parts tell of them."""

    parts: Sequence[Part]

    def __call__(self, db: Database, manual: Manual, pages: Pages, press: Press | None) -> Iterator[CropHandouts]:
        mine = [part for part in self.parts if part.language == pages.words.language]
        shares = {lab: of_lab for part in mine for lab, of_lab in part.shares.items()}
        wholes = {crop: whole for part in mine for crop, whole in part.once.items()}
        for crop in db.crops.values():
            pages.words.missing.clear()
            of_crop = {None if lab == ANY else lab: shares[lab][crop.crop] for lab in (ANY, *db.labs)}
            made = assembled(db, manual, pages, crop, of_crop, wholes[crop.crop])
            yield replace(made, missing=frozenset(pages.words.missing))
            pages.words.missing.clear()


@dataclass(frozen=True)
class _Kept:
    """A file of a part."""

    folder: Path
    name: str
    digest: str

    def read(self) -> bytes:
        """Its bytes. Raises BadPart if it is gone, or not as it was made."""
        try:
            content = (self.folder / FILES / self.name).read_bytes()
        except OSError:
            raise _damaged(self.folder, f"{FILES}{self.name}") from None
        if sha256(content).hexdigest() != self.digest:
            raise _damaged(self.folder, f"{FILES}{self.name}")
        return content


class _Shelf(Mapping[str, bytes]):
    """Files by name; those of parts are read when they are asked for."""

    def __init__(self, files: dict[str, bytes | _Kept]) -> None:
        self._files = files

    def __getitem__(self, name: str) -> bytes:
        found = self._files[name]
        return found.read() if isinstance(found, _Kept) else found

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)


def _kept(language: str, parts: Mapping[Path, Part]) -> dict[str, _Kept]:
    """The files of all parts of a language. Parts may share a drawing; it must be the same one. Raises BadPart."""
    found: dict[str, _Kept] = {}
    for folder, part in parts.items():
        if part.language != language:
            continue
        for name, digest in part.files():
            known = found.setdefault(name, _Kept(folder, name, digest))
            if known.digest != digest:
                raise BadPart(f"{known.folder} and {folder} differ in {name}; build both again")
    return found


def _site(trees: Sequence[tuple[Edition, Tree]], kept: Mapping[str, dict[str, _Kept]]) -> _Shelf:
    """Every file of the site: joint pages from the trees, the rest from the parts. Raises CannotBuild."""
    whole: dict[str, bytes | _Kept] = {}
    for edition, tree in trees:
        ready = kept[edition.tag]
        files: dict[str, bytes | _Kept] = {**plain_files(tree, edition.manual, edition.words, ready=ready), **ready}
        files |= kept_files(_Shelf(files), edition, tree)
        whole |= {f"{edition.prefix}{name}": content for name, content in files.items()}
    if lacking := [fault for edition, _ in trees for fault in untranslated(edition, edition.words.missing)]:
        raise CannotBuild(lacking)
    return _Shelf(whole)

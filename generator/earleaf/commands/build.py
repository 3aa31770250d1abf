"""`earleaf build`: the site, one part of a large site, or one zip to carry."""

from __future__ import annotations

import time
from argparse import Namespace
from collections.abc import Callable, Sequence
from pathlib import Path

from ..site.build import Prepared, build_plain
from ..site.cache import Cache, usual_folder
from ..site.editions import Edition, left_out
from ..site.offline import Wanted, make_copy
from ..site.parts import make_part
from ..site.publish import recover
from ..site.tree import Tree
from .common import FINE, Today, find_manual, sound, tell, usage, writing

Make = Callable[[Namespace, Path, Path, Prepared], int]
"""Fills a folder: what was typed, the folder, the path of the manual, and the manual; gives the number of pages."""


def run(args: Namespace, today: Today) -> int:
    """Build what was asked for. The old one stays until the new one is complete."""
    if args.part and (args.offline or not args.plain):
        raise usage("--part goes with --plain, and not with --offline")
    if not args.offline and (args.language or args.lab or args.crop):
        raise usage("--language, --lab and --crop go with --offline; the site holds all of them")
    if args.offline:
        return _copy(args, args.out or Path("copy.zip"), today)
    if args.part:
        out = args.out or Path(f"part-{args.part.replace('/', '-')}")
        return fill(args, out, today, _part, f"Join {out} with the other parts")
    return fill(args, args.out or Path("site"), today, _plain if args.plain else _mkdocs)


def fill(args: Namespace, out: Path, today: Today, make: Make, then: str = "") -> int:
    """Have `make` fill a folder. Tell how many pages that gave, how long it took, and what to do then."""
    started = time.perf_counter()
    recover(out)
    manual = find_manual(args.manual)
    prepared, _ = sound(manual, today, f"not built; {out} is as it was")
    with writing("built", out, prepared.db):
        pages = make(args, out, manual, prepared)
    seconds = time.perf_counter() - started
    tell(prepared.findings)
    then = then or f"Open {out / 'index.html'}"
    print(f"{pages} pages in {seconds:.1f} s. {then}")
    return FINE


def count_pages(trees: Sequence[tuple[Edition, Tree]], prepared: Prepared) -> int:
    """The pages of all editions; what an edition leaves out is added to the findings."""
    prepared.findings += [finding for one in trees for finding in left_out(*one)]
    return sum(len(tree.pages) for _, tree in trees)


def _plain(args: Namespace, out: Path, _manual: Path, prepared: Prepared) -> int:
    return count_pages(build_plain(prepared, out, _cache(args)), prepared)


def _part(args: Namespace, out: Path, _manual: Path, prepared: Prepared) -> int:
    return make_part(prepared, args.part, out, _cache(args))


def _mkdocs(args: Namespace, out: Path, manual: Path, _prepared: Prepared) -> int:
    from ..site.mkdocs_shell import build_mkdocs

    return build_mkdocs(manual, out, cards=not args.no_cards)


def _copy(args: Namespace, out: Path, today: Today) -> int:
    prepared, _ = sound(find_manual(args.manual), today, f"not built; {out} is as it was")
    wanted = Wanted(args.language, tuple(args.crop), args.lab)
    with writing("built", out, prepared.db):
        edition, tree, size = make_copy(prepared, wanted, out, _cache(args))
        prepared.findings += left_out(edition, tree)
    tell(prepared.findings)
    print(f"{out}: {size / 1e6:.1f} MB, {edition.name}. Unpack it, then open index.html in its folder")
    return FINE


def _cache(args: Namespace) -> Cache | None:
    """Where finished cards are kept; none where no cards are wanted."""
    return None if args.no_cards else Cache(usual_folder())

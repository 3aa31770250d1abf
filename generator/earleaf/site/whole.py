"""What the site has once, not once for each language."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from .data_files import DATA, data_files
from .editions import Edition
from .sitemap import robots, sitemap
from .tree import Tree, without

Trees = Sequence[tuple[Edition, Tree]]


def whole(trees: Trees) -> list[tuple[Edition, Tree]]:
    """The trees with data, sitemap and robots.txt in the first one only: all of the site finds them at its root."""
    (edition, first), *rest = trees
    made = [name for name in first.files if name.startswith(DATA)]
    files = first.files | data_files([e for e, _ in trees], without(edition.db, first.left_out), made)
    files |= {"sitemap.xml": sitemap(trees), "robots.txt": robots(edition)}
    others = [
        (e, replace(tree, files={name: c for name, c in tree.files.items() if not name.startswith(DATA)}))
        for e, tree in rest
    ]
    return [(edition, replace(first, files=files)), *others]

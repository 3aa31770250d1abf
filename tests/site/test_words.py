"""Every sentence goes through the catalogue: a made-up language marks each, and nothing unmarked is left.

Values that are put into a sentence stand inside its marks, so they could hide here: test_editions.py finds those.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from lxml import html

from earleaf.site.build import Prepared
from earleaf.site.tree import Tree, build_tree
from earleaf.views.words import Words


class Marked(dict[str, str]):
    """Translates any sentence by putting marks round it."""

    def get(self, key: str, default: str | None = None) -> str:  # type: ignore[override]
        return f"«{key}»"


@pytest.fixture(scope="module")
def marked(demo: Prepared) -> Tree:
    assert demo.manual is not None
    return build_tree(demo.db, demo.manual, [], Words("qq", Marked(), demo.db.units))


def unmarked(body: str) -> Iterator[str]:
    """Words of a body outside the marks; citations, published rows and names of labs are quoted, not translated."""
    tree = html.fromstring(body)
    for skipped in tree.xpath(
        "//*[@data-row or contains(@class,'el-sources') or contains(@class,'el-sourcelist')"
        " or contains(@class,'el-labs') or @lang='la' or contains(@class,'el-foot')]"
    ):
        skipped.drop_tree()
    text = " ".join(tree.xpath("//text()"))
    while "«" in text:
        shorter = re.sub(r"«[^«»]*»", " ", text)
        if shorter == text:
            break
        text = shorter
    yield from re.findall(r"[A-Za-z]{4,}", text)


@pytest.mark.parametrize(
    "address",
    [
        "crops/corn/tassel-to-silk/",
        "crops/wheat/gs30-nitrogen/",
        "crops/grape/",
        "crops/",
        "labs/pebblecross/corn/tassel-to-silk/",
        "stages/corn-leaf-collar/",
    ],
)
def test_no_sentence_bypasses_the_catalogue(marked: Tree, demo: Prepared, address: str) -> None:
    names = {w for lab in demo.db.labs.values() for w in lab.name.split()}
    left = set(unmarked(marked.pages[address].body)) - names
    assert not left

"""The search, tested with a Python copy of the scoring in `generator/earleaf/site/assets/search.js`.

It runs over the published `search/search_index.json`. Change one and you must change the other.
"""

from __future__ import annotations

import json
import re
from typing import Any
from unicodedata import normalize

import pytest
from site_tree import SiteTree

from earleaf.database.load import Database
from earleaf.views.common import protocol_address


def fold(text: str) -> str:
    """Small letters without accents."""
    return "".join(c for c in normalize("NFD", text.lower()) if not "\u0300" <= c <= "\u036f")


def split_like_javascript(text: str) -> list[str]:
    return re.split(r"[^A-Za-z0-9_]+", text)


def search(docs: list[dict[str, Any]], query: str) -> list[str]:
    """The scoring of search.js: every word must be found; whole words of the title count most."""
    hits = []
    words = fold(query).split()
    for doc in docs:
        title, text = fold(doc["title"]), fold(doc["text"])
        score = 0.0
        for word in words:
            if word in split_like_javascript(title):
                score += 12
            elif word in title:
                score += 6
            elif word in text:
                score += 1
            else:
                break
        else:
            score += 2 if " " + " ".join(words) in " " + title else 0
            score += 3 if doc["location"].startswith("crops/") else 0
            hits.append((score - len(title) / 200, doc["location"]))
    return [place for _, place in sorted(hits, key=lambda h: -h[0])]


QUERIES = {
    "corn tassel": "crops/corn/tassel-to-silk/",
    "corn ear leaf": "crops/corn/tassel-to-silk/",
    "corn silk": "crops/corn/tassel-to-silk/",
    "stalk nitrate": "crops/corn/stalk-nitrate/",
    "soybean bloom": "crops/soybean/bloom/",
    "soybean pods": "crops/soybean/pods/",
    "wheat flag leaf": "crops/wheat/heading-flag-leaf/",
    "wheat boot": "crops/wheat/boot/",
    "potato petiole": "crops/potato/",
    "cotton petiole": "crops/cotton/petiole-nitrate/",
    "apple": "crops/apple/",
    "grape veraison": "crops/grape/",
    "grape bloom": "crops/grape/",
    "alfalfa": "crops/alfalfa/",
    "pecan": "crops/pecan/",
    "which leaf tomato": "crops/tomato/",
    "tomato": "crops/tomato/",
    "maize": "crops/corn/",
    "rice panicle": "crops/rice/",
    "sorghum heading": "crops/sorghum/heading/",
    "strawberry bloom": "crops/strawberry/bloom/",
    "larkmoor": "labs/larkmoor/",
    "mailing": "drying-and-mailing/",
    "feekes": "stages/small-grain-feekes/",
    "sources": "sources/",
}
"""What a scout types, and where the first hit must lead: the page, or any page of a crop where two fit."""
TWO_FIT = ("crops/grape/", "crops/rice/", "crops/potato/")


@pytest.fixture(scope="module")
def docs(site: SiteTree) -> list[dict[str, Any]]:
    return json.loads(site.files["search/search_index.json"])["docs"]


@pytest.mark.parametrize(("query", "wanted"), QUERIES.items(), ids=[q.replace(" ", "-") for q in QUERIES])
def test_a_scout_finds_the_page_first(docs: list[dict[str, Any]], query: str, wanted: str) -> None:
    hits = search(docs, query)
    either = wanted in TWO_FIT
    assert hits and (hits[0].startswith(wanted) if either else hits[0] == wanted), hits[:6]


@pytest.mark.parametrize(
    ("query", "wanted"),
    [
        ("maíz", "crops/corn/"),
        ("maiz", "crops/corn/"),
        ("tomate flor", "crops/tomato/"),
        ("algodon peciolo", "crops/cotton/"),
    ],
)
def test_a_scout_finds_the_page_in_spanish_with_and_without_accents(spanish: SiteTree, query: str, wanted: str) -> None:
    docs = json.loads(spanish.files["search/search_index.json"])["docs"]
    assert search(docs, query)[0].startswith(wanted)


def test_every_word_must_be_found(docs: list[dict[str, Any]]) -> None:
    assert search(docs, "corn zzzz") == [] and search(docs, "") != []


def test_the_index_leads_to_pages_and_holds_every_crop(
    site: SiteTree, docs: list[dict[str, Any]], manual_db: Database
) -> None:
    places = [d["location"] for d in docs]
    assert len(places) == len(set(places)) and set(places) <= site.pages.keys()
    base = {protocol_address(c, p) for c in manual_db.crops.values() for p in c.protocols}
    assert base | {f"crops/{c}/" for c in manual_db.crops} <= set(places)


def test_the_search_copy_matches_the_script(site: SiteTree) -> None:
    """Reminds whoever changes the script that the copy above must follow."""
    script = site.files["assets/search.js"].decode()
    for piece in (
        "fold(d.title)",
        "fold(box.value)",
        "score += 12",
        "score += 6",
        "score += 1",
        "title.length / 200",
        r"split(/\W+/)",
    ):
        assert piece in script

"""What a scout with an old card finds: behind its code, on the page of changes, and in the feed.

Outside authority: RFC 4287 (Atom) and RFC 3339 (its dates); feedparser reads the feed as other programs do.
"""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import feedparser
import pytest
from lxml import etree, html
from lxml.html import HtmlElement
from site_tree import SiteTree, words_of

from earleaf.site.build import build_plain, prepare
from small_manual import FILES, write

ATOM = {"a": "http://www.w3.org/2005/Atom"}
SITE, TEAM = "https://manual.fernhollow.example/", "Fernhollow Scouts (invented)"
CORN = "protocols/crops/corn.yml"
SECOND = """\
  aliases: [tassel]
  version: 3
  changes:
  - {version: 2, on: 2026-11-18, what: Take the leaf with its stalk.}
  - {version: 3, on: 2026-11-20, what: {say: "Take 20 leaves, not 15.", source: uni-a}}
"""
RETIRED = """\
retired:
- protocol: late-silk
  title: late silk
  short_id: clsk
  on: 2026-11-22
  why: Nobody tests this leaf any more.
  replaced_by: corn/silk
- protocol: husk
  title: husk
  short_id: chsk
  on: 2026-11-21
  why: No source gives it.
protocols:
"""


def changed(folder: Path) -> Path:
    text = FILES[CORN].replace("  aliases: [tassel]\n", SECOND).replace("protocols:\n", RETIRED, 1)
    ids = FILES["protocols/published-ids.txt"] + "corn/late-silk clsk\ncorn/husk chsk\n"
    return write(folder, {**FILES, CORN: text, "protocols/published-ids.txt": ids})


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, today: date) -> SiteTree:
    """The small manual with one card in its third version, and two that are no more."""
    folder = tmp_path_factory.mktemp("changed")
    prepared = prepare(changed(folder), today)
    assert not prepared.errors, "\n".join(map(str, prepared.errors))
    build_plain(prepared, folder / "site")
    return SiteTree(folder / "site")


def links(small: SiteTree, address: str) -> set[str]:
    file = f"{address}index.html"
    return {small.resolve(file, x)[0] for x in small.html_files[file].xpath("//main//a/@href")}


@pytest.mark.parametrize(("code", "leads"), [("c/cslk/", "crops/"), ("c/cslk/stonewell/", "labs/stonewell/")])
def test_the_code_of_a_changed_card_tells_the_newest_version(small: SiteTree, code: str, leads: str) -> None:
    """It waits for the reader: the card in the hand must be compared first."""
    page, said = small.pages[code], words_of(small.main(code))
    assert not page.xpath("//meta[@http-equiv='refresh']")
    assert "The newest is card 3, of 20 November 2026." in said
    assert said.index("Take 20 leaves, not 15.") < said.index("Take the leaf with its stalk.")
    assert f"{leads}corn/silk/index.html" in links(small, code)
    figure = page.xpath("//*[contains(text(), 'Take 20 leaves')]/ancestor-or-self::*/@data-source")
    assert figure == ["uni-a"]


def test_the_code_of_a_first_card_leads_straight_on(small: SiteTree) -> None:
    assert "c/cyng/index.html" in small.redirects and "c/cyng/" not in small.pages


def test_a_retired_card_says_so_and_names_what_takes_its_place(small: SiteTree) -> None:
    said = words_of(small.main("c/clsk/"))
    assert "no longer in use" in said and "Nobody tests this leaf any more." in said
    assert "crops/corn/silk/index.html" in links(small, "c/clsk/")
    assert "labs/stonewell/corn/silk/index.html" in links(small, "c/clsk/stonewell/")
    assert "no longer in use" in words_of(small.main("c/chsk/")) and "crops/index.html" in links(small, "c/chsk/")


def test_the_handout_of_a_retired_card_leads_to_that_page(small: SiteTree) -> None:
    for address, code in (
        ("crops/corn/late-silk/", "c/clsk/"),
        ("labs/stonewell/corn/late-silk/", "c/clsk/stonewell/"),
    ):
        page: HtmlElement = small.redirects[f"{address}index.html"]
        to = page.xpath("string(//meta[@http-equiv='refresh']/@content)").split("url=", 1)[1]
        assert small.resolve(f"{address}index.html", to)[0] == f"{code}index.html"


def test_the_page_of_changes_has_the_newest_first(small: SiteTree) -> None:
    rows = [words_of(row) for row in small.main("changes/").xpath(".//ul[@class='el-changed']/li")]
    found = [re.findall(r"c/(\w{4})\s*·\s*(card \d|no longer in use)", row)[0] for row in rows]
    assert found == [("clsk", "no longer in use"), ("chsk", "no longer in use"), ("cslk", "card 3"), ("cslk", "card 2")]
    assert "c/cslk/index.html" in links(small, "changes/")
    assert small.pages["changes/"].xpath("//link[@type='application/atom+xml']/@href") == [f"{SITE}changes.atom"]


def test_where_nothing_changed_the_page_says_so(pages_only: Path) -> None:
    said = (pages_only / "changes/index.html").read_text("utf-8")
    assert "No card has changed yet. Each one is still card 1." in said


def test_other_programs_read_the_feed(small: SiteTree) -> None:
    feed = feedparser.parse(small.files["changes.atom"])
    assert not feed.bozo and feed.version == "atom10"
    assert (feed.feed.id, feed.feed.language, feed.feed.author) == (f"{SITE}changes.atom", "en", TEAM)
    newest = feed.entries[0]
    assert {e.id for e in feed.entries} >= {f"{SITE}c/cslk/#3", f"{SITE}c/cslk/#2", f"{SITE}c/clsk/#end"}
    assert newest.updated == max(e.updated for e in feed.entries) == feed.feed.updated
    by_id = {e.id: e for e in feed.entries}
    assert by_id[f"{SITE}c/cslk/#3"].summary == "Take 20 leaves, not 15."
    assert by_id[f"{SITE}c/cslk/#3"].updated == "2026-11-20T00:00:00Z"


MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")


@pytest.mark.parametrize("which", ["small", "demo", "spanish"])
def test_the_feed_keeps_to_rfc_4287(which: str, small: SiteTree, pages_only: Path) -> None:
    """4.1.1 and 4.1.2: what a feed and an entry must have, once; 4.2.6: ids are IRIs and no two are the same."""
    folder = {"small": small.folder, "demo": pages_only, "spanish": pages_only / "es"}[which]
    root = etree.fromstring((folder / "changes.atom").read_bytes())
    assert root.tag == f"{{{ATOM['a']}}}feed"
    entries = root.findall("a:entry", ATOM)
    for element in (root, *entries):
        for name in ("id", "title", "updated"):
            assert len(element.findall(f"a:{name}", ATOM)) == 1, name
        assert MOMENT.fullmatch(element.findtext("a:updated", namespaces=ATOM) or "")
    assert root.findtext("a:author/a:name", namespaces=ATOM)
    rels = [(x.get("rel"), x.get("type")) for x in root.findall("a:link", ATOM)]
    assert rels == [("self", "application/atom+xml"), ("alternate", "text/html")]
    ids = [e.findtext("a:id", namespaces=ATOM) or "" for e in entries]
    assert entries and len(set(ids)) == len(ids) and all(x.startswith("https://") for x in ids)
    for entry in entries:
        (link,) = entry.findall("a:link[@rel='alternate']", ATOM)
        assert entry.findtext("a:summary", namespaces=ATOM)
        path = (link.get("href") or "").split(".example/", 1)[1].removeprefix("es/")
        assert (folder / path / "index.html").is_file(), path
    days = [e.findtext("a:updated", namespaces=ATOM) or "" for e in entries]
    assert days == sorted(days, reverse=True)


def test_changes_are_in_the_data(small: SiteTree) -> None:
    one = json.loads(small.files["data/v1/crops/corn/silk.json"])
    assert [c["version"] for c in one["changes"]] == [2, 3] and one["changes"][1]["source"] == ["uni-a"]
    index = json.loads(small.files["data/v1/index.json"])
    corn = next(c for c in index["crops"] if c["id"] == "corn")
    assert [r["replaced_by"] for r in corn["retired"]] == ["corn/silk", None]
    listed = (small.files["sitemap.xml"]).decode()
    assert "crops/corn/silk/" in listed and "/c/" not in listed
    assert html.fromstring(small.files["c/chsk/index.html"]) is not None

"""The list of pages for search engines.

Outside authority: the protocol of sitemaps.org (0.9), hreflang in sitemaps as XHTML links, RFC 9309 for robots.txt as
Python's own robotparser reads it.
"""

from __future__ import annotations

import re
from datetime import date
from urllib.robotparser import RobotFileParser

import pytest
from lxml import etree
from site_tree import SiteTree, report

SITE = "https://manual.wrenfold.example/"
NS = {"s": "http://www.sitemaps.org/schemas/sitemap/0.9", "x": "http://www.w3.org/1999/xhtml"}
MOST_URLS, MOST_BYTES = 50_000, 52_428_800
"""Limits of sitemaps.org."""


@pytest.fixture(scope="module")
def urls(tree: SiteTree) -> dict[str, etree._Element]:
    content = tree.files["sitemap.xml"]
    assert len(content) < MOST_BYTES
    root = etree.fromstring(content)
    assert root.tag == f"{{{NS['s']}}}urlset"
    found = root.findall("s:url", NS)
    assert 0 < len(found) <= MOST_URLS
    by_address = {url.findtext("s:loc", namespaces=NS) or "": url for url in found}
    assert len(by_address) == len(found)
    return by_address


def test_every_page_is_listed_once_and_nothing_else(tree: SiteTree, urls: dict[str, etree._Element]) -> None:
    left_out = ("search/", "c/", "embed/", "es/search/", "es/c/", "es/embed/")
    pages = {f"{SITE}{a}" for a in tree.pages if not a.startswith(left_out)}
    assert not (wrong := sorted(pages ^ urls.keys())), report(wrong)


def test_languages_point_at_each_other(tree: SiteTree, urls: dict[str, etree._Element]) -> None:
    """Each entry names itself and its other languages, as the head of its page does; and they name it back."""
    seen = 0
    for address, url in urls.items():
        told = {link.get("hreflang"): link.get("href") for link in url.findall("x:link", NS)}
        page = tree.pages[address.removeprefix(SITE)]
        head = {x.get("hreflang"): x.get("href") for x in page.xpath("/html/head/link[@rel='alternate'][@hreflang]")}
        assert told == head, address
        for other in told.values():
            seen += 1
            back = {link.get("href") for link in urls[other or ""].findall("x:link", NS)}
            assert address in back
    assert seen > 1000


def test_days_are_those_of_the_data(urls: dict[str, etree._Element]) -> None:
    days = {a: url.findtext("s:lastmod", namespaces=NS) for a, url in urls.items()}
    handouts = [a for a in days if re.search(r"/crops/[^/]+/[^/]+/$", a)]
    assert handouts and all(date.fromisoformat(days[a] or "") <= date(2026, 11, 25) for a in handouts)


def test_robots_may_read_all_and_find_the_list(tree: SiteTree) -> None:
    parser = RobotFileParser()
    parser.parse(tree.files["robots.txt"].decode("utf-8").splitlines())
    assert parser.site_maps() == [f"{SITE}sitemap.xml"]
    assert parser.can_fetch("anybody", f"{SITE}crops/corn/tassel-to-silk/")

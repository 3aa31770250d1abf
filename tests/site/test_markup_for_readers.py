"""Markup that readers who hear a page rely on: names of tables and drawings, languages, the way to another language."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml.html import HtmlElement
from site_tree import SiteTree, report, words_of

from earleaf.database.load import Database
from earleaf.site.build import Prepared


@pytest.fixture(scope="module")
def whole(built: Path) -> SiteTree:
    """The plain site with the editions in every language."""
    return SiteTree(built)


def name_of(page: HtmlElement, element: HtmlElement) -> str:
    """What a screen reader calls an element: its caption, the words it points to, its label, or its region's."""
    for caption in element.xpath("./caption"):
        return words_of(caption)
    for owner in (element, *element.xpath("ancestor::*[@role='region'][1]")):
        said = [
            words_of(e) for i in (owner.get("aria-labelledby") or "").split() for e in page.xpath(f"//*[@id='{i}']")
        ]
        if name := " ".join(said) or (owner.get("aria-label") or "").strip():
            return name
    return ""


def test_tables_have_names(whole: SiteTree) -> None:
    """WCAG 2.2, technique H39 and ARIA 1.2: a caption, or a name by label. One name stands once on a page."""
    seen, bad = 0, []
    for address, page in whole.pages.items():
        tables = page.xpath("//main//table")
        seen += len(tables)
        bad += [(address, words_of(t)[:60]) for t in tables if not name_of(page, t)]
    assert seen > 1000 and not bad, report(bad)


def test_regions_that_scroll_are_named_and_reached(whole: SiteTree) -> None:
    bad = [
        (address, words_of(e)[:60])
        for address, page in whole.pages.items()
        for e in page.find_class("el-scroll")
        if e.get("tabindex") != "0" or e.get("role") != "region" or not name_of(page, e)
    ]
    assert not bad, report(bad)


def test_drawings_have_a_title_and_a_description(whole: SiteTree) -> None:
    """SVG 2, title and desc: each drawing on a page is an image with both, or is left out for those who hear."""
    seen, bad = 0, []
    for address, page in whole.pages.items():
        for svg in page.xpath("//main//svg"):
            if svg.get("aria-hidden") == "true":
                continue
            seen += 1
            children = {c.tag: words_of(c) for c in svg if c.tag in ("title", "desc")}
            if svg.get("role") != "img" or len([t for t in children.values() if len(t) > 3]) != 2:
                bad.append((address, svg.get("class"), svg.get("role"), children))
            elif svg.get("aria-labelledby"):
                lost = [i for i in svg.get("aria-labelledby").split() if not page.xpath(f"//*[@id='{i}']")]
                bad += [(address, "points to nothing", i) for i in lost]
    assert seen > 500 and not bad, report(bad)


def test_latin_names_say_so(whole: SiteTree, manual_db: Database) -> None:
    """WCAG 2.2, 3.1.2 language of parts: a scientific name is read as Latin. A title of a source stays as printed."""
    latin = {crop.latin for crop in manual_db.crops.values() if crop.latin and " " in crop.latin}
    shape = re.compile("|".join(re.escape(name) for name in sorted(latin, key=len, reverse=True)))
    seen, bad = 0, []
    for address in whole.pages:
        for text in whole.texts(address):
            if (found := shape.search(text.text)) and not text.in_class("el-sources") | text.in_class("el-sourcelist"):
                seen += 1
                if not any(e.get("lang") == "la" for e in text.around):
                    bad.append((address, found[0], text.text[:60]))
    assert seen >= len(latin) and not bad, report(bad)


def test_every_page_offers_the_other_languages(whole: SiteTree, demo: Prepared) -> None:
    """Each link of the switch names its language, is written in it, and leads to a page in it. HTML, hreflang."""
    assert demo.manual is not None
    tags = set(demo.manual.languages)
    bad = []
    for address, page in whole.pages.items():
        if page.xpath("//article[contains(@class, 'el-page')]") and not address.startswith("embed/"):
            own = page.get("lang")
            links = page.xpath("//nav[contains(@class, 'el-lang')][@aria-label]//a")
            if own not in tags or {a.get("hreflang") for a in links} != tags - {own}:
                bad.append((address, own, [a.get("hreflang") for a in links]))
            for a in links:
                file, _ = whole.resolve(f"{address}index.html", a.get("href"))
                there = whole.html_files.get(file)
                if there is None or there.get("lang") != a.get("hreflang") or a.get("lang") != a.get("hreflang"):
                    bad.append((address, a.get("href"), a.get("lang")))
    assert not bad, report(bad)

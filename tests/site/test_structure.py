"""Pages of the built plain site as documents: headings, tables, names, order of lists, nothing of the machine."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest
from lxml import html
from lxml.html import HtmlElement
from site_tree import SiteTree, report, words_of


def test_ids_are_unique_on_each_page(site: SiteTree) -> None:
    twice = [
        (n, sorted({i for i in ids if ids.count(i) > 1})) for n, ids in site.ids.items() if len(ids) != len(set(ids))
    ]
    assert not twice, report(twice)


def levels(page: HtmlElement) -> list[int]:
    return [int(h.tag[1]) for h in page.xpath("//h1|//h2|//h3|//h4|//h5|//h6")]


def test_one_h1_and_three_levels_at_most(site: SiteTree) -> None:
    wrong = [(a, levels(p)) for a, p in site.pages.items() if levels(p).count(1) != 1 or max(levels(p), default=0) > 3]
    assert not wrong, report(wrong)


def test_no_heading_level_is_skipped(site: SiteTree) -> None:
    wrong = []
    for address, page in site.pages.items():
        found = [0, *levels(page)]
        wrong += [(address, found[1:]) for a, b in itertools.pairwise(found) if b > a + 1]
    assert not wrong, report(wrong)


def test_headings_are_not_empty(site: SiteTree) -> None:
    empty = [a for a, p in site.pages.items() for h in p.xpath("//h1|//h2|//h3") if not words_of(h)]
    assert not empty, report(empty)


def test_language_title_and_description(site: SiteTree) -> None:
    wrong = [
        a
        for a, p in site.pages.items()
        if p.get("lang") != "en"
        or not p.xpath("string(//title)").strip()
        or not p.xpath("//meta[@name='description']/@content[normalize-space()]")
    ]
    wrong += [n for n, p in site.redirects.items() if p.get("lang") != "en"]
    assert not wrong, report(wrong)


def test_titles_are_unique(site: SiteTree) -> None:
    seen: dict[str, list[str]] = {}
    for address, page in site.pages.items():
        seen.setdefault(page.xpath("string(//title)"), []).append(address)
    assert not (twice := [(t, a) for t, a in seen.items() if len(a) > 1]), report(twice)


def test_tables_have_headers_with_scope(site: SiteTree) -> None:
    wrong = [
        (a, words_of(t)[:60])
        for a, p in site.pages.items()
        for t in p.xpath("//table")
        if not t.xpath(".//th") or t.xpath(".//th[not(@scope='col' or @scope='row')]")
    ]
    assert not wrong, report(wrong)


def test_rows_of_a_table_are_of_one_width(site: SiteTree) -> None:
    wrong = [
        (a, words_of(t)[:60])
        for a, p in site.pages.items()
        for t in p.xpath("//table")
        if len({sum(int(cell.get("colspan", 1)) for cell in tr.xpath("th|td")) for tr in t.xpath(".//tr")}) > 1
    ]
    assert not wrong, report(wrong)


def test_pictures_and_regions_have_names(site: SiteTree) -> None:
    wrong = [
        (a, e.tag)
        for a, p in site.pages.items()
        for e in p.xpath(
            "//img[not(@alt)]|//*[@role='region'][not(@aria-label)]|//*[@role='img']"
            "[not(@aria-labelledby or @aria-label)]|//nav[not(@aria-label)]"
        )
    ]
    assert not wrong, report(wrong)


def test_labels_point_to_what_is_there(site: SiteTree) -> None:
    lost = [
        (a, r)
        for a, p in site.pages.items()
        for v in p.xpath("//@aria-labelledby|//label/@for|//@aria-describedby")
        for r in v.split()
        if r not in site.ids[f"{a}index.html"]
    ]
    assert not lost, report(lost)


LISTS = {
    "cards/": "//table//th[@scope='row']/a",
    "embed/": "//ul[@class='el-az']/li/a",
    "stages/": "//dl/div/dt/a",
    "calendars/": "(//ul[@class='el-biglinks'])[1]/li/a",
    "offline/": "//label[input/@name='crop']",
}


@pytest.mark.parametrize("prefix", ["", "es/"])
@pytest.mark.parametrize("address", LISTS)
def test_lists_are_in_the_order_of_their_own_language(built: Path, address: str, prefix: str) -> None:
    """A reader of Spanish looks for apples under M, not where English has them; accents do not count."""
    page = html.parse(str(built / prefix / address / "index.html"))
    shown = [link.text_content().strip().casefold() for link in page.xpath(LISTS[address])]
    plain = [name.translate(str.maketrans("áéíóúü", "aeiouu")) for name in shown]
    assert len(shown) > 5 and plain == sorted(plain)


# Leaks


LEAKS = re.compile(
    r"\{\{|\}\}|\{%|<!--\s*(?:rules|cautions)|\bUndefined\b|\bnan\b|\[@|Traceback|<[a-z]+\.[a-z.]+ object"
    r"|\{[a-z_]+\}"
)
LONE_NONE = re.compile(r"^None\W*$|[\w,:;(] None\b|^None (?:leaves|plants|to|from|days)\b")
MACHINE = re.compile(r"(?:^|[\s\"'(=>])/(?:home|root|work|tmp|usr|Users|var|opt|builds?)/|[A-Z]:\\\\|file://")


def test_no_machinery_shows_in_the_words(site: SiteTree) -> None:
    bad = [
        (n, m.group())
        for n, p in site.html_files.items()
        for m in [LEAKS.search(" ".join(p.xpath("//text()[not(ancestor::script)]|//@aria-label|//@content|//@title")))]
        if m
    ]
    assert not bad, report(bad)


def test_no_missing_value_is_printed_as_none(site: SiteTree) -> None:
    """'None of the flowers is open' is a sentence; a lone None is a missing value."""
    bad = [(a, n.text) for a in site.pages for n in site.texts(a) if LONE_NONE.search(n.text)]
    assert not bad, report(bad)


def test_no_path_of_the_building_machine(site: SiteTree, root: Path) -> None:
    bad = [
        (n, m.group())
        for n, b in site.files.items()
        if not n.endswith((".woff2", ".pdf", ".png"))
        for m in [MACHINE.search(b.decode("utf-8"))]
        if m
    ]
    bad += [(n, str(root)) for n, b in site.files.items() if str(root).encode() in b]
    assert not bad, report(bad)


def test_sentences_do_not_end_twice(site: SiteTree) -> None:
    bad = sorted(
        {
            (m.group(), n.text)
            for a in site.pages
            for n in site.texts(a)
            for m in [re.search(r"(?<!\.)\.\.(?!\.)|\.;|,,|;;| ,| \.(?!\d)|\(\)", n.text)]
            if m and not n.has("data-meta") and not n.text.startswith((". ", ", "))
        }
    )
    assert not bad, report(bad)

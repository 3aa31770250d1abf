"""What a phone loads in the plain shell, uncompressed but where it says packed.

How it is counted. A first view: the page (its drawing, its words for programs and its head are inside), both style
sheets, both fonts, the script, and every picture that the page names, though those further down load only when they
come near. A second view: the next page alone, for style sheets, fonts and script are kept by the browser; its pictures
further down are the same drawings as on other pages of the crop, and are counted apart. The picture of a pocket card
is left out: it loads last, and only where cards are printed. 1 kB is 1000 bytes.
"""

from __future__ import annotations

import gzip

from site_tree import SiteTree, report

FIRST_VIEW, SECOND_VIEW, PICTURES = 300_000, 60_000, 60_000
PACKED_VIEW, PACKED_PAGE, SEARCH_INDEX = 300_000, 60_000, 1_500_000
NAV_LINKS = 80


def shared(tree: SiteTree, file: str) -> int:
    """Style sheets, the fonts they name, and scripts of a page."""
    page = tree.html_files[file]
    links = page.xpath("//link[@rel='stylesheet']/@href") + page.xpath("//script/@src")
    fonts = [n for n in tree.files if n.startswith("assets/fonts/") and n.endswith(".woff2")]
    assert len(links) >= 3 and len(fonts) == 2
    return sum(len(tree.files[n]) for n in (*fonts, *(tree.resolve(file, x)[0] for x in links)))


def pictures(tree: SiteTree, file: str) -> int:
    images = tree.html_files[file].xpath("//img")
    assert all(image.get("loading") == "lazy" for image in images)
    return sum(len(tree.files[tree.resolve(file, image.get("src"))[0]]) for image in images)


def test_every_handout_keeps_within_its_weight(tree: SiteTree) -> None:
    heavy: list[object] = []
    for address in tree.handouts:
        file = f"{address}index.html"
        page, below = len(tree.files[file]), pictures(tree, file)
        if page + below + shared(tree, file) > FIRST_VIEW or page > SECOND_VIEW or below > PICTURES:
            heavy.append((address, page, below))
    assert len(tree.handouts) > 1000 and not heavy, report(heavy)


def test_a_handout_with_its_card_is_light(site: SiteTree) -> None:
    heavy = [
        (a, len(site.files[f"{a}index.html"])) for a in site.handouts if len(site.files[f"{a}index.html"]) > SECOND_VIEW
    ]
    assert not heavy, report(heavy)


def test_the_search_index_is_light(site: SiteTree) -> None:
    assert len(site.files["search/search_index.json"]) <= SEARCH_INDEX


def test_few_links_in_the_navigation(site: SiteTree) -> None:
    many = [(a, n) for a, p in site.pages.items() if (n := len(p.xpath("//nav//a"))) > NAV_LINKS]
    assert not many, report(many)


def packed(content: bytes) -> int:
    return len(gzip.compress(content, mtime=0))


def packed_assets(site: SiteTree) -> int:
    """Style sheets, script and fonts: fetched once. Fonts are packed already."""
    return sum(
        len(b) if n.endswith(".woff2") else packed(b)
        for n, b in site.files.items()
        if n.startswith("assets/") and n.endswith((".css", ".js", ".woff2"))
    )


def test_first_view_and_second_page_packed(site: SiteTree) -> None:
    worst = max(packed(site.files[f"{a}index.html"]) for a in site.pages)
    assert packed_assets(site) + worst <= PACKED_VIEW
    assert worst <= PACKED_PAGE

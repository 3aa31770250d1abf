"""What a phone loads for a handout, uncompressed, in the plain shell.

How it is counted. A first view: the page (its drawing, its words for programs and its head are inside), both style
sheets, both fonts, the script, and every picture that the page names, though those further down load only when they
come near. A second view: the next page alone, for style sheets, fonts and script are kept by the browser; its pictures
further down are the same drawings as on other pages of the crop, and are counted apart. The picture of a pocket card
is left out: it loads last, and only where cards are printed. 1 kB is 1000 bytes.
"""

from __future__ import annotations

from site_tree import SiteTree, report

FIRST_VIEW, SECOND_VIEW, PICTURES = 300_000, 60_000, 60_000


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

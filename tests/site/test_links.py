"""Links, fragments, short addresses and redirects of the built plain site: each leads to what is there."""

from __future__ import annotations

import re

from lxml.html import HtmlElement
from site_tree import SiteTree, outside, report

from earleaf.database.load import Database
from earleaf.site.build import Prepared
from earleaf.views.common import protocol_address


def addresses(page: HtmlElement) -> list[str]:
    """Every href and src on a page, of links, pictures, scripts, style sheets and forms."""
    return [*page.xpath("//@href"), *page.xpath("//@src"), *page.xpath("//@action")]


def test_every_relative_link_leads_to_a_file(site: SiteTree) -> None:
    lost = [
        (name, href)
        for name, page in site.html_files.items()
        for href in addresses(page)
        if not outside(href) and site.resolve(name, href)[0] not in site.files
    ]
    assert not lost, report(lost)


def test_every_fragment_leads_to_an_id(site: SiteTree) -> None:
    lost = []
    for name, page in site.html_files.items():
        for href in page.xpath("//@href[contains(., '#')]"):
            file, fragment = site.resolve(name, href)
            if not outside(href) and fragment and fragment not in site.ids.get(file, ()):
                lost.append((name, href))
    assert not lost, report(lost)


def test_no_page_is_an_orphan(site: SiteTree) -> None:
    linked = {site.resolve(n, h)[0] for n, p in site.html_files.items() for h in p.xpath("//a/@href") if not outside(h)}
    linked |= {site.resolve(n, a)[0] for n, p in site.html_files.items() for a in p.xpath("//form/@action")}
    alone = [a for a in site.pages if f"{a}index.html" not in linked]
    assert not alone, report(alone)


def test_nothing_is_asked_from_another_host(site: SiteTree) -> None:
    """A reader's browser fetches nothing from outside; links out are marked external.

    It does not fetch what a head names as the same page in another form (HTML Standard, `canonical`, `alternate`).
    """
    bad = []
    for name, page in site.html_files.items():
        for e in page.xpath("//*[@src or @href or @srcset or @action or @data]"):
            for value in (e.get(k) for k in ("src", "href", "srcset", "action", "data")):
                if (
                    value
                    and outside(value)
                    and not ({"external", "canonical", "alternate"} & set((e.get("rel") or "").split()))
                ):
                    bad.append((name, e.tag, value))
    assert not bad, report(bad)


def test_style_sheets_and_script_name_no_host(site: SiteTree) -> None:
    text = {n: b.decode() for n, b in site.files.items() if n.endswith((".css", ".js"))}
    assert not [n for n, t in text.items() if re.search(r"https?://|@import|url\(\s*['\"]?(?!fonts/)", t)]


def test_every_page_says_its_own_canonical_address(site: SiteTree, demo: Prepared) -> None:
    assert demo.manual is not None
    base = str(demo.manual.site_url).rstrip("/") + "/"
    wrong = [a for a, p in site.pages.items() if p.xpath("//link[@rel='canonical']/@href") != [base + a]]
    assert not wrong, report(wrong)


# Short addresses


def test_short_addresses_lead_to_their_handout(site: SiteTree, manual_db: Database) -> None:
    wrong = []
    for crop in manual_db.crops.values():
        for protocol in crop.protocols:
            name = f"c/{protocol.short_id}/index.html"
            page = site.redirects.get(name)
            target = f"{protocol_address(crop, protocol)}index.html"
            urls = page.xpath("//meta[@http-equiv='refresh']/@content") if page is not None else []
            links = page.xpath("//a/@href") if page is not None else []
            if (
                len(urls) != 1
                or not links
                or any(site.resolve(name, u)[0] != target for u in (urls[0].split("url=", 1)[1], *links))
            ):
                wrong.append((name, urls, links))
    assert not wrong, report(wrong)


def test_short_addresses_of_a_lab_lead_to_the_handout_of_that_lab(site: SiteTree, manual_db: Database) -> None:
    """c/<id>/<lab>/ is what the code on a lab's card holds; a name that the lab had before leads there, too."""
    wrong, seen = [], 0
    for crop in manual_db.crops.values():
        for protocol in crop.protocols:
            for lab in manual_db.labs.values():
                for name in (lab.lab, *lab.aliases):
                    seen += 1
                    file = f"c/{protocol.short_id}/{name}/index.html"
                    page = site.redirects.get(file)
                    links = page.xpath("//a/@href") if page is not None else []
                    target = f"labs/{lab.lab}/{crop.crop}/{protocol.protocol}/index.html"
                    if target not in site.files or [site.resolve(file, u)[0] for u in links] != [target]:
                        wrong.append((file, links))
    assert seen and not wrong, report(wrong)


def test_every_redirect_leads_to_a_page(site: SiteTree) -> None:
    lost = []
    for name, page in site.redirects.items():
        url = page.xpath("string(//meta[@http-equiv='refresh']/@content)").split("url=", 1)[1]
        if site.resolve(name, url)[0].removesuffix("index.html") not in site.pages:
            lost.append((name, url))
    assert not lost, report(lost)

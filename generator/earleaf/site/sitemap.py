"""What search engines may find: every page with its other languages (sitemaps.org), and where that list is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

from .editions import Edition
from .page import Page
from .tree import Tree

HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9"'
    ' xmlns:xhtml="http://www.w3.org/1999/xhtml">\n'
)
NOT_TO_FIND = ("search/", "c/", "embed/")
"""Ways to pages, and not pages that one looks for."""


def sitemap(trees: Sequence[tuple[Edition, Tree]]) -> bytes:
    """Every page of every edition, in the order of its addresses. Dates are those of the data."""
    site = str(trees[0][0].manual.site_url).rstrip("/") + "/"
    entries = (entry for edition, tree in trees for entry in _entries(site, edition, tree))
    return f"{HEAD}{''.join(entries)}</urlset>\n".encode()


def _entries(site: str, edition: Edition, tree: Tree) -> Iterator[str]:
    for address in sorted(tree.pages):
        if not address.startswith(NOT_TO_FIND):
            yield _entry(site, f"{edition.prefix}{address}", tree.pages[address])


def _entry(site: str, address: str, page: Page) -> str:
    others = "".join(
        f'<xhtml:link rel="alternate" hreflang={quoteattr(other.tag)} href={quoteattr(site + other.address)}/>'
        for other in page.alternates
    )
    day = f"<lastmod>{page.modified.isoformat()}</lastmod>" if page.modified else ""
    return f"<url><loc>{escape(site + address)}</loc>{day}{others}</url>\n"


def robots(edition: Edition) -> bytes:
    """Everything may be read (RFC 9309). Programs look for this file at the root of a host only."""
    site = str(edition.manual.site_url).rstrip("/")
    return f"User-agent: *\nDisallow:\n\nSitemap: {site}/sitemap.xml\n".encode()

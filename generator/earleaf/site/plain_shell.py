"""The plain shell: our own head and foot round every body. No other program is needed."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from ..model.manual import Manual
from ..rendering.pages import Pages, up
from ..views.common import Link
from ..views.words import Words
from .page import Page
from .tree import Tree


@dataclass(frozen=True)
class Site:
    """What the shell prints on every page."""

    title: str
    team: str
    url: str
    edition: str
    invented: bool
    menu: tuple[Link, ...]
    copy: bool


def plain_files(
    tree: Tree, manual: Manual, words: Words, *, copy: bool = False, ready: Container[str] = ()
) -> dict[str, bytes]:
    """Every file of the plain site, by name; `copy` says that it is to be carried, and not on the web.

    `ready` are files of pages that need no finishing, for they are at hand.
    """
    wrap = wrapper(manual, words, tree.menu, copy=copy)
    files = dict(tree.files)
    for page in tree.pages.values():
        if (name := f"{page.address}index.html") not in ready:
            files[name] = wrap(page)
    files["search/search_index.json"] = tree.search_index()
    return files


def wrapper(manual: Manual, words: Words, menu: Sequence[Link], *, copy: bool = False) -> Wrapper:
    """What puts head and foot round the pages of an edition."""
    site = Site(
        manual.title,
        manual.team,
        str(manual.site_url).rstrip("/") + "/",
        words.day(manual.edition),
        manual.invented,
        tuple(menu),
        copy,
    )
    return Wrapper(words, site)


def head_links(page: Page, url: str) -> str:
    """What the head of a page says to programs: its other languages, how to show it elsewhere, feed, what it holds.

    `url` is the address of this edition. These addresses are whole, for programs of others read them.
    """
    links = _alternates(page, url) if page.alternates else Markup()
    if page.oembed:
        link = Markup('<link rel="alternate" type="application/json+oembed" href="{}{}" title="{}">')
        links += link.format(url, page.oembed, page.title)
    if page.feed:
        link = Markup('<link rel="alternate" type="application/atom+xml" href="{}{}" title="{}">')
        links += link.format(url, page.feed, page.title)
    return links + Markup(page.linked)


def _alternates(page: Page, url: str) -> Markup:
    base = url.removesuffix(page.alternates[0].address.removesuffix(page.address))
    return Markup("").join(
        Markup('<link rel="alternate" hreflang="{}" href="{}{}">').format(a.tag, base, a.address)
        for a in page.alternates
    )


SLOTS = ("title", "description", "address", "body", "links")


class Wrapper:
    """Head and foot, rendered once for each depth of address; then only the page's own words are put in."""

    def __init__(self, words: Words, site: Site) -> None:
        self.words, self.site = words, site
        self.template = Pages(words).environment.get_template("plain.html")
        self.frames: dict[str, list[str]] = {}

    def __call__(self, page: Page) -> bytes:
        root = up(page.address)
        if root not in self.frames:
            blank = {slot: f"\x00{slot}\x00" for slot in SLOTS}
            text = self.template.render(
                page=blank,
                body=Markup(blank["body"]),
                links=Markup(blank["links"]),
                root=root,
                site=self.site,
                language=self.words.language,
                direction=self.words.about.direction,
            )
            self.frames[root] = text.split("\x00")
        words = {
            "title": str(escape(page.title)),
            "description": str(escape(page.description)),
            "address": page.address,
            "body": page.body,
            "links": head_links(page, self.site.url),
        }
        return "".join(words[part] if i % 2 else part for i, part in enumerate(self.frames[root])).encode("utf-8")

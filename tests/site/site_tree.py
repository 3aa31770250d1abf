"""A built site as the tests read it: every page parsed once, every address resolved inside the tree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from urllib.parse import unquote, urlsplit

from lxml import html
from lxml.html import HtmlElement


@dataclass
class Text:
    """One text node: where it stands, and the elements round it, innermost first."""

    text: str
    around: list[HtmlElement]

    def has(self, attribute: str) -> bool:
        return any(e.get(attribute) is not None for e in self.around)

    def in_class(self, name: str) -> bool:
        return any(name in (e.get("class") or "").split() for e in self.around)

    def in_tag(self, *tags: str) -> bool:
        return any(e.tag in tags for e in self.around)


@dataclass
class SiteTree:
    """The files of a built site below `folder`: one edition, where `others` are the folders of the other languages.

    The ways to the other editions are then no part of a page; tests/site/test_editions.py follows them.
    """

    folder: Path
    others: tuple[str, ...] = ()
    alone: bool = False
    parsed: dict[str, HtmlElement] = field(default_factory=dict)

    @cached_property
    def files(self) -> dict[str, bytes]:
        names = {p.relative_to(self.folder).as_posix(): p for p in sorted(self.folder.rglob("*")) if p.is_file()}
        return {n: p.read_bytes() for n, p in names.items() if n.split("/")[0] not in self.others}

    @cached_property
    def html_files(self) -> dict[str, HtmlElement]:
        """Every HTML file, redirects too, by file name."""
        pages = {n: html.document_fromstring(b.decode("utf-8")) for n, b in self.files.items() if n.endswith(".html")}
        for page in pages.values() if self.others or self.alone else ():
            for way in page.xpath("//nav[@class='el-lang']"):
                way.drop_tree()
        return pages

    @cached_property
    def redirects(self) -> dict[str, HtmlElement]:
        return {n: d for n, d in self.html_files.items() if d.xpath("//meta[@http-equiv='refresh']")}

    @cached_property
    def pages(self) -> dict[str, HtmlElement]:
        """Every real page by address: 'crops/corn/' and '' for the root. Embeds are no pages: see test_embeds.py."""
        others = self.redirects.keys() | self.embeds.keys()
        return {n.removesuffix("index.html"): d for n, d in self.html_files.items() if n not in others}

    @cached_property
    def embeds(self) -> dict[str, HtmlElement]:
        """What is shown inside the pages of others, by file name: each has data for programs beside it."""
        folders = {n.removesuffix("oembed.json") for n in self.files if n.endswith("/oembed.json")}
        return {n: d for n, d in self.html_files.items() if n.rpartition("/")[0] + "/" in folders}

    @cached_property
    def ids(self) -> dict[str, list[str]]:
        return {n: d.xpath("//@id") for n, d in self.html_files.items()}

    @cached_property
    def handouts(self) -> dict[str, HtmlElement]:
        return {a: d for a, d in self.pages.items() if d.find_class("el-handout")}

    def main(self, address: str) -> HtmlElement:
        found = self.pages[address].xpath("//main")
        assert len(found) == 1, f"{address}: {len(found)} <main>"
        return found[0]

    def texts(self, address: str) -> Iterator[Text]:
        """Every text node below <main> that is not blank."""
        for node in self.main(address).xpath(".//text()[normalize-space()]"):
            parent = node.getparent()
            owner = parent.getparent() if node.is_tail else parent
            if owner.tag in ("script", "style"):
                continue
            yield Text(" ".join(str(node).split()), [owner, *owner.iterancestors()])

    def resolve(self, file: str, href: str) -> tuple[str, str]:
        """(file, fragment) that a relative address on a page leads to. The file may not be there."""
        parts = urlsplit(href)
        folder = file.split("/")[:-1]
        if not parts.path:
            return file, unquote(parts.fragment)
        for piece in unquote(parts.path).split("/")[:-1]:
            if piece == "..":
                if not folder:
                    return f"(outside)/{href}", ""
                folder.pop()
            elif piece not in ("", "."):
                folder.append(piece)
        name = unquote(parts.path).split("/")[-1]
        name = "" if name in (".", "..") else name
        return "/".join([*folder, name or "index.html"]), unquote(parts.fragment)


def words_of(element: HtmlElement) -> str:
    """The words of an element, one space between them."""
    return " ".join(element.text_content().split())


def outside(href: str) -> bool:
    """An address with a scheme or a host."""
    return bool(urlsplit(href).scheme or urlsplit(href).netloc)


def report(offenders: list[object], most: int = 40) -> str:
    """A readable list for an assertion."""
    shown = "\n".join(f"  {o}" for o in offenders[:most])
    return f"{len(offenders)} found:\n{shown}"

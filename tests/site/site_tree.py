"""A built site as the tests read it: a page parsed when it is asked for, every address resolved inside the tree."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TypeVar
from urllib.parse import unquote, urlsplit

from lxml import html
from lxml.html import HtmlElement

Value = TypeVar("Value")


class Lazy(Mapping[str, Value]):
    """Values by name, each made when it is first asked for: most tests look at a few files of thousands."""

    def __init__(self, names: Iterable[str], make: Callable[[str], Value]) -> None:
        self._names, self._make = dict.fromkeys(names), make
        self._made: dict[str, Value] = {}

    def __getitem__(self, name: str) -> Value:
        if name not in self._made:
            if name not in self._names:
                raise KeyError(name)
            self._made[name] = self._make(name)
        return self._made[name]

    def __contains__(self, name: object) -> bool:
        return name in self._names

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


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

    @cached_property
    def files(self) -> Mapping[str, bytes]:
        paths = {p.relative_to(self.folder).as_posix(): p for p in sorted(self.folder.rglob("*")) if p.is_file()}
        names = [name for name in paths if name.split("/")[0] not in self.others]
        return Lazy(names, lambda name: paths[name].read_bytes())

    @cached_property
    def html_files(self) -> Mapping[str, HtmlElement]:
        """Every HTML file, redirects too, by file name."""
        return Lazy([name for name in self.files if name.endswith(".html")], self._parsed)

    def _parsed(self, name: str) -> HtmlElement:
        page = html.document_fromstring(self.files[name].decode("utf-8"))
        for way in page.xpath("//nav[@class='el-lang']") if self.others or self.alone else ():
            way.drop_tree()
        return page

    @cached_property
    def redirects(self) -> Mapping[str, HtmlElement]:
        likely = [name for name in self.html_files if b"http-equiv" in self.files[name]]
        names = [name for name in likely if self.html_files[name].xpath("//meta[@http-equiv='refresh']")]
        return Lazy(names, self.html_files.__getitem__)

    @cached_property
    def pages(self) -> Mapping[str, HtmlElement]:
        """Every real page by address: 'crops/corn/' and '' for the root. Embeds are no pages: see test_embeds.py."""
        others = self.redirects.keys() | self.embeds.keys()
        names = {n.removesuffix("index.html"): n for n in self.html_files if n not in others}
        return Lazy(names, lambda address: self.html_files[names[address]])

    @cached_property
    def embeds(self) -> Mapping[str, HtmlElement]:
        """What is shown inside the pages of others, by file name: each has data for programs beside it."""
        folders = {n.removesuffix("oembed.json") for n in self.files if n.endswith("/oembed.json")}
        names = [n for n in self.html_files if n.rpartition("/")[0] + "/" in folders]
        return Lazy(names, self.html_files.__getitem__)

    @cached_property
    def ids(self) -> Mapping[str, list[str]]:
        return Lazy(self.html_files, lambda name: self.html_files[name].xpath("//@id"))

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

"""What the HTML of a hand-written chapter may hold: text, simple marks and links. Nothing that runs, loads or asks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser

TAGS = frozenset(
    {
        "a", "abbr", "b", "blockquote", "br", "caption", "cite", "code", "col", "colgroup", "dd", "del", "details",
        "dfn", "div", "dl", "dt", "em", "figcaption", "figure", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "i", "img",
        "ins", "kbd", "li", "mark", "ol", "p", "pre", "q", "s", "samp", "section", "small", "span", "strong", "sub",
        "summary", "sup", "table", "tbody", "td", "tfoot", "th", "thead", "time", "tr", "u", "ul", "var", "wbr",
    }
)  # fmt: skip
NAMES = frozenset(
    {
        "abbr", "align", "alt", "class", "colspan", "datetime", "dir", "headers", "height", "href", "id", "lang",
        "open", "reversed", "role", "rowspan", "scope", "src", "start", "title", "translate", "type", "value",
        "width",
    }
)  # fmt: skip
ADDRESS = re.compile(r"(?:https?://|mailto:|[^:]*$|[^:/?#]*[/?#])", re.I)
"""An address on the web or in this site. What stands before a colon is a scheme, and any other one may be a program."""
MAX_MARKS = 2_000
"""So many [ and < a chapter may hold: with more of them left open, Markdown takes minutes."""
COMMENT = re.compile(r"<!--.*?-->", re.S)
SUSPECT = re.compile(r"<|&|\{|\]\(\s*<?(?!https?://)[^)]*:|^\s*\[[^\]]*\]:\s*<?(?!https?://)", re.M)


class _Reader(HTMLParser):
    """Collects what may not stand there."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in TAGS:
            self.found.append(f"<{tag}>")
        for name, value in attrs:
            if name not in NAMES and not name.startswith(("data-", "aria-")):
                self.found.append(name)
            elif name in ("href", "src") and not ADDRESS.match(re.sub(r"\s", "", value or "")):
                self.found.append((value or "").strip())

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)

    def handle_comment(self, data: str) -> None:
        self.found.append("<!--")

    def handle_decl(self, decl: str) -> None:
        self.found.append(f"<!{decl}>")

    def unknown_decl(self, data: str) -> None:
        self.found.append(f"<![{data}]>")

    def handle_pi(self, data: str) -> None:
        self.found.append(f"<?{data}>")


def without_comments(text: str) -> str:
    """The text without remarks between <!-- and -->, which are for those who write, never for the page."""
    return COMMENT.sub("", text)


def unfit(html: str) -> Iterator[str]:
    """The elements, attributes and addresses in a body that may not be there, in order.

    >>> list(unfit('<p onclick="x()">a <script>b</script> <a href="java\\nscript:c">d</a></p>'))
    ['onclick', '<script>', 'java\\nscript:c']
    """
    reader = _Reader()
    reader.feed(html)
    reader.close()
    if reader.rawdata or re.search(r"<(?![a-zA-Z/])", html):
        reader.found.append("<")
    yield from dict.fromkeys(reader.found)

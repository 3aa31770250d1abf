"""Small pieces of HTML that stand on many pages: lines, marks, table rows, source notes. Pure and remembered.

A rule such as "never plastic" stands on hundreds of handouts; it is escaped and put together once.
"""

from __future__ import annotations

from functools import lru_cache

from markupsafe import Markup

from ..views.beside import Published
from ..views.handout import FaultLine
from ..views.lines import Line, Ref, SourceEntry


@lru_cache(maxsize=50_000)
def marks(refs: tuple[Ref, ...]) -> Markup:
    """The raised marks of a line, each a link to the page's own source list."""
    return Markup("").join(
        Markup('<sup class="el-ref"><a href="#s-{}">{}</a></sup>').format(r.source, r.label) for r in refs
    )


@lru_cache(maxsize=50_000)
def item(line: Line, tag: str = "li") -> Markup:
    """A line as a list item or a paragraph, with its sources as data."""
    source = Markup(' data-source="{}"').format(line.data_source) if line.sources else ""
    return Markup("<{}{}>{}{}</{}>").format(tag, source, line.text, marks(line.refs), tag)


@lru_cache(maxsize=20_000)
def bullets(lines: tuple[Line, ...], css: str = "") -> Markup:
    """A list of lines."""
    head = Markup('<ul class="{}">').format(css) if css else Markup("<ul>")
    return Markup(f"{head}{''.join(item(line) for line in lines)}</ul>")


@lru_cache(maxsize=100)
def faults(lines: tuple[FaultLine, ...]) -> Markup:
    """What ruins a sample, and what to do then."""
    row = Markup('<div data-source="{}"><dt>{}</dt><dd>{}</dd></div>')
    return Markup("<dl>{}</dl>").format(Markup("").join(row.format(f.sources, f.fault, f.then) for f in lines))


@lru_cache(maxsize=50_000)
def published_row(row: Published, root: str, compare: bool) -> Markup:
    """One published row of the table that sets sources side by side."""
    note = f"; {row.note}" if row.note else ""
    verdict = Markup("<td>{}</td>").format(row.verdict) if compare else ""
    other = "" if row.agrees else Markup(' class="el-other"')
    return Markup(
        '<tr data-row="{}" data-source="{}"{}><th scope="row"><a href="{}sources/#{}">{}</a><br>'
        '<span class="el-quiet">{}{}</span></th><td>{}</td><td>{}</td>{}</tr>'
    ).format(row.row, row.source, other, root, row.source, row.who, row.stage, note, row.part, row.count, verdict)


@lru_cache(maxsize=5_000)
def source_note(entry: SourceEntry, language: str) -> Markup:
    """A source as a page lists it. Its title stays as it was printed, so another language says which one that is."""
    title = Markup('<span lang="en">{}</span>').format(entry.text) if language != "en" else entry.text
    return Markup('<li id="s-{}">{} <span class="el-quiet">{}</span></li>').format(entry.id, title, entry.how_read)


GLOBALS = {
    "marks": marks,
    "item": item,
    "bullets": bullets,
    "faults": faults,
    "published_row": published_row,
    "source_note": source_note,
}

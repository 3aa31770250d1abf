"""Hand-written chapters: Markdown with citations and tables of rules, the same in both shells.

`[@source-id]` becomes a numbered mark, `<!-- rules: bag, wash -->` the published rules on those topics, and
`<!-- cautions -->` the list of cautions.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import markdown
from markupsafe import Markup, escape

from ..database.files import MAX_TEXT, decode, read_bytes, real
from ..database.load import Database
from ..model.base import ID_PATTERN
from ..model.finding import Finding
from ..rendering.pages import Pages, up
from ..views.beside import publisher, rule_figure
from ..views.lines import Refs
from .chapter_html import MAX_MARKS, SUSPECT, unfit, without_comments

CITE = re.compile(r"(?<!\s)\s*\[(@[a-z0-9-]+(?:;\s*@[a-z0-9-]+)*)\]")
RULES = re.compile(r"<!--\s*rules:([a-z,\s]+)-->")
CAUTIONS = re.compile(r"<!--\s*cautions\s*-->")
ASIDE = "<!-- not a chapter"
"""A Markdown file in the folder that starts so is for other eyes: no page of the manual."""


@dataclass(frozen=True)
class Chapter:
    """A chapter as written, and where it goes."""

    name: str
    title: str
    text: str
    file: str

    @property
    def address(self) -> str:
        return "" if self.name == "index" else f"{self.name}/"


TAKEN = {
    "assets",
    "c",
    "calendars",
    "cards",
    "changes",
    "crops",
    "data",
    "drawings",
    "embed",
    "guide",
    "labs",
    "offline",
    "search",
    "sources",
    "stages",
    "terms",
}


def read_chapters(folder: Path, root: Path) -> tuple[list[Chapter], list[Finding]]:
    """The Markdown files at the top of a folder, in order of name; index first. `root` shortens names in findings."""
    chapters: list[Chapter] = []
    found: list[Finding] = []
    paths = [p for p in folder.glob("*.md") if p.is_file()]
    for path in sorted(paths, key=lambda p: (p.stem != "index", p.stem)):
        file = real(path).relative_to(root).as_posix() if root in real(path).parents else path.as_posix()
        try:
            text, wrong = decode(read_bytes(path, MAX_TEXT), file, MAX_TEXT)
        except OSError as error:
            said = f"cannot be read: {error.strerror or error}"
            text, wrong = "", Finding(file, 0, "missing-file", said, "check the name")
        if wrong is not None:
            found.append(wrong)
            continue
        text = text.replace("\r\n", "\n").replace("\r", "\n")
        if text.startswith(ASIDE):
            continue
        head = re.match(r"#\s+(.+)", text)
        if not re.match(ID_PATTERN, path.stem) or path.stem in TAKEN:
            found.append(
                Finding(
                    file,
                    0,
                    "chapter",
                    f"{path.stem!r} cannot be the address of a chapter",
                    f"small letters, digits and hyphens, and none of: {', '.join(sorted(TAKEN))}",
                )
            )
        elif head is None:
            found.append(Finding(file, 1, "chapter", "the first line is not a title", "start the file with `# Title`"))
        else:
            chapters.append(Chapter(path.stem, head.group(1).strip(), text, file))
    return chapters, found


def check_chapter(db: Database, chapter: Chapter) -> list[Finding]:
    """Unknown sources and topics in a chapter, and what a page may not hold."""
    found = list(_unfit(chapter))
    for number, line in enumerate(chapter.text.splitlines(), 1):
        for group in CITE.findall(line):
            for name in re.findall(r"@([a-z0-9-]+)", group):
                if db.is_missing("source", name, db.sources):
                    found.append(
                        Finding(
                            chapter.file,
                            number,
                            "unknown-name",
                            f"unknown source {name!r}",
                            "use an id from sources.yml",
                        )
                    )
        for topics in RULES.findall(line):
            for topic in topics.replace(",", " ").split():
                if db.handling_rows and not any(row.topic == topic for row in db.handling_rows.values()):
                    found.append(
                        Finding(
                            chapter.file,
                            number,
                            "unknown-name",
                            f"no rules on {topic!r}",
                            "use a topic of evidence/handling.csv",
                        )
                    )
    return found


def _unfit(chapter: Chapter) -> Iterator[Finding]:
    """What would run a script, load something or hide text; looked for only where a first look finds a reason."""
    text = without_comments(chapter.text)
    if text.count("[") + text.count("<") > MAX_MARKS:
        said = f"there are more than {MAX_MARKS:,} [ and < in this chapter"
        yield Finding(chapter.file, 0, "chapter", said, "make two chapters of it")
    elif SUSPECT.search(text):
        for what in unfit(_markdown(text)):
            first = what.split("\n")[0].rstrip(">")
            line = next((n for n, row in enumerate(chapter.text.splitlines(), 1) if first.lower() in row.lower()), 0)
            hint = "a chapter holds Markdown, simple elements such as <div>, and links to pages: no scripts, no styles"
            yield Finding(chapter.file, line, "chapter", f"{what[:60]!r} may not stand in a chapter", hint)


def expand(db: Database, pages: Pages, chapter: Chapter) -> tuple[str, list[str]]:
    """The chapter's Markdown with marks and tables filled in, and the sources it cites."""
    refs = Refs(db, pages.words)
    cited: list[str] = []

    def cite(match: re.Match[str]) -> str:
        names = [n for n in re.findall(r"@([a-z0-9-]+)", match.group(1)) if n in db.sources]
        cited.extend(names)
        marks = [refs.mark(name) for name in names]
        return "".join(
            f'<sup class="el-ref" data-source="{m.source}"><a href="#s-{m.source}">{m.label}</a></sup>' for m in marks
        )

    def rules(match: re.Match[str]) -> str:
        wanted = match.group(1).replace(",", " ").split()
        rows = []
        for row in db.handling_rows.values():
            if row.topic in wanted:
                who = publisher(pages.words, db.sources.get(row.source), row.source)
                rows.append((row.rule, rule_figure(pages.words, row), row.source, who))
                cited.append(row.source)
        return pages.body("rules.html", chapter.address, rows=rows)

    def cautions(match: re.Match[str]) -> str:
        for caution in db.cautions.values():
            cited.extend(caution.source)
        return pages.body(
            "cautions.html",
            chapter.address,
            footer=db.caution_footer,
            cautions=[(c, " ".join(c.source)) for c in db.cautions.values()],
        )

    own = CITE.sub(cite, pages.words.in_units(chapter.text))
    text = without_comments(CAUTIONS.sub(cautions, RULES.sub(rules, own)))
    if cited:
        notes = pages.body("source_notes.html", chapter.address, sources=refs.entries())
        text += f"\n\n## {escape(pages.words.say('Sources'))} {{ #sources }}\n\n{notes}\n"
    return text, list(dict.fromkeys(cited))


@lru_cache(maxsize=200)
def to_html(text: str, address: str) -> str:
    """Markdown to a body, links made relative to the page's own address."""
    html = _markdown(text)
    html = re.sub(
        r'href="([a-z0-9-]+)\.md(#[^"]*)?"', lambda m: f'href="{_chapter(m.group(1))}{m.group(2) or ""}"', html
    )
    html = _named_tables(re.sub(r"<th(?=[ >])(?! scope)", '<th scope="col"', html))
    html = re.sub(r"<(p|li|tr)>((?:(?!</?\1\b).)*?)</\1>", _with_sources, html, flags=re.S)
    root = up(address)
    html = re.sub(r'href="(?!https?:|#|\.\.?/|mailto:)([^"]*)"', lambda m: f'href="{root}{m.group(1)}"', html)
    return str(Markup('<article class="el-page el-chapter">') + Markup(html) + Markup("</article>"))


def _markdown(text: str) -> str:
    return markdown.markdown(text, extensions=["tables", "attr_list", "md_in_html", "sane_lists", "toc"])


def _named_tables(html: str) -> str:
    """Each table takes its name from the heading above it, for readers who hear the page."""
    parts = re.split(r'(<h[1-3] id="[^"]+"|<table>)', html)
    heading = ""
    for i, part in enumerate(parts):
        if part.startswith("<h"):
            heading = part.split('"')[1]
        elif part == "<table>" and heading:
            parts[i] = f'<table aria-labelledby="{heading}">'
    return "".join(parts)


def _with_sources(match: re.Match[str]) -> str:
    """A paragraph, item or row that carries marks carries their sources as data too."""
    tag, inside = match.groups()
    names = dict.fromkeys(re.findall(r'<sup class="el-ref" data-source="([^"]+)"', inside))
    return f'<{tag} data-source="{" ".join(names)}">{inside}</{tag}>' if names else match.group(0)


def _chapter(name: str) -> str:
    return "" if name == "index" else f"{name}/"


def plain_text(html: str) -> str:
    """Words of a body, for the search."""
    text = re.sub(r"<sup.*?</sup>|<svg.*?</svg>|<[^>]+>", " ", html, flags=re.S)
    return " ".join(Markup(text).unescape().split())

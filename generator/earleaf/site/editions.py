"""One manual in several languages: an edition each, the first at the root, the others in a folder of their own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup

from ..database.languages import is_source, subtag
from ..database.load import Database
from ..database.manual import ManualDatabase
from ..database.near import near
from ..model.finding import Finding
from ..model.manual import Manual
from ..rendering.pages import up
from ..views.words import ENGLISH, Words
from .chapters import Chapter
from .elsewhere import Source
from .page import Alternate, Page
from .tree import Tree


class NotInManual(Exception):
    """A crop, lab or language that the manual does not have."""


@dataclass(frozen=True)
class Edition:
    """The manual in one language. `manual` says its own address: `prefix` is "" for the first, then such as "es/".

    `source` is the edition in English, for one in another language of a manual that has both.
    """

    tag: str
    name: str
    prefix: str
    manual: Manual
    db: Database
    chapters: list[Chapter]
    words: Words
    source: Source | None = None

    @property
    def lacks_start(self) -> bool:
        """Whether the edition in English has a first page and this one has none."""
        starts = [
            any(not c.address for c in some) for some in (self.source.chapters if self.source else (), self.chapters)
        ]
        return starts == [True, False]


def editions(manual: Manual, db: Database, chapters: dict[str, list[Chapter]]) -> list[Edition]:
    """Every edition of a manual, in its order."""
    made = [_edition(manual, db, chapters.get(tag, []), tag) for tag in manual.languages]
    english = next((edition for edition in made if is_source(edition.tag)), None)
    if english is None:
        return made
    full = tuple(english.chapters)
    ways = {e.tag: (up(e.prefix) if e.prefix else "") + english.prefix for e in made}
    return [e if e is english else replace(e, source=Source(ways[e.tag], full)) for e in made]


def edition_in(manual: Manual, db: Database, language: str | None) -> Edition:
    """The edition, without chapters, in a language by its tag or without its country (none: the first).

    Raises NotInManual.
    """
    tags = {name: tag for tag in reversed(manual.languages) for name in (subtag(tag), tag)}
    if language is not None and language not in tags:
        raise NotInManual(f"there is no language {language!r} in this manual; {near(language, tags)}")
    tag = tags[language] if language else manual.languages[0]
    return next(edition for edition in editions(manual, db, {}) if edition.tag == tag)


def words_of(manual: Manual, db: Database, tag: str) -> Words:
    """The words of one language, as this manual wants them."""
    known = db.languages.get(tag) if isinstance(db, ManualDatabase) else None
    sentences = {} if known is None or is_source(tag) else known.sentences
    about = known.language if known else ENGLISH
    return Words(tag, sentences, db.units, about, manual.units)


def _edition(manual: Manual, db: Database, chapters: list[Chapter], tag: str) -> Edition:
    words = words_of(manual, db, tag)
    prefix = "" if tag == manual.languages[0] else f"{subtag(tag)}/"
    address = f"{str(manual.site_url).rstrip('/')}/{prefix}"
    local = manual.model_copy(update={"title": words.say(manual.title), "site_url": address})
    return Edition(tag, words.about.name, prefix, local, db, chapters, words)


def untranslated(edition: Edition, missing: Iterable[str]) -> list[Finding]:
    """One finding for each sentence that every page needs, and for the first page: without them there is no edition."""
    where = f"languages/{subtag(edition.tag)}"
    hint = f"`earleaf catalogue {subtag(edition.tag)}` writes it into the catalogue; translate it there"
    found = [Finding(where, 0, "not-translated", f"{text!r} has no translation", hint) for text in missing]
    if edition.lacks_start:
        folder = edition.manual.chapters_folder or ""
        file = f"{folder}/index.md" if is_source(edition.tag) else f"{folder}/{subtag(edition.tag)}/index.md"
        said = f"the edition in {edition.name} has no first page"
        found.append(Finding(file, 0, "missing-file", said, "write it in that language; it begins with `# Title`"))
    return found


def left_out(edition: Edition, tree: Tree) -> list[Finding]:
    """A warning for each crop that an edition does not show."""
    where = f"languages/{subtag(edition.tag)}"
    found = []
    for crop, sentences in tree.left_out.items():
        first = min(sentences)
        count = f"{len(sentences)} sentences have" if len(sentences) > 1 else "1 sentence has"
        said = f"{crop} is left out of the edition in {edition.name}: {count} no translation, such as {first!r}"
        hint = f"`earleaf catalogue {subtag(edition.tag)}` lists them; translate them there"
        found.append(Finding(where, 0, "not-translated", said, hint, "warning"))
    return found


def joined(trees: Sequence[tuple[Edition, Tree]]) -> list[tuple[Edition, Tree]]:
    """The trees with a way from each page to the same page in the other languages, or to their list of crops."""
    if len(trees) < 2:
        return list(trees)
    out = []
    for edition, tree in trees:
        others = [(e, t) for e, t in trees if e is not edition]
        pages = {address: linked(page, edition, others) for address, page in tree.pages.items()}
        out.append((edition, replace(tree, pages=pages)))
    return out


def linked(page: Page, edition: Edition, others: Sequence[tuple[Edition, Tree]]) -> Page:
    """The page with a switch under its first line, and what its head should say of the other languages."""
    same = [Alternate(e.tag, f"{e.prefix}{page.address}") for e, tree in others if page.address in tree.pages]
    root = up(edition.prefix + page.address)
    links = Markup(" ").join(
        Markup('<a href="{}{}{}" lang="{}" hreflang="{}">{}</a>').format(
            root, e.prefix, page.address if page.address in tree.pages else "crops/", e.tag, e.tag, e.name
        )
        for e, tree in others
    )
    switch = Markup('<nav class="el-lang" aria-label="{}">{}</nav>').format(edition.words.say("Language"), links)
    head, article, rest = page.body.partition("<article")
    opening, close, rest = rest.partition(">")
    body = f"{head}{article}{opening}{close}{switch}{rest}"
    own = Alternate(edition.tag, f"{edition.prefix}{page.address}")
    return replace(page, body=body, alternates=(own, *same) if same else ())

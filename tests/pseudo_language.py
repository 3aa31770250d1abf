"""A made-up language, qps: English made longer, with accents and marks, so that what is not said shows.

Every vowel carries an accent, so a word with plain vowels has not gone through the catalogue. Every sentence stands
between marks, so one that is cut off shows. Every sentence is a third longer, as translations are.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from pathlib import Path

from earleaf.database.po_files import Entry, write_sentences
from earleaf.site.build import Prepared, prepare
from earleaf.site.catalogue import wanted
from earleaf.site.mkdocs_shell import texts_beside

CODE = "qps"
ACCENTS = str.maketrans("aeiouyAEIOUY", "áéíóúýÁÉÍÓÚÝ")
LANGUAGE = """\
language: {code}
name: Qpś
direction: {direction}
"""
KEPT = re.compile(r"\{[^{}]*\}|\[[^\[\]]*\]|\d+")
"""What a translation must hold as it is. Square brackets would be read as a regional term."""


def accented(sentence: str) -> str:
    """The sentence with an accent on every vowel; places and figures stay."""
    parts = []
    end = 0
    for match in KEPT.finditer(sentence):
        parts += [sentence[end : match.start()].translate(ACCENTS), match.group()]
        end = match.end()
    return "".join([*parts, sentence[end:].translate(ACCENTS)])


def pseudo(sentence: str) -> str:
    """The sentence with accents, a third longer, between marks."""
    return f"«{accented(sentence)}{' ó' * (len(sentence) * 35 // 200)}»"


def write_language(
    folder: Path,
    wanted: Mapping[str, Mapping[str, Iterable[str]]],
    *,
    code: str = CODE,
    translate: Callable[[str], str] = pseudo,
    rtl: bool = False,
) -> None:
    """`folder`/`code` with a .po file for each group of sentences, all translated."""
    ours = folder / code
    ours.mkdir(parents=True, exist_ok=True)
    (ours / "language.yml").write_text(LANGUAGE.format(code=code, direction="rtl" if rtl else "ltr"), "utf-8")
    for name, sentences in wanted.items():
        known = {s: Entry(s, translate(s), "", 0) for s in sentences}
        (ours / f"{name}.po").write_bytes(write_sentences(sentences, known, "en", "made up"))


MARKDOWN = re.compile(r"\]\([^)]*\)|\[@[^\]]*\]|<[^>]*>|\{[^{}]*\}|`[^`]*`|https?://\S+")
"""What is no prose in a chapter: addresses, citations, comments that stand for tables, code."""


def pseudo_chapter(text: str) -> str:
    """A chapter with accents; its links, citations and tables stay, and so do the ids of its headings."""
    parts = []
    end = 0
    for match in MARKDOWN.finditer(text):
        parts += [text[end : match.start()].translate(ACCENTS), match.group()]
        end = match.end()
    return "".join([*parts, text[end:].translate(ACCENTS)])


def second_language(
    manual: Path,
    today: date,
    *,
    chapters: Iterable[str] | None = None,
    code: str = CODE,
    translate: Callable[[str], str] = pseudo,
    rtl: bool = False,
) -> Prepared:
    """Give a manual an edition in the made-up language: chapters (all, or those named), and every sentence it needs.

    The manual's `languages_folder` must be the usual one.
    """
    text = manual.read_text("utf-8")
    languages = f"languages: [en, {code}]"
    text = re.sub(r"(?m)^languages:.*$", languages, text) if "\nlanguages:" in text else f"{text}{languages}\n"
    manual.write_text(text, "utf-8")
    write_language(manual.parent / "languages", {}, code=code)
    prepared = _read(manual, today)
    assert prepared.manual is not None and prepared.manual.chapters_folder
    folder = manual.parent / prepared.manual.chapters_folder
    (folder / code).mkdir(exist_ok=True)
    for chapter in prepared.chapters["en"]:
        if chapters is None or chapter.name in chapters:
            (folder / code / f"{chapter.name}.md").write_text(pseudo_chapter(chapter.text), "utf-8")
    sentences = wanted(prepared, code, texts_beside(manual))
    write_language(manual.parent / "languages", sentences, code=code, translate=translate, rtl=rtl)
    return _read(manual, today)


def _read(manual: Path, today: date) -> Prepared:
    prepared = prepare(manual, today)
    assert not prepared.errors, "\n".join(map(str, prepared.errors))
    return prepared


def copy_demo(root: Path, folder: Path) -> Path:
    """The demo manual without its own languages, below a folder of its own; the path of its manual.yml."""
    shutil.copytree(root / "demo_scenario", folder / "demo_scenario", ignore=shutil.ignore_patterns("languages"))
    (folder / "docs").mkdir()
    for chapter in (root / "docs").glob("*.md"):
        shutil.copy(chapter, folder / "docs")
    return folder / "demo_scenario/manual.yml"

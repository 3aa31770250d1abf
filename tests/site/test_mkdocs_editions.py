"""The MkDocs shell with two languages: an edition each, with the theme, the menu and the search in its own language.

Outside authority: the theme's own table of Spanish labels. The sentences of the second edition are made up.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import material
import pytest
from lxml import html
from lxml.html import HtmlElement

from earleaf.site.build import build_plain, prepare
from pseudo_language import accented, second_language
from small_manual import write

ONLY_HERE = "terms"
"""The list of terms of a language that has one; the shipped Spanish has, English needs none."""
CONFIG = """\
site_name: Small manual
site_url: https://manual.fernhollow.example/
docs_dir: docs
site_dir: site
strict: true
theme:
  name: material
  language: en
  font: false
  palette:
  - {media: "(prefers-color-scheme: light)", scheme: default, toggle: {icon: material/weather-night, name: Dark}}
  - {media: "(prefers-color-scheme: dark)", scheme: slate, toggle: {icon: material/weather-sunny, name: Light}}
plugins:
- search
- earleaf: {manual: manual.yml, cards: false}
copyright: Made in the open.
validation:
  nav: {omitted_files: ignore}
"""


def mkdocs(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict"],
        cwd=folder,
        capture_output=True,
        text=True,
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, today: date) -> Path:
    """The small manual in English and in what is called Spanish, built strictly."""
    folder = tmp_path_factory.mktemp("skin")
    manual = write(folder)
    (folder / "mkdocs.yml").write_text(CONFIG, "utf-8")
    second_language(manual, today, code="es", translate=accented)
    done = mkdocs(folder)
    assert done.returncode == 0, done.stderr[-2000:]
    assert "WARNING" not in done.stderr, done.stderr[-2000:]
    return folder


def page(folder: Path, address: str) -> HtmlElement:
    return html.document_fromstring((folder / "site" / address / "index.html").read_bytes())


def label(key: str, language: str) -> str:
    """A label out of the theme's own table."""
    table = Path(material.__file__).parent / f"templates/partials/languages/{language}.html"
    found = re.search(rf'"{re.escape(key)}": "([^"]*)"', table.read_text("utf-8"))
    assert found, key
    return found.group(1)


@pytest.mark.parametrize(
    ("address", "language"), [("", "en"), ("crops/corn/", "en"), ("es", "es"), ("es/crops/corn", "es")]
)
def test_page_and_theme_are_in_the_language(folder: Path, address: str, language: str) -> None:
    found = page(folder, address)
    assert found.get("lang") == language
    assert found.xpath("string(//input[@name='query']/@placeholder)") == label("search.placeholder", language)
    assert label("search.placeholder", "es") != label("search.placeholder", "en")


def test_the_menu_and_the_texts_of_mkdocs_yml_are_translated(folder: Path) -> None:
    text = " ".join(page(folder, "es").xpath("//nav[contains(@class, 'md-nav--primary')]")[0].text_content().split())
    for said in ("Crops, A to Z", "Telling growth stages", "Labs", "Guide", "Sources"):
        assert accented(said) in text and said not in text
    shown = (folder / "site/es/index.html").read_text("utf-8")
    for said in ("Dark", "Light", "Made in the open."):
        assert accented(said) in shown and said not in shown
        assert said in (folder / "site/index.html").read_text("utf-8")


def test_both_languages_have_the_same_addresses(folder: Path) -> None:
    pages = {p.parent.relative_to(folder / "site").as_posix() for p in (folder / "site").rglob("index.html")}
    spanish = {p.removeprefix("es").removeprefix("/") or "." for p in pages if p == "es" or p.startswith("es/")}
    assert spanish - {ONLY_HERE} == {p for p in pages if p != "es" and not p.startswith("es/")}
    assert not (folder / "site/es/.earleaf-site").exists() and (folder / "site/.earleaf-site").exists()


def test_a_switch_leaves_out_the_cards(folder: Path) -> None:
    menu = page(folder, "").xpath("//nav//a/@href")
    assert not (folder / "site/cards").exists()
    assert any(h.rstrip("/") == "labs" for h in menu) and not any(h.startswith("cards") for h in menu)


def test_the_bodies_are_those_of_the_plain_shell(folder: Path, today: date, tmp_path: Path) -> None:
    build_plain(prepare(folder / "manual.yml", today), tmp_path / "plain")
    for address in ("es", "es/crops", "es/crops/corn/silk", "crops/corn/silk"):
        bodies = [
            re.search(r"<article class=\"el-page.*?</article>", (top / address / "index.html").read_text("utf-8"), re.S)
            for top in (folder / "site", tmp_path / "plain")
        ]
        assert bodies[0] and bodies[1] and bodies[0].group() == bodies[1].group()


def test_each_language_has_a_search_of_its_own(folder: Path) -> None:
    spanish, english = (json.loads((folder / f"site/{p}search/search_index.json").read_text()) for p in ("es/", ""))
    assert spanish["config"]["lang"] == ["es"] and english["config"]["lang"] == ["en"]
    titles = {d["location"]: d["title"] for d in spanish["docs"]}
    assert titles["crops/corn/"] == accented("Corn: which leaf, and when")
    assert {d["location"] for d in english["docs"]} == set(titles) - {f"{ONLY_HERE}/"}


def test_each_page_names_the_other_in_full(folder: Path) -> None:
    url = "https://manual.fernhollow.example/"
    for address in ("", "crops/corn/silk/"):
        for prefix in ("", "es/"):
            links = page(folder, prefix + address).xpath("/html/head/link[@rel='alternate'][@hreflang]")
            assert {x.get("hreflang"): x.get("href") for x in links} == {
                "en": url + address,
                "es": f"{url}es/{address}",
            }
            assert (
                page(folder, prefix + address).xpath("string(//link[@rel='canonical']/@href)") == url + prefix + address
            )


def test_the_site_has_one_sitemap_with_both_languages(folder: Path) -> None:
    """MkDocs would write one for each run, and a packed copy; neither knows of the other language."""
    maps = sorted(p.relative_to(folder / "site").as_posix() for p in (folder / "site").rglob("sitemap*"))
    assert maps == ["sitemap.xml"] and (folder / "site/robots.txt").is_file()
    listed = (folder / "site/sitemap.xml").read_text("utf-8")
    for address in ("crops/corn/silk/", "es/crops/corn/silk/"):
        assert f"<loc>https://manual.fernhollow.example/{address}</loc>" in listed
    assert 'hreflang="es" href="https://manual.fernhollow.example/es/crops/corn/silk/"' in listed
    assert not (folder / "site/es/data/v1").exists() and (folder / "site/data/v1/index.json").is_file()


def test_what_a_page_says_to_programs_is_in_its_head(folder: Path) -> None:
    found = page(folder, "es/crops/corn/silk").xpath("/html/head/script[@type='application/ld+json']/text()")
    assert len(found) == 1 and json.loads(found[0])["inLanguage"] == "es"
    feed = page(folder, "changes").xpath("string(/html/head/link[@type='application/atom+xml']/@href)")
    assert feed == "https://manual.fernhollow.example/changes.atom" and (folder / "site/changes.atom").is_file()


def test_a_word_that_lacks_stops_the_build(folder: Path) -> None:
    """A word of mkdocs.yml. Before anything is written: the last good site stays."""
    sentence = "Dark"
    before = {p: p.read_bytes() for p in (folder / "site").rglob("*") if p.is_file()}
    ((file, text),) = [
        (p, p.read_text("utf-8"))
        for p in (folder / "languages/es").glob("*.po")
        if f'msgid "{sentence}"' in p.read_text()
    ]
    file.write_text(text.replace(f'msgstr "{accented(sentence)}"', 'msgstr ""'), "utf-8")
    try:
        done = mkdocs(folder)
    finally:
        file.write_text(text, "utf-8")
    assert done.returncode != 0 and "Traceback" not in done.stderr
    assert f"'{sentence}' has no translation" in done.stderr and "earleaf catalogue es" in done.stderr
    assert {p: p.read_bytes() for p in (folder / "site").rglob("*") if p.is_file()} == before

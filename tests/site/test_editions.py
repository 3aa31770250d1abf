"""A manual in two languages, the second one made up: nothing English is left in it, and each page knows its other self.

The made-up language has accents on every vowel (tests/pseudo_language.py). Outside authority: BCP 47 for tags, the HTML
Standard for `lang`, `dir` and `hreflang`; RFC 5545 for feeds is checked in test_feeds.py.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from urllib.parse import urljoin

import pytest
from lxml import html
from lxml.html import HtmlElement
from site_tree import SiteTree, report

from earleaf.database.manual import ManualDatabase
from earleaf.model.lab import Lab
from earleaf.planning.localise import localise
from earleaf.site.build import Prepared, build_plain, grow
from earleaf.site.cache import Cache, usual_folder
from earleaf.site.cards import CannotBuild, Press
from earleaf.site.editions import Edition, left_out, words_of
from earleaf.site.tree import Tree
from earleaf.views.card import card
from earleaf.views.common import other_names
from paper import Paper, bare
from pseudo_language import CODE, accented, copy_demo, pseudo, second_language
from small_manual import write

Editions = list[tuple[Edition, Tree]]
SILKS = "The tassel is out. No silks yet, or silks just showing or fresh."
"""Stands in corn.yml alone."""


@pytest.fixture(scope="module")
def pseudo_demo(root: Path, today: date, tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    """The demo manual in English and in the made-up language."""
    return second_language(copy_demo(root, tmp_path_factory.mktemp("pseudo")), today)


@pytest.fixture(scope="module")
def both(pseudo_demo: Prepared, tmp_path_factory: pytest.TempPathFactory) -> SiteTree:
    """Both editions in the plain shell, without cards."""
    out = tmp_path_factory.mktemp("both") / "site"
    build_plain(pseudo_demo, out)
    return SiteTree(out)


@pytest.fixture(scope="module")
def without_corn(pseudo_demo: Prepared) -> Editions:
    """A few crops of the same, where one sentence of corn has no translation."""
    crops = {name: pseudo_demo.db.crops[name] for name in ("apple", "corn", "soybean", "sweet-corn", "wheat")}
    return grow(lacking(replace(pseudo_demo, db=replace(pseudo_demo.db, crops=crops)), SILKS))


def lacking(prepared: Prepared, *sentences: str) -> Prepared:
    """A manual whose made-up language lacks some sentences, which it had."""
    db = prepared.db
    assert isinstance(db, ManualDatabase)
    catalogue = db.languages[CODE]
    assert set(sentences) <= catalogue.sentences.keys()
    rest = {s: t for s, t in catalogue.sentences.items() if s not in sentences}
    return replace(prepared, db=replace(db, languages={**db.languages, CODE: replace(catalogue, sentences=rest)}))


def small(folder: Path, today: date, *, chapters: list[str] | None = None, rtl: bool = False) -> Prepared:
    """The small manual in English and in the made-up language."""
    return second_language(write(folder), today, chapters=chapters, rtl=rtl)


ONCE = ("data/v1/", "sitemap.xml", "robots.txt", ".earleaf-site", "keep.js")
"""What the site has at its root for all languages."""


def whole_pages(site: SiteTree) -> dict[str, HtmlElement]:
    """The pages of the manual itself; what other sites show inside their own pages has neither menu nor switch."""
    return {a: page for a, page in site.pages.items() if not re.match(rf"(?:{CODE}/)?embed/", a)}


QUOTED = (
    "//script|//style|//code|//textarea"  # not prose; what other sites copy is code
    "|//body//*[@lang='la' or @lang='en']"  # Latin names; the way to the English edition
    "|//tr[@data-row]/th/a|//td/a[contains(@href, 'sources/#')]"  # publishers, as they call themselves
    "|//dl[contains(@class, 'el-sourcelist')]//dt"  # citations
)
SHOWN = ("alt", "aria-label", "content", "label", "placeholder", "title")
ADDRESS = re.compile(r"\bc/[a-z0-9]+/(?:[a-z0-9-]+/)?|\S+\.example\S*|\bdata/v1/\S*|JSON Schema")
"""Addresses, and the name of a standard."""
WORD = re.compile(r"[^\W\d_]{3,}")


@dataclass(frozen=True)
class Leak:
    page: str
    where: str
    words: str
    text: str


def leaks(page: str, document: HtmlElement, names: set[str]) -> Iterator[Leak]:
    """Texts with words whose vowels have no accents, other than names and what is quoted."""
    for quoted in document.xpath(QUOTED):
        quoted.drop_tree()
    for entry in document.xpath("//ol[contains(@class, 'el-sources')]/li"):
        entry.text = ""  # the citation; how it was read is an element of its own
    texts = [(node.getparent().tag, str(node)) for node in document.xpath("//text()")]
    for name in SHOWN:
        elements = document.xpath(f"//*[@{name}][not(self::meta) or @name='description']")
        texts += [(f"@{name}", element.get(name) or "") for element in elements]
    for where, text in texts:
        found = [w for w in WORD.findall(ADDRESS.sub("", text)) if w.isascii() and re.search("[aeiouy]", w)]
        if words := [w for w in found if w not in names]:
            yield Leak(page, where, " ".join(words), " ".join(text.split())[:90])


def test_no_english_word_is_left(both: SiteTree, pseudo_demo: Prepared) -> None:
    """Every page and every attribute that is read out; names of labs and of the team are names."""
    assert pseudo_demo.manual is not None
    called = [pseudo_demo.manual.team, *(lab.name for lab in pseudo_demo.db.labs.values())]
    names = {word for name in called for word in WORD.findall(name)}
    found: list[object] = []
    for address, document in both.pages.items():
        if address.startswith(f"{CODE}/"):
            fresh = html.document_fromstring(html.tostring(document))
            found += leaks(address, fresh, names)
    assert not found, report(found)


def test_the_search_for_leaks_finds_one(both: SiteTree) -> None:
    """The same search over an English page finds its text, its attributes and its drawing."""
    fresh = html.document_fromstring(html.tostring(both.pages["crops/corn/tassel-to-silk/"]))
    where = {leak.where for leak in leaks("", fresh, set())}
    assert {"h1", "p", "li", "text", "desc", "@alt", "@aria-label", "@content"} <= where


def test_drawings_say_it_in_the_language_too(both: SiteTree) -> None:
    files = [n for n in both.files if n.startswith(f"{CODE}/drawings/") and n.endswith(".svg")]
    said = [t for n in files for t in re.findall(r">([^<>]+)<", both.files[n].decode())]
    assert len(files) > 100 and len(said) > 100
    assert not [text for text in said for w in WORD.findall(text) if w.isascii() and re.search("[aeiouy]", w)]


def test_both_editions_have_the_same_files(both: SiteTree) -> None:
    """Addresses do not change with the language: only the folder in front of them does."""
    mine = {n.removeprefix(f"{CODE}/") for n in both.files if n.startswith(f"{CODE}/")}
    english = {n for n in both.files if not n.startswith((f"{CODE}/", *ONCE))}
    assert mine == english
    assert "crops/corn/tassel-to-silk/index.html" in mine and "calendars/corn.ics" in mine


def test_every_page_says_its_language(both: SiteTree) -> None:
    for address, page in both.pages.items():
        assert page.get("lang") == (CODE if address.startswith(f"{CODE}/") else "en"), address
        assert page.get("dir") is None
    for file, page in both.redirects.items():
        assert page.get("lang") == (CODE if file.startswith(f"{CODE}/") else "en"), file


def test_each_page_names_both_languages_in_full(both: SiteTree, pseudo_demo: Prepared) -> None:
    """hreflang must be absolute, must name the page itself, and must be the same on both sides."""
    assert pseudo_demo.manual is not None
    url = str(pseudo_demo.manual.site_url)
    for address, page in whole_pages(both).items():
        inside = address.removeprefix(f"{CODE}/")
        links = {x.get("hreflang"): x.get("href") for x in page.xpath("/html/head/link[@rel='alternate'][@hreflang]")}
        assert links == {"en": f"{url}{inside}", CODE: f"{url}{CODE}/{inside}"}, address
        assert page.xpath("string(/html/head/link[@rel='canonical']/@href)") == f"{url}{address}"


def test_the_switch_leads_to_the_same_page(both: SiteTree) -> None:
    for address, page in whole_pages(both).items():
        (link,) = page.xpath("//nav[@class='el-lang']/a")
        there = "en" if address.startswith(f"{CODE}/") else CODE
        assert (link.get("lang"), link.get("hreflang")) == (there, there)
        other = address.removeprefix(f"{CODE}/") if there == "en" else f"{CODE}/{address}"
        assert both.resolve(f"{address}index.html", link.get("href"))[0] == f"{other}index.html"
        assert link.text == ("English" if there == "en" else "Qpś")


def test_no_link_leads_out_of_the_site(both: SiteTree) -> None:
    """Every relative link of the other edition finds its file; only the switch leaves the folder of the edition."""
    wrong: list[object] = []
    for address, page in both.pages.items():
        if not address.startswith(f"{CODE}/"):
            continue
        for link in page.xpath("//*[@href or @src]"):
            to = link.get("href") or link.get("src")
            if re.match(r"[a-z]+:|//", to):
                continue
            file, part = both.resolve(f"{address}index.html", to)
            if file == f"{CODE}/cards/index.html":
                continue  # this site is built without paper
            inside = file.startswith((f"{CODE}/", *ONCE)) or link.get("hreflang") == "en"
            if file not in both.files or not inside or (part and part not in both.ids.get(file, [part])):
                wrong.append((address, to))
    assert not wrong, report(wrong)


def test_each_edition_has_a_search_of_its_own(both: SiteTree) -> None:
    mine, english = (json.loads(both.files[f"{p}search/search_index.json"]) for p in (f"{CODE}/", ""))
    assert mine["config"]["lang"] == [CODE] and english["config"]["lang"] == ["en"]
    assert [d["location"] for d in mine["docs"]] == [d["location"] for d in english["docs"]]
    corn = next(d for d in mine["docs"] if d["location"] == "crops/corn/")
    assert pseudo("Corn") in corn["title"] and "maize" not in corn["text"]
    box = both.pages[f"{CODE}/search/"]
    assert box.xpath("string(//body/@data-root)") == "../"


def test_each_edition_has_its_own_feeds_and_both_share_the_data(both: SiteTree) -> None:
    feed = both.files[f"{CODE}/calendars/corn.ics"].replace(b"\r\n ", b"").decode()
    assert pseudo("Corn") in feed and "SUMMARY:Corn" not in feed
    assert f"/{CODE}/crops/corn/" in feed
    index = json.loads(both.files["data/v1/index.json"])
    assert next(c["names"] for c in index["crops"] if c["id"] == "corn") == {"en": "Corn", CODE: pseudo("Corn")}
    assert not [name for name in both.files if name.startswith(f"{CODE}/data/v1/")]


def test_figures_are_the_same_in_both(both: SiteTree) -> None:
    """A wrong number in one language only is the worst fault of a translation: all figures of a page but drawings."""

    def figures(address: str) -> Counter[str]:
        return Counter(n for t in both.texts(address) if not t.in_tag("svg") for n in re.findall(r"\d+", t.text))

    for address in both.handouts:
        if not address.startswith(f"{CODE}/"):
            assert figures(address) == figures(f"{CODE}/{address}"), address


def test_a_language_from_right_to_left_says_so(tmp_path: Path, today: date) -> None:
    build_plain(small(tmp_path, today, rtl=True), tmp_path / "site")
    site = SiteTree(tmp_path / "site")
    assert {p.get("dir") for a, p in site.pages.items() if a.startswith(f"{CODE}/")} == {"rtl"}
    assert {p.get("dir") for a, p in site.pages.items() if not a.startswith(f"{CODE}/")} == {None}


def test_english_may_be_the_second_language(tmp_path: Path, today: date) -> None:
    """The first one of the list is at the root, whatever it is."""
    prepared = small(tmp_path, today)
    assert prepared.manual is not None
    turned = replace(prepared, manual=prepared.manual.model_copy(update={"languages": (CODE, "en")}))
    build_plain(lacking(turned, "The first flowers are open."), tmp_path / "site")
    site = SiteTree(tmp_path / "site")
    assert site.pages["crops/corn/"].get("lang") == CODE and site.pages["en/crops/corn/"].get("lang") == "en"
    (link,) = site.pages["crops/"].xpath("//ul[contains(@class, 'el-only-there')]//a")
    assert site.resolve("crops/index.html", link.get("href"))[0] == "en/crops/bean/index.html"


def test_no_english_word_is_left_on_paper(tmp_path: Path, today: date) -> None:
    """Cards, decks, the field record and the pages that offer them, of a language as long as English."""
    prepared = second_language(write(tmp_path), today, translate=accented)
    assert prepared.manual is not None
    names = set(WORD.findall(f"{prepared.manual.team} Stonewell Leaf Lab, stonewell"))
    _, (_, tree) = grow(prepared, Cache(usual_folder()))
    found: list[object] = []
    for address in ("cards/", "cards/stonewell/", "crops/corn/silk/"):
        found += leaks(address, html.document_fromstring(tree.pages[address].body), names)
    papers = {name: Paper(content) for name, content in tree.files.items() if name.endswith(".pdf")}
    for name, paper in papers.items():
        words = WORD.findall(ADDRESS.sub("", " ".join(paper.texts)))
        found += [(name, w) for w in words if w.isascii() and re.search("[aeiouy]", w) and w not in names]
        assert str(paper.pdf.Root.Lang) == CODE
    assert len(papers) > 10
    assert not found, report(found)


# A crop that is not wholly translated


def mentions(tree: Tree, crop: str, name: str) -> Iterator[str]:
    """Where a tree speaks of a crop: in links to it that stay in the edition, in its search, files and data."""
    inside = re.compile(rf"(?:crops|calendars|drawings|labs/[a-z]+)/{crop}/")
    for address, page in tree.pages.items():
        for link in re.findall(r"<a [^>]*>", page.body):
            if inside.search(link) and 'hreflang="en"' not in link:
                yield f"{address}: {link}"
        if name in (page.search or "") or inside.search(address):
            yield address
    for file, content in tree.files.items():
        if inside.search(file) and b"http-equiv" not in content:
            yield file
        if file.endswith((".ics", ".json")) and f"crops/{crop}/".encode() in content:
            yield file


def test_a_crop_that_lacks_a_sentence_is_left_out_of_that_edition(without_corn: Editions) -> None:
    (_, full), (_, tree) = without_corn
    assert list(tree.left_out) == ["corn"] and tree.left_out["corn"] == {SILKS}
    assert not tree.missing and not full.left_out
    assert "crops/corn/" in full.pages and list(mentions(full, "corn", "Corn"))
    found: list[object] = list(mentions(tree, "corn", pseudo("Corn")))
    assert not found, report(found)
    assert set(full.pages) - set(tree.pages) == {a for a in full.pages if re.search(r"(?:^|/)corn/", a)}


def test_a_crop_that_is_left_out_is_told(without_corn: Editions) -> None:
    (english, full), (edition, tree) = without_corn
    assert left_out(english, full) == []
    (warning,) = left_out(edition, tree)
    assert (warning.rule, warning.level) == ("not-translated", "warning")
    assert "corn" in warning.message and SILKS in warning.message and f"earleaf catalogue {CODE}" in warning.hint


def test_its_page_in_english_is_one_link_away(without_corn: Editions) -> None:
    _, (_, tree) = without_corn
    (link,) = html.fromstring(tree.pages["crops/"].body).xpath("//ul[contains(@class, 'el-only-there')]//a")
    assert (link.text, link.get("lang"), link.get("hreflang")) == ("Corn", "en", "en")
    assert urljoin(f"/{CODE}/crops/", link.get("href")) == "/crops/corn/"


def test_the_page_in_english_leads_to_the_list_of_the_other(without_corn: Editions) -> None:
    (_, full), _ = without_corn
    page = html.fromstring(full.pages["crops/corn/tassel-to-silk/"].body)
    (link,) = page.xpath("//nav[@class='el-lang']/a")
    assert urljoin("/crops/corn/tassel-to-silk/", link.get("href")) == f"/{CODE}/crops/"
    assert full.pages["crops/corn/tassel-to-silk/"].alternates == ()


def test_addresses_that_were_printed_lead_to_the_english_page(without_corn: Editions, pseudo_demo: Prepared) -> None:
    _, (_, tree) = without_corn
    (silk,) = (p for p in pseudo_demo.db.crops["corn"].protocols if p.protocol == "tassel-to-silk")
    for address in ("crops/corn/", "crops/corn/tassel-to-silk/", "labs/larkmoor/corn/tassel-to-silk/"):
        page = html.document_fromstring(tree.files[f"{address}index.html"])
        assert urljoin(f"/{CODE}/{address}", page.xpath("string(//a/@href)")) == f"/{address}"
        assert page.get("lang") == "en"
    short = html.document_fromstring(tree.files[f"c/{silk.short_id}/larkmoor/index.html"])
    target = "/labs/larkmoor/corn/tassel-to-silk/"
    assert urljoin(f"/{CODE}/c/{silk.short_id}/larkmoor/", short.xpath("string(//a/@href)")) == target
    assert short.xpath("string(//link[@rel='canonical']/@href)").endswith(f".example{target}")


def test_a_chapter_that_speaks_of_it_leads_to_the_english_page(tmp_path: Path, today: date) -> None:
    manual = write(tmp_path)
    with (tmp_path / "docs/index.md").open("a", encoding="utf-8") as chapter:
        chapter.write("\nSee [beans](crops/bean/bloom/) and [corn](crops/corn/).\n")
    prepared = lacking(second_language(manual, today), "The first flowers are open.")
    _, (_, tree) = grow(prepared)
    links = html.fromstring(tree.pages[""].body).xpath("//p[contains(., 'béáns')]/a")
    assert [urljoin(f"/{CODE}/", x.get("href")) for x in links] == ["/crops/bean/bloom/", f"/{CODE}/crops/corn/"]
    assert [x.get("hreflang") for x in links] == ["en", None]


def test_cards_of_it_are_left_out_as_well(tmp_path: Path, today: date) -> None:
    prepared = second_language(write(tmp_path), today, translate=str)  # as long as English, so that the cards fit
    (_, full), (_, tree) = grow(lacking(prepared, "The first flowers are open."), Cache(usual_folder()))
    assert any("bean" in name for name in full.files if name.startswith("cards/"))
    assert not [name for name in tree.files if name.startswith("cards/") and "bean" in name]
    assert "bean" not in tree.pages["cards/"].body
    assert any("corn" in name for name in tree.files if name.startswith("cards/"))


# Names, and pages from right to left


@pytest.mark.parametrize("language", ["en", "es-US"])
def test_no_crop_is_also_called_by_its_own_name(demo: Prepared, language: str) -> None:
    """Two English names may be one word in another language."""
    assert demo.manual is not None
    words = words_of(demo.manual, demo.db, language)
    dropped = 0
    for crop in demo.db.crops.values():
        names = [name.casefold() for name in other_names(words, crop)]
        assert len(set(names)) == len(names) and words.say(crop.name).casefold() not in names, crop.crop
        dropped += len(crop.also_called) - len(names)
    assert bool(dropped) == (language != "en")


def test_no_style_sheet_knows_left_from_right(root: Path) -> None:
    """CSS Logical Properties: a side is where lines start or end, so that a language from right to left is mirrored."""
    folder = root / "generator/earleaf"
    sheets = [*folder.glob("site/assets/*.css"), *folder.glob("rendering/templates/*.css")]
    sheets.append(folder / "rendering/templates/own_season.html")
    assert len(sheets) > 4
    side = re.compile(
        r"(?:margin|padding|border)-(?:left|right)\b|text-align:\s*(?:left|right)|[;{ ](?:left|right)\s*:"
    )
    assert not {path.name: found for path in sheets if (found := side.findall(path.read_text("utf-8")))}
    for name in ("site/assets/earleaf.css", "rendering/templates/embed.css"):
        assert re.search(r"svg ?{[^}]*direction: ?ltr", (folder / name).read_text("utf-8")), name


# What every page needs


@pytest.mark.parametrize(
    "sentence", ["Skip to the page", "What ruins the sample, and what to do", "Ask what was sprayed and when."]
)
def test_a_sentence_that_all_need_stops_the_build(tmp_path: Path, today: date, sentence: str) -> None:
    """One of the shell, one of the handout, one of the database; the last good site stays."""
    prepared, out = small(tmp_path, today), tmp_path / "site"
    build_plain(prepared, out)
    before = {p: p.read_bytes() for p in out.rglob("*") if p.is_file()}
    with pytest.raises(CannotBuild) as caught:
        build_plain(lacking(prepared, sentence), out)
    told = [f for f in caught.value.findings if repr(sentence) in f.message]
    assert [(f.file, f.rule, f.level) for f in told] == [(f"languages/{CODE}", "not-translated", "error")]
    assert f"earleaf catalogue {CODE}" in told[0].hint
    assert {p: p.read_bytes() for p in out.rglob("*") if p.is_file()} == before


def test_an_edition_without_any_crop_is_none(tmp_path: Path, today: date) -> None:
    prepared = lacking(small(tmp_path, today), "The first flowers are open.", "Plants are below your knee.")
    with pytest.raises(CannotBuild) as caught:
        grow(prepared)
    assert {f.rule for f in caught.value.findings} == {"not-translated"}
    assert len(caught.value.findings) == 2


def test_an_edition_needs_a_first_page(tmp_path: Path, today: date) -> None:
    with pytest.raises(CannotBuild) as caught:
        grow(small(tmp_path, today, chapters=[]))
    (fault,) = caught.value.findings
    assert (fault.rule, fault.file) == ("missing-file", f"docs/{CODE}/index.md")


def test_chapters_that_are_not_written_yet_are_offered_in_english(tmp_path: Path, today: date) -> None:
    manual = write(tmp_path)
    (tmp_path / "docs/tools.md").write_text("# What to carry\n\nA bag.\n", "utf-8")
    prepared = second_language(manual, today, chapters=["index"])
    (_, full), (_, tree) = grow(prepared)
    assert "tools/" in full.pages and "tools/" not in tree.pages
    (link,) = html.fromstring(tree.pages["guide/"].body).xpath("//ul[contains(@class, 'el-only-there')]//a")
    assert (link.text, link.get("hreflang")) == ("What to carry", "en")
    assert urljoin(f"/{CODE}/guide/", link.get("href")) == "/tools/"
    assert "el-only-there" not in full.pages["guide/"].body


# Paper


def said_on(thing: object) -> Iterator[str]:
    """Every text of a card's view."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, tuple):
        for one in thing:
            yield from said_on(one)
    elif hasattr(thing, "__dataclass_fields__"):
        for name in thing.__dataclass_fields__:
            if name not in ("name", "language", "short_url"):
                yield from said_on(getattr(thing, name))


@pytest.mark.parametrize("crop", ["corn", "turf", "blueberry"])
def test_a_card_prints_whole_or_says_that_it_cannot(pseudo_demo: Prepared, crop: str) -> None:
    """With sentences a third longer a card is printed with every word, or there is a finding: nothing is cut off."""
    assert pseudo_demo.manual is not None
    words = words_of(pseudo_demo.manual, pseudo_demo.db, CODE)
    press = Press(pseudo_demo.db, pseudo_demo.manual, words, Cache(usual_folder()))
    grown = pseudo_demo.db.crops[crop]
    lab: Lab | None = None
    for protocol in grown.protocols:
        local = localise(pseudo_demo.db, grown, protocol, lab)
        ready, files = press.crop(grown, lab, [local])
        faults = press.take_faults()
        if not ready:
            assert faults
            for fault in faults:
                assert fault.file.endswith(f"crops/{crop}.yml") and fault.line > 1
                assert " mm too " in fault.message and f"languages/{CODE}" in fault.hint
            continue
        assert not faults
        text = bare(Paper(next(b for n, b in files.items() if n.endswith(f"{protocol.protocol}.pdf"))).texts[0])
        view = card(pseudo_demo.db, words, pseudo_demo.manual, local)
        assert not [part for part in said_on(view) if bare(part) not in text]

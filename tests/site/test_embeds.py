"""What stands inside the pages of others: light, still, and true to the page it is taken from.

Outside authority: oEmbed 1.0 (https://oembed.com, 2.3.4 response parameters, 2.3.4.4 the rich type, 4 discovery); CSP
level 3 and the HTML Standard for what a policy in a page can say.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from xml.etree import ElementTree

import pytest
from lxml import html
from lxml.html import HtmlElement
from site_tree import SiteTree, outside, report, words_of

from earleaf.database.load import Database
from earleaf.model.crop import Crop, Protocol
from earleaf.planning.localise import localise
from earleaf.rendering.pages import Pages
from earleaf.site.build import Prepared
from earleaf.site.embeds import lab_embeds
from earleaf.site.tree import assets
from earleaf.views.handout import handout
from earleaf.views.words import Words

WEIGHT = 60_000
SCRIPT_WEIGHT = 1_000
LANGUAGES = ("site", "spanish")
CARD = re.compile(r"embed/cards/([^/]+)/")


@pytest.fixture(params=LANGUAGES)
def edition(request: pytest.FixtureRequest) -> SiteTree:
    """Each edition of the demo manual in turn."""
    found = request.getfixturevalue(request.param)
    assert isinstance(found, SiteTree)
    return found


@pytest.fixture
def home(edition: SiteTree, demo: Prepared) -> str:
    """The address at which the edition is published."""
    assert demo.manual is not None
    return f"{str(demo.manual.site_url).rstrip('/')}/{'es/' if edition.alone else ''}"


def still(edition: SiteTree) -> dict[str, HtmlElement]:
    """The embeds that stand still, by address."""
    return {n.removesuffix("index.html"): d for n, d in edition.embeds.items() if n.endswith("index.html")}


def data_of(edition: SiteTree) -> dict[str, dict[str, Any]]:
    """The oEmbed answers, by the address of their embed."""
    return {n.removesuffix("oembed.json"): json.loads(b) for n, b in edition.files.items() if n.endswith("oembed.json")}


def wanted(edition: SiteTree) -> dict[str, str]:
    """Every embed that an edition must have, and the page it is taken from; told from the pages, not from the code."""
    out = {}
    for address in edition.handouts:
        lab = re.fullmatch(r"labs/([^/]+)/([^/]+)/([^/]+)/", address)
        inside = f"labs/{lab[1]}/{lab[2]}/{lab[3]}/" if lab else address.removeprefix("crops/")
        out[f"embed/{inside}"] = address
        card = "-".join((lab[2], lab[3], lab[1])) if lab else inside.rstrip("/").replace("/", "-")
        out[f"embed/cards/{card}/"] = address
    out |= {f"embed/{a}": a for a, page in edition.pages.items() if page.find_class("el-calendar")}
    return out


def test_every_handout_card_and_calendar_has_one(edition: SiteTree) -> None:
    taken_from = wanted(edition)
    assert len(taken_from) > 1000
    assert still(edition).keys() == taken_from.keys() == data_of(edition).keys()
    growing = {n.removesuffix("grow.html") for n in edition.embeds if n.endswith("grow.html")}
    assert growing == {a for a in taken_from if not CARD.match(a)}


def test_canonical_is_the_whole_page(edition: SiteTree, home: str) -> None:
    taken_from = wanted(edition)
    wrong = [
        name
        for name, page in edition.embeds.items()
        if page.xpath("//link[@rel='canonical']/@href") != [home + taken_from[name.rpartition("/")[0] + "/"]]
    ]
    assert not wrong, report(wrong)


def test_it_leads_to_the_whole_page_in_a_new_tab(edition: SiteTree) -> None:
    taken_from = wanted(edition)
    wrong = []
    for name, page in edition.embeds.items():
        target = f"{taken_from[name.rpartition('/')[0] + '/']}index.html"
        links = page.xpath("//a")
        ways = [edition.resolve(name, link.get("href"))[0] for link in links]
        if target not in ways or any(
            link.get("target") != "_blank" or "noopener" not in link.get("rel") for link in links
        ):
            wrong.append(name)
    assert not wrong, report(wrong)


def test_an_embed_is_light_with_all_that_it_asks(edition: SiteTree) -> None:
    heavy = []
    for name, page in edition.embeds.items():
        parts = [edition.resolve(name, src)[0] for src in page.xpath("//@src")]
        weight = len(edition.files[name]) + sum(len(edition.files[part]) for part in parts)
        if weight > WEIGHT:
            heavy.append((name, weight))
    assert not heavy, report(heavy)


def test_nothing_in_it_reaches_out(edition: SiteTree) -> None:
    """No file but the picture of a card; no style sheet, font, frame, form, handler or word of storage."""
    wrong = []
    for name, page in edition.embeds.items():
        text = edition.files[name].decode()
        wrong += [(name, "asks", s) for s in page.xpath("//@src|//@srcset|//@data|//@action") if outside(s)]
        wrong += [(name, "links", h) for h in page.xpath("//a/@href|//link[@rel='stylesheet']/@href") if outside(h)]
        wrong += [
            (name, e.tag, "") for e in page.xpath("//form|//input|//button|//iframe|//object|//embed|//base|//audio")
        ]
        wrong += [(name, "handler", a) for a in page.xpath("//@*[starts-with(name(), 'on')]")]
        wrong += [
            (name, "word", w)
            for w in re.findall(r"cookie|localStorage|sessionStorage|indexedDB|@import|url\((?!#)", text)
        ]
        wrong += [(name, "meta", "") for _ in page.xpath("//meta[@http-equiv='refresh']")]
    assert not wrong, report(wrong)


def test_the_plain_one_holds_no_script_and_the_growing_one_just_ours(edition: SiteTree) -> None:
    """The growing page lets run the one script that it holds, by its hash, as CSP level 3 reckons it."""
    wrong = []
    for name, page in edition.embeds.items():
        (policy,) = page.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")
        rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
        scripts = page.xpath("//script")
        basic = rules["default-src"] == "'none'" and rules["style-src"] == "'unsafe-inline'"
        basic = basic and rules["img-src"] == "'self' data:" and "unsafe-eval" not in policy
        if name.endswith("index.html"):
            good = not scripts and "script-src" not in rules
        else:
            digest = base64.b64encode(hashlib.sha256(scripts[0].text.encode()).digest()).decode()
            good = len(scripts) == 1 and not scripts[0].attrib and rules["script-src"] == f"'sha256-{digest}'"
            good = good and 'addEventListener("message"' not in scripts[0].text
        if not (basic and good):
            wrong.append((name, policy))
    assert not wrong, report(wrong)


def test_our_script_for_other_sites_is_tiny() -> None:
    script = assets()["embed.js"]
    assert len(script) <= SCRIPT_WEIGHT
    assert b"e.source" in script and b"e.origin" in script and b"http" not in script


def test_it_says_what_its_page_says(edition: SiteTree) -> None:
    """Part, counts, version, lab and day of checking are those of the handout, letter for letter."""
    embeds = still(edition)
    wrong = []
    for address, source in wanted(edition).items():
        page, full = embeds[address], edition.pages[source]
        if CARD.match(address) or not full.find_class("el-handout"):
            continue
        for ours, theirs in (("what", "el-what"), ("count", "el-count")):
            said = [words_of(e) for e in page.find_class(ours)]
            marks = [" ".join("".join(e.xpath("text()")).split()) for e in full.find_class(theirs)]
            wrong += [(address, ours, said, marks)] if said != marks else []
        foot = words_of(page.xpath("//footer")[0])
        for fact in full.xpath("//footer[contains(@class, 'el-foot')]/span")[:3]:
            wrong += [(address, "foot", foot, words_of(fact))] if words_of(fact) not in foot else []
        lab = full.xpath("//p[@class='el-for']/b")
        head = words_of(page.xpath("//header")[0])
        wrong += [(address, "lab", head, "")] if lab and words_of(lab[0]) not in head else []
        if bool(full.find_class("el-plant")) != bool(page.find_class("el-plant")):
            wrong.append((address, "drawing", "", ""))
    assert not wrong, report(wrong)


def test_every_figure_of_an_embed_carries_its_source(edition: SiteTree, manual_db: Database) -> None:
    """Counts, and lines with a figure in digits; codes, days and addresses are no values."""
    wrong = []
    for name, page in still(edition).items():
        for node in page.xpath("//main//text()[normalize-space()]"):
            around = [node.getparent(), *node.getparent().iterancestors()]
            if not re.search(r"\d", node) or any(
                e.tag in ("h1", "svg") or e.get("data-meta") is not None for e in around
            ):
                continue
            sources = [e.get("data-source") for e in around if e.get("data-source")]
            if not sources or not set(sources[0].split()) <= manual_db.sources.keys():
                wrong.append((name, str(node)))
    assert not wrong, report(wrong)


def test_ids_are_unique_and_headings_in_order(edition: SiteTree) -> None:
    wrong = []
    for name, page in edition.embeds.items():
        ids = page.xpath("//@id")
        levels = [int(h.tag[1]) for h in page.xpath("//h1|//h2|//h3")]
        if len(ids) != len(set(ids)) or levels[0] != 1 or levels.count(1) != 1 or max(levels) > 2:
            wrong.append((name, ids, levels))
    assert not wrong, report(wrong)


# oEmbed 1.0

REQUIRED = {"type": str, "version": str, "html": str, "width": int, "height": int}
OPTIONAL = {
    "title": str,
    "author_name": str,
    "author_url": str,
    "provider_name": str,
    "provider_url": str,
    "cache_age": int,
    "thumbnail_url": str,
    "thumbnail_width": int,
    "thumbnail_height": int,
}
THUMBNAIL = {key for key in OPTIONAL if key.startswith("thumbnail")}


def test_oembed_keeps_the_published_rules(edition: SiteTree, home: str) -> None:
    wrong = []
    for address, answer in data_of(edition).items():
        kinds = REQUIRED | OPTIONAL
        good = REQUIRED.keys() <= answer.keys() <= kinds.keys()
        good = good and all(type(value) is kinds[key] for key, value in answer.items())
        good = good and (answer["type"], answer["version"]) == ("rich", "1.0")
        good = good and answer["width"] > 0 and answer["height"] > 0 and answer["cache_age"] > 0
        good = good and len(THUMBNAIL & answer.keys()) in (0, len(THUMBNAIL))
        frames = list(ElementTree.fromstring(answer["html"]).iter("iframe"))  # "should be valid XHTML": well-formed
        good = good and [f.get("src") for f in frames] == [home + address]
        good = good and (frames[0].get("width"), frames[0].get("height")) == (
            str(answer["width"]),
            str(answer["height"]),
        )
        if not good or urlsplit(answer["provider_url"]).scheme not in ("http", "https"):
            wrong.append((address, answer))
    assert not wrong, report(wrong)


def test_the_thumbnail_is_a_picture_of_that_size(edition: SiteTree, home: str) -> None:
    seen = 0
    for answer in data_of(edition).values():
        if "thumbnail_url" in answer:
            png = edition.files[answer["thumbnail_url"].removeprefix(home)]
            size = (int.from_bytes(png[16:20]), int.from_bytes(png[20:24]))  # PNG, 11.2.1: IHDR
            assert png[:8] == b"\x89PNG\r\n\x1a\n" and size == (answer["thumbnail_width"], answer["thumbnail_height"])
            seen += 1
    assert seen > 1000


def test_programs_can_discover_it(edition: SiteTree, home: str) -> None:
    """The whole page and the embed itself name the data in their heads, with a whole address and a title."""
    taken_from = wanted(edition)
    find = "//head/link[@rel='alternate'][@type='application/json+oembed']"
    of_pages = {taken_from[a]: a for a in taken_from if not CARD.match(a)}
    wrong = []
    for address, page in edition.pages.items():
        links = page.xpath(find)
        expected = [f"{home}{of_pages[address]}oembed.json"] if address in of_pages else []
        if [link.get("href") for link in links] != expected or any(not link.get("title") for link in links):
            wrong.append(address)
    for address, page in still(edition).items():
        if [link.get("href") for link in page.xpath(find)] != [f"{home}{address}oembed.json"]:
            wrong.append(address)
    assert not wrong, report(wrong)


# What is copied


def boxes(edition: SiteTree) -> list[tuple[str, HtmlElement]]:
    return [(a, box) for a, page in edition.pages.items() for box in page.xpath("//textarea")]


def test_what_is_copied_is_well_formed_and_leads_to_files(edition: SiteTree, home: str) -> None:
    wrong, seen = [], set()
    for address, box in boxes(edition):
        copied = ElementTree.fromstring(f"<div>{unescape(box.text)}</div>")
        links = [e.get(k) for e in copied.iter() for k in ("src", "href") if e.get(k)]
        files = [link.removeprefix(home) for link in links]
        files = [f + "index.html" if f.endswith("/") else f for f in files]
        frames = list(copied.iter("iframe"))
        good = links and all(link.startswith(home) for link in links) and all(f in edition.files for f in files)
        good = good and all(
            f.get("title") and f.get("sandbox") is not None and int(f.get("height")) > 0 for f in frames
        )
        good = good and box.get("readonly") is not None and box.get("aria-label")
        if not good:
            wrong.append((address, box.text))
        seen |= {f for f in files if f.startswith("embed/")}
    assert not wrong, report(wrong)
    assert seen == {n for n in edition.embeds if n.endswith("grow.html")} | {f"{a}index.html" for a in wanted(edition)}


def test_only_the_frame_that_grows_may_run_a_script(edition: SiteTree) -> None:
    """`allow-same-origin` beside `allow-scripts` would let a frame of the same site undo its own sandbox (HTML)."""
    for _, box in boxes(edition):
        for frame in html.fragment_fromstring(unescape(box.text), create_parent="div").iter("iframe"):
            rights = set(frame.get("sandbox").split())
            assert "allow-same-origin" not in rights and "allow-top-navigation" not in rights
            assert ("allow-scripts" in rights) == frame.get("src").endswith("grow.html")


def test_a_handout_shows_the_way_to_its_snippets(edition: SiteTree) -> None:
    wrong = []
    for address, page in edition.handouts.items():
        crop, protocol = address.rstrip("/").split("/")[-2:]
        ways = [edition.resolve(f"{address}index.html", h) for h in page.xpath("//main//a/@href")]
        wrong += [address] if (f"embed/{crop}/index.html", protocol) not in ways else []
    assert not wrong, report(wrong)


# Old addresses, and a language that marks what it says


@pytest.fixture(scope="module")
def corn(demo: Prepared) -> Crop:
    return demo.db.crops["corn"]


def embedded(demo: Prepared, crop: Crop, protocol: Protocol, words: Words) -> dict[str, bytes]:
    assert demo.manual is not None
    local = localise(demo.db, crop, protocol)
    view = handout(demo.db, words, demo.manual, local)
    return lab_embeds(demo.db, demo.manual, Pages(words), [(local, view)], {})[1]


def test_old_addresses_go_on_working(demo: Prepared, corn: Crop) -> None:
    """Pages of others still show them. They hold the same bytes, for no redirect runs in a sandbox (HTML)."""
    protocol = corn.protocols[0].model_copy(update={"aliases": ("seedlings",)})
    renamed = corn.model_copy(update={"aliases": ("field-corn",), "protocols": (protocol,)})
    files = embedded(demo, renamed, protocol, Words(units=demo.db.units))
    now = f"embed/corn/{protocol.protocol}/"
    for old in (f"embed/field-corn/{protocol.protocol}/", "embed/corn/seedlings/", "embed/field-corn/seedlings/"):
        for name in ("index.html", "grow.html", "oembed.json"):
            assert files[old + name] == files[now + name]


class Marked(dict[str, str]):
    """Translates any sentence by putting marks round it."""

    def get(self, key: str, default: str | None = None) -> str:  # type: ignore[override]
        return f"«{key}»"


def test_no_sentence_bypasses_the_catalogue(demo: Prepared, corn: Crop) -> None:
    protocol = next(p for p in corn.protocols if p.protocol == "tassel-to-silk")
    one = corn.model_copy(update={"protocols": (protocol,)})
    files = embedded(demo, one, protocol, Words("qq", Marked(), demo.db.units))
    page = html.document_fromstring(files["embed/corn/tassel-to-silk/index.html"].decode())
    for style in page.xpath("//style"):
        style.drop_tree()
    text = " ".join(page.xpath("//text()"))
    while (shorter := re.sub(r"«[^«»]*»", " ", text)) != text:
        text = shorter
    assert demo.manual is not None
    names = set(re.findall(r"\w+", f"{demo.manual.title} {demo.manual.site_url}"))
    assert set(re.findall(r"[A-Za-z]{3,}", text)) <= names | set(re.findall(r"[A-Za-z]+", "VT R1"))


def test_without_cards_there_are_handouts_and_calendars(pages_only: Path) -> None:
    without = SiteTree(pages_only, others=("es",))
    assert not [a for a in still(without) if CARD.match(a)]
    assert all("thumbnail_url" not in answer for answer in data_of(without).values())
    assert len(still(without)) > 500 and boxes(without)

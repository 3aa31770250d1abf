"""The built plain site as a whole: links, structure, weight, sameness of builds, lab pages, and the search.

The search is tested with a Python copy of the scoring in `generator/earleaf/site/assets/search.js`, run over
the published `search/search_index.json`. Change one and you must change the other.
"""

from __future__ import annotations

import gzip
import itertools
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from lxml import html
from lxml.html import HtmlElement
from site_tree import SiteTree, outside, report, words_of

from earleaf.database.load import Database
from earleaf.planning.localise import localise
from earleaf.site.build import Prepared
from earleaf.views.common import part_name, protocol_address
from earleaf.views.words import Words

KB = 1000
HANDOUT_HTML, SEARCH_INDEX = 60 * KB, 1500 * KB
FIRST_VIEW, SECOND_PAGE = 300 * KB, 60 * KB
NAV_LINKS = 80


# Links and anchors


def addresses(page: HtmlElement) -> list[str]:
    """Every href and src on a page, of links, pictures, scripts, style sheets and forms."""
    return [*page.xpath("//@href"), *page.xpath("//@src"), *page.xpath("//@action")]


def test_every_relative_link_leads_to_a_file(site: SiteTree) -> None:
    lost = [
        (name, href)
        for name, page in site.html_files.items()
        for href in addresses(page)
        if not outside(href) and site.resolve(name, href)[0] not in site.files
    ]
    assert not lost, report(lost)


def test_every_fragment_leads_to_an_id(site: SiteTree) -> None:
    lost = []
    for name, page in site.html_files.items():
        for href in page.xpath("//@href[contains(., '#')]"):
            file, fragment = site.resolve(name, href)
            if not outside(href) and fragment and fragment not in site.ids.get(file, ()):
                lost.append((name, href))
    assert not lost, report(lost)


def test_no_page_is_an_orphan(site: SiteTree) -> None:
    linked = {site.resolve(n, h)[0] for n, p in site.html_files.items() for h in p.xpath("//a/@href") if not outside(h)}
    linked |= {site.resolve(n, a)[0] for n, p in site.html_files.items() for a in p.xpath("//form/@action")}
    alone = [a for a in site.pages if f"{a}index.html" not in linked]
    assert not alone, report(alone)


def test_nothing_is_asked_from_another_host(site: SiteTree) -> None:
    """A reader's browser fetches nothing from outside; links out are marked external.

    It does not fetch what a head names as the same page in another form (HTML Standard, `canonical`, `alternate`).
    """
    bad = []
    for name, page in site.html_files.items():
        for e in page.xpath("//*[@src or @href or @srcset or @action or @data]"):
            for value in (e.get(k) for k in ("src", "href", "srcset", "action", "data")):
                if (
                    value
                    and outside(value)
                    and not ({"external", "canonical", "alternate"} & set((e.get("rel") or "").split()))
                ):
                    bad.append((name, e.tag, value))
    assert not bad, report(bad)


def test_style_sheets_and_script_name_no_host(site: SiteTree) -> None:
    text = {n: b.decode() for n, b in site.files.items() if n.endswith((".css", ".js"))}
    assert not [n for n, t in text.items() if re.search(r"https?://|@import|url\(\s*['\"]?(?!fonts/)", t)]


def test_every_page_says_its_own_canonical_address(site: SiteTree, demo: Prepared) -> None:
    assert demo.manual is not None
    base = str(demo.manual.site_url).rstrip("/") + "/"
    wrong = [a for a, p in site.pages.items() if p.xpath("//link[@rel='canonical']/@href") != [base + a]]
    assert not wrong, report(wrong)


# Structure


def test_ids_are_unique_on_each_page(site: SiteTree) -> None:
    twice = [
        (n, sorted({i for i in ids if ids.count(i) > 1})) for n, ids in site.ids.items() if len(ids) != len(set(ids))
    ]
    assert not twice, report(twice)


def levels(page: HtmlElement) -> list[int]:
    return [int(h.tag[1]) for h in page.xpath("//h1|//h2|//h3|//h4|//h5|//h6")]


def test_one_h1_and_three_levels_at_most(site: SiteTree) -> None:
    wrong = [(a, levels(p)) for a, p in site.pages.items() if levels(p).count(1) != 1 or max(levels(p), default=0) > 3]
    assert not wrong, report(wrong)


def test_no_heading_level_is_skipped(site: SiteTree) -> None:
    wrong = []
    for address, page in site.pages.items():
        found = [0, *levels(page)]
        wrong += [(address, found[1:]) for a, b in itertools.pairwise(found) if b > a + 1]
    assert not wrong, report(wrong)


def test_headings_are_not_empty(site: SiteTree) -> None:
    empty = [a for a, p in site.pages.items() for h in p.xpath("//h1|//h2|//h3") if not words_of(h)]
    assert not empty, report(empty)


def test_language_title_and_description(site: SiteTree) -> None:
    wrong = [
        a
        for a, p in site.pages.items()
        if p.get("lang") != "en"
        or not p.xpath("string(//title)").strip()
        or not p.xpath("//meta[@name='description']/@content[normalize-space()]")
    ]
    wrong += [n for n, p in site.redirects.items() if p.get("lang") != "en"]
    assert not wrong, report(wrong)


def test_titles_are_unique(site: SiteTree) -> None:
    seen: dict[str, list[str]] = {}
    for address, page in site.pages.items():
        seen.setdefault(page.xpath("string(//title)"), []).append(address)
    assert not (twice := [(t, a) for t, a in seen.items() if len(a) > 1]), report(twice)


def test_tables_have_headers_with_scope(site: SiteTree) -> None:
    wrong = [
        (a, words_of(t)[:60])
        for a, p in site.pages.items()
        for t in p.xpath("//table")
        if not t.xpath(".//th") or t.xpath(".//th[not(@scope='col' or @scope='row')]")
    ]
    assert not wrong, report(wrong)


def test_rows_of_a_table_are_of_one_width(site: SiteTree) -> None:
    wrong = [
        (a, words_of(t)[:60])
        for a, p in site.pages.items()
        for t in p.xpath("//table")
        if len({sum(int(cell.get("colspan", 1)) for cell in tr.xpath("th|td")) for tr in t.xpath(".//tr")}) > 1
    ]
    assert not wrong, report(wrong)


def test_pictures_and_regions_have_names(site: SiteTree) -> None:
    wrong = [
        (a, e.tag)
        for a, p in site.pages.items()
        for e in p.xpath(
            "//img[not(@alt)]|//*[@role='region'][not(@aria-label)]|//*[@role='img']"
            "[not(@aria-labelledby or @aria-label)]|//nav[not(@aria-label)]"
        )
    ]
    assert not wrong, report(wrong)


def test_labels_point_to_what_is_there(site: SiteTree) -> None:
    lost = [
        (a, r)
        for a, p in site.pages.items()
        for v in p.xpath("//@aria-labelledby|//label/@for|//@aria-describedby")
        for r in v.split()
        if r not in site.ids[f"{a}index.html"]
    ]
    assert not lost, report(lost)


# Leaks

LEAKS = re.compile(
    r"\{\{|\}\}|\{%|<!--\s*(?:rules|cautions)|\bUndefined\b|\bnan\b|\[@|Traceback|<[a-z]+\.[a-z.]+ object"
    r"|\{[a-z_]+\}"
)
LONE_NONE = re.compile(r"^None\W*$|[\w,:;(] None\b|^None (?:leaves|plants|to|from|days)\b")
MACHINE = re.compile(r"(?:^|[\s\"'(=>])/(?:home|root|work|tmp|usr|Users|var|opt|builds?)/|[A-Z]:\\\\|file://")


def test_no_machinery_shows_in_the_words(site: SiteTree) -> None:
    bad = [
        (n, m.group())
        for n, p in site.html_files.items()
        for m in [LEAKS.search(" ".join(p.xpath("//text()[not(ancestor::script)]|//@aria-label|//@content|//@title")))]
        if m
    ]
    assert not bad, report(bad)


def test_no_missing_value_is_printed_as_none(site: SiteTree) -> None:
    """'None of the flowers is open' is a sentence; a lone None is a missing value."""
    bad = [(a, n.text) for a in site.pages for n in site.texts(a) if LONE_NONE.search(n.text)]
    assert not bad, report(bad)


def test_no_path_of_the_building_machine(site: SiteTree, root: Path) -> None:
    bad = [
        (n, m.group())
        for n, b in site.files.items()
        if not n.endswith((".woff2", ".pdf", ".png"))
        for m in [MACHINE.search(b.decode("utf-8"))]
        if m
    ]
    bad += [(n, str(root)) for n, b in site.files.items() if str(root).encode() in b]
    assert not bad, report(bad)


def test_sentences_do_not_end_twice(site: SiteTree) -> None:
    bad = sorted(
        {
            (m.group(), n.text)
            for a in site.pages
            for n in site.texts(a)
            for m in [re.search(r"(?<!\.)\.\.(?!\.)|\.;|,,|;;| ,| \.(?!\d)|\(\)", n.text)]
            if m and not n.has("data-meta") and not n.text.startswith((". ", ", "))
        }
    )
    assert not bad, report(bad)


# Weight


def test_a_handout_is_light(site: SiteTree) -> None:
    heavy = [
        (a, len(site.files[f"{a}index.html"]))
        for a in site.handouts
        if len(site.files[f"{a}index.html"]) > HANDOUT_HTML
    ]
    assert not heavy, report(heavy)


def test_the_search_index_is_light(site: SiteTree) -> None:
    assert len(site.files["search/search_index.json"]) <= SEARCH_INDEX


def test_few_links_in_the_navigation(site: SiteTree) -> None:
    many = [(a, n) for a, p in site.pages.items() if (n := len(p.xpath("//nav//a"))) > NAV_LINKS]
    assert not many, report(many)


def packed(content: bytes) -> int:
    return len(gzip.compress(content, mtime=0))


def shared(site: SiteTree) -> int:
    """Style sheets, script and fonts: fetched once. Fonts are packed already."""
    return sum(
        len(b) if n.endswith(".woff2") else packed(b)
        for n, b in site.files.items()
        if n.startswith("assets/") and n.endswith((".css", ".js", ".woff2"))
    )


def test_first_view_and_second_page(site: SiteTree) -> None:
    worst = max(packed(site.files[f"{a}index.html"]) for a in site.pages)
    assert shared(site) + worst <= FIRST_VIEW
    assert worst <= SECOND_PAGE


# Sameness


def tree_bytes(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def differing(a: dict[str, bytes], b: dict[str, bytes]) -> list[str]:
    return sorted(n for n in a.keys() | b.keys() if a.get(n) != b.get(n))


def test_cards_add_files_and_change_nothing_else(site: SiteTree, pages_only: Path) -> None:
    """What is not of cards and neither a page nor a list of files is the same without them; no page is lost."""
    without, kept = (
        SiteTree(pages_only, others=("es",)).files,
        (".html", "search_index.json", "sitemap.xml", "/oembed.json"),
    )
    assert without.keys() <= site.files.keys()
    same = {n: b for n, b in without.items() if not n.endswith(kept) and not n.startswith("offline/")}
    assert not (other := [n for n, b in same.items() if site.files[n] != b]), report(other)
    more = [
        n
        for n in site.files.keys() - without.keys()
        if not n.startswith(("cards/", "calendars/sheets/", "embed/cards/"))
    ]
    assert not more, report(more)


def run_build(cwd: Path, manual: Path, out: Path, **env: str) -> dict[str, bytes]:
    """`earleaf build --plain --no-cards` in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "earleaf.cli", "build", "--plain", "--no-cards", "-m", str(manual), "--out", str(out)],
        cwd=cwd,
        env={**os.environ, **env},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return tree_bytes(out)


def test_place_clock_language_and_hash_seed_change_nothing(pages_only: Path, root: Path, tmp_path: Path) -> None:
    """Pages only; test_cards.py builds paper twice."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    other = run_build(
        elsewhere,
        Path(os.path.relpath(root / "demo_scenario/manual.yml", elsewhere)),
        tmp_path / "deep/er/two",
        TZ="Pacific/Kiritimati",
        LC_ALL="C",
        PYTHONHASHSEED="4242",
    )
    assert not (names := differing(tree_bytes(pages_only), other)), report(names)


# Short addresses


def test_short_addresses_lead_to_their_handout(site: SiteTree, manual_db: Database) -> None:
    wrong = []
    for crop in manual_db.crops.values():
        for protocol in crop.protocols:
            name = f"c/{protocol.short_id}/index.html"
            page = site.redirects.get(name)
            target = f"{protocol_address(crop, protocol)}index.html"
            urls = page.xpath("//meta[@http-equiv='refresh']/@content") if page is not None else []
            links = page.xpath("//a/@href") if page is not None else []
            if (
                len(urls) != 1
                or not links
                or any(site.resolve(name, u)[0] != target for u in (urls[0].split("url=", 1)[1], *links))
            ):
                wrong.append((name, urls, links))
    assert not wrong, report(wrong)


def test_short_addresses_of_a_lab_lead_to_the_handout_of_that_lab(site: SiteTree, manual_db: Database) -> None:
    """c/<id>/<lab>/ is what the code on a lab's card holds; a name that the lab had before leads there, too."""
    wrong, seen = [], 0
    for crop in manual_db.crops.values():
        for protocol in crop.protocols:
            for lab in manual_db.labs.values():
                for name in (lab.lab, *lab.aliases):
                    seen += 1
                    file = f"c/{protocol.short_id}/{name}/index.html"
                    page = site.redirects.get(file)
                    links = page.xpath("//a/@href") if page is not None else []
                    target = f"labs/{lab.lab}/{crop.crop}/{protocol.protocol}/index.html"
                    if target not in site.files or [site.resolve(file, u)[0] for u in links] != [target]:
                        wrong.append((file, links))
    assert seen and not wrong, report(wrong)


def test_every_redirect_leads_to_a_page(site: SiteTree) -> None:
    lost = []
    for name, page in site.redirects.items():
        url = page.xpath("string(//meta[@http-equiv='refresh']/@content)").split("url=", 1)[1]
        if site.resolve(name, url)[0].removesuffix("index.html") not in site.pages:
            lost.append((name, url))
    assert not lost, report(lost)


# Labs


def test_a_lab_page_lists_what_changes(site: SiteTree, manual_db: Database) -> None:
    lost = []
    for lab in manual_db.labs.values():
        main = site.main(f"labs/{lab.lab}/")
        said = words_of(main)
        sentences = [s.say for rule in lab.handling.values() for s in rule.say]
        lost += [(lab.lab, s) for s in sentences if " ".join(s.split()) not in said]
        for entry in lab.protocols:
            link = f"../../labs/{lab.lab}/{entry.crop}/{entry.protocol}/"
            items = main.xpath(f".//li[a/@href='{link}']")
            if not items or not items[0].xpath(".//*[@data-source]"):
                lost.append((lab.lab, f"{entry.crop}/{entry.protocol}"))
    assert not lost, report(lost)


def test_a_lab_handout_lists_what_changes(site: SiteTree, manual_db: Database) -> None:
    wrong = []
    for lab in manual_db.labs.values():
        for crop in manual_db.crops.values():
            for protocol in crop.protocols:
                address = protocol_address(crop, protocol, lab.lab)
                changes = localise(manual_db, crop, protocol, lab).changes
                rows = site.pages[address].xpath("//section[h2/@id='lab']//tbody/tr")
                if len(rows) != len(changes):
                    wrong.append((address, len(rows), len(changes)))
    assert not wrong, report(wrong)


def test_another_part_never_mixes_with_the_base(site: SiteTree, manual_db: Database) -> None:
    """Where a lab takes another part, its page names it and repeats no step of the base for the old one."""
    seen = 0
    words = Words(units=manual_db.units)
    for lab in manual_db.labs.values():
        for entry in lab.protocols:
            crop = manual_db.crops[entry.crop]
            protocol = next(p for p in crop.protocols if p.protocol == entry.protocol)
            base = protocol.take[0]
            if entry.part is None or entry.part == base.part:
                continue
            seen += 1
            page = site.pages[protocol_address(crop, protocol, lab.lab)]
            assert page.xpath("//p[contains(@class,'el-what')]/@data-part")[0] == entry.part
            name = part_name(manual_db, words, entry.part)
            assert words_of(page.xpath("//p[contains(@class,'el-what')]")[0]).lower() == name.lower()
            steps = " ".join(words_of(s) for s in page.xpath("//section[contains(@class,'el-step')]"))
            own = {line.say for line in entry.say}
            assert not [h.say for h in base.how if h.say in steps and h.say not in own]
            assert all(line.say in steps for line in entry.say)
            old = manual_db.parts[base.part] if base.part else None
            first = words_of(page.xpath("//section[contains(@class,'el-first')]")[0])
            assert old is None or old.find not in first
            result = words_of(page.xpath("//section[h2/@id='result']")[0])
            assert not [r.say for r in protocol.result if r.say in result]
    assert seen, "the demo must hold a lab that takes another part"


def test_a_lab_count_is_the_count_on_its_page(site: SiteTree, manual_db: Database) -> None:
    for lab in manual_db.labs.values():
        for entry in lab.protocols:
            if entry.count is None:
                continue
            page = site.pages[f"labs/{lab.lab}/{entry.crop}/{entry.protocol}/"]
            count = page.xpath("//p[contains(@class,'el-count')]")[0]
            high = f"-{entry.count.max:g}" if entry.count.max else ""
            assert count.get("data-count") == f"{entry.count.min:g}{high}"
            assert set(count.get("data-source").split()) >= set(entry.source or lab.source)


def test_the_split_over_spots_adds_up(site: SiteTree) -> None:
    """'4 leaves at each of 5 spots (20 in the bag)', and the total lies within the count."""
    wrong = []
    for address, page in site.handouts.items():
        for count in page.find_class("el-count"):
            text = words_of(count)
            walk = re.search(r"^(\d+) .*at each of (\d+)\D", text)
            bag = re.search(r"\((\d+) in the bag\)", text)
            if walk and bag:
                total = int(walk[1]) * int(walk[2])
                low, _, high = count.get("data-count").partition("-")
                fits = (
                    not low
                    or count.get("data-unit") == "locations"
                    or (float(low) <= total and (not high or total <= float(high)))
                )
                if total != int(bag[1]) or not fits:
                    wrong.append((address, text, count.get("data-count"), count.get("data-unit")))
    assert not wrong, report(wrong)


def test_what_no_source_states_is_said_openly(site: SiteTree, manual_db: Database) -> None:
    wrong, seen = [], 0
    for crop in manual_db.crops.values():
        for protocol in crop.protocols:
            page = site.pages[protocol_address(crop, protocol)]
            whats, counts = page.find_class("el-what"), page.find_class("el-count")
            for take, what, count in zip(protocol.take, whats, counts, strict=True):
                if take.part is None:
                    seen += 1
                    wrong += [(protocol.short_id, words_of(what))] * (
                        "not stated by source" not in words_of(what).lower()
                    )
                if take.count is None and take.spots is None:
                    seen += 1
                    wrong += [(protocol.short_id, words_of(count))] * (
                        "not stated by source" not in words_of(count).lower()
                    )
    assert seen and not wrong, report(wrong)


def test_what_a_row_leaves_out_is_said_openly(site: SiteTree, manual_db: Database) -> None:
    wrong = []
    for address, page in site.pages.items():
        for tr in page.xpath("//tr[@data-row]"):
            row = manual_db.sampling[tr.get("data-row")]
            part, count = (words_of(td) for td in tr.xpath("td")[:2])
            if (row.part is None) != (part.lower() == "not stated") or (row.count_min is None) != (
                count == "not stated"
            ):
                wrong.append((address, row.row, part, count))
    assert not wrong, report(wrong)


# Search


def split_like_javascript(text: str) -> list[str]:
    return re.split(r"[^A-Za-z0-9_]+", text)


def search(docs: list[dict[str, Any]], query: str) -> list[str]:
    """The scoring of search.js: every word must be found; whole words of the title count most."""
    hits = []
    words = query.lower().split()
    for doc in docs:
        title, text = doc["title"].lower(), doc["text"].lower()
        score = 0.0
        for word in words:
            if word in split_like_javascript(title):
                score += 12
            elif word in title:
                score += 6
            elif word in text:
                score += 1
            else:
                break
        else:
            score += 2 if " " + " ".join(words) in " " + title else 0
            score += 3 if doc["location"].startswith("crops/") else 0
            hits.append((score - len(title) / 200, doc["location"]))
    return [place for _, place in sorted(hits, key=lambda h: -h[0])]


QUERIES = {
    "corn tassel": "crops/corn/tassel-to-silk/",
    "corn ear leaf": "crops/corn/tassel-to-silk/",
    "corn silk": "crops/corn/tassel-to-silk/",
    "stalk nitrate": "crops/corn/stalk-nitrate/",
    "soybean bloom": "crops/soybean/bloom/",
    "soybean pods": "crops/soybean/pods/",
    "wheat flag leaf": "crops/wheat/heading-flag-leaf/",
    "wheat boot": "crops/wheat/boot/",
    "potato petiole": "crops/potato/",
    "cotton petiole": "crops/cotton/petiole-nitrate/",
    "apple": "crops/apple/",
    "grape veraison": "crops/grape/",
    "grape bloom": "crops/grape/",
    "alfalfa": "crops/alfalfa/",
    "pecan": "crops/pecan/",
    "which leaf tomato": "crops/tomato/",
    "tomato": "crops/tomato/",
    "maize": "crops/corn/",
    "rice panicle": "crops/rice/",
    "sorghum heading": "crops/sorghum/heading/",
    "strawberry bloom": "crops/strawberry/bloom/",
    "larkmoor": "labs/larkmoor/",
    "mailing": "drying-and-mailing/",
    "feekes": "stages/small-grain-feekes/",
    "sources": "sources/",
}
"""What a scout types, and where the first hit must lead: the page, or any page of a crop where two fit."""
TWO_FIT = ("crops/grape/", "crops/rice/", "crops/potato/")


@pytest.fixture(scope="module")
def docs(site: SiteTree) -> list[dict[str, Any]]:
    return json.loads(site.files["search/search_index.json"])["docs"]


@pytest.mark.parametrize(("query", "wanted"), QUERIES.items(), ids=[q.replace(" ", "-") for q in QUERIES])
def test_a_scout_finds_the_page_first(docs: list[dict[str, Any]], query: str, wanted: str) -> None:
    hits = search(docs, query)
    either = wanted in TWO_FIT
    assert hits and (hits[0].startswith(wanted) if either else hits[0] == wanted), hits[:6]


def test_every_word_must_be_found(docs: list[dict[str, Any]]) -> None:
    assert search(docs, "corn zzzz") == [] and search(docs, "") != []


def test_the_index_leads_to_pages_and_holds_every_crop(
    site: SiteTree, docs: list[dict[str, Any]], manual_db: Database
) -> None:
    places = [d["location"] for d in docs]
    assert len(places) == len(set(places)) and set(places) <= site.pages.keys()
    base = {protocol_address(c, p) for c in manual_db.crops.values() for p in c.protocols}
    assert base | {f"crops/{c}/" for c in manual_db.crops} <= set(places)


def test_the_search_copy_matches_the_script(site: SiteTree) -> None:
    """Reminds whoever changes the script that the copy above must follow."""
    script = site.files["assets/search.js"].decode()
    for piece in ("score += 12", "score += 6", "score += 1", "title.length / 200", r"split(/\W+/)"):
        assert piece in script


LISTS = {
    "cards/": "//table//th[@scope='row']/a",
    "embed/": "//ul[@class='el-az']/li/a",
    "stages/": "//dl/div/dt/a",
    "calendars/": "(//ul[@class='el-biglinks'])[1]/li/a",
}


@pytest.mark.parametrize("prefix", ["", "es/"])
@pytest.mark.parametrize("address", LISTS)
def test_lists_are_in_the_order_of_their_own_language(built: Path, address: str, prefix: str) -> None:
    """A reader of Spanish looks for apples under M, not where English has them; accents do not count."""
    page = html.parse(str(built / prefix / address / "index.html"))
    shown = [link.text_content().casefold() for link in page.xpath(LISTS[address])]
    plain = [name.translate(str.maketrans("áéíóúü", "aeiouu")) for name in shown]
    assert len(shown) > 5 and plain == sorted(plain)

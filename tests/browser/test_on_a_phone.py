"""The site as a scout meets it: a phone, a thumb, a keyboard, large letters, a printer."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

TWO_BAGS = "crops/wheat/gs30-nitrogen/"
FIRST_SCREEN = [
    "crops/corn/tassel-to-silk/",
    "crops/apple/",
    TWO_BAGS,
    "labs/pebblecross/corn/tassel-to-silk/",
]
HANDOUTS = [
    "crops/corn/tassel-to-silk/",
    "crops/corn/stalk-nitrate/",
    "crops/soybean/bloom/",
    TWO_BAGS,
    "crops/grape/bloom-leaf/",
    "crops/almond/harvest-hulls/",
    "labs/quillwater/corn/young-plants/",
    "labs/pebblecross/corn/tassel-to-silk/",
]
SAMPLE = [
    "",
    "crops/",
    "stages/",
    "labs/",
    "guide/",
    "sources/",
    "search/",
    "search/?q=corn+tassel",
    "crops/corn/",
    "crops/apple/",
    "crops/small-grains/",
    "crops/grape/",
    "stages/corn-leaf-collar/",
    "stages/small-grain-feekes/",
    "labs/larkmoor/",
    "labs/pebblecross/",
    "choosing-spots/",
    "drying-and-mailing/",
    "tissue-and-soil/",
    "reading-this-manual/",
    *HANDOUTS,
]
LETTER_SIDES = 4  # two sheets, both sides
DESK = {"width": 1280, "height": 900}

Opener = Callable[..., Any]


def first_handout(built: Path, place: str) -> str:
    """A handout as named, or the first one of a crop page."""
    if place.count("/") != 2:
        return place
    inside = sorted(p.name for p in (built / place).iterdir() if p.is_dir())
    return f"{place}{inside[0]}/"


def test_the_sample_is_there(built: Path) -> None:
    lost = [p for p in SAMPLE if not (built / p.split("?")[0] / "index.html").exists()]
    assert not lost


@pytest.mark.parametrize("place", FIRST_SCREEN)
def test_the_first_screen_answers(open_page: Opener, built: Path, place: str) -> None:
    """Title, part and count of every bag stand on the first screen of a phone."""
    page = open_page(first_handout(built, place)).page
    low = page.evaluate("""() => ['h1', '.el-what', '.el-count'].flatMap(s =>
        [...document.querySelectorAll(s)].map(
        e => [s, e.textContent.trim(), Math.round(e.getBoundingClientRect().bottom)]))""")
    assert {s for s, _, _ in low} == {"h1", ".el-what", ".el-count"}
    assert all(text and bottom <= 844 for _, text, bottom in low), low


OVERFLOW = """() => { const wide = document.documentElement.clientWidth;
  const all = document.documentElement.scrollWidth;
  if (all <= wide) return [];
  const over = e => e.getBoundingClientRect().right > wide + 1 && !e.closest('.el-scroll')
    && getComputedStyle(e).position !== 'absolute';
  const found = [...document.querySelectorAll('body *')].filter(over);
  return ['page ' + all + ' > ' + wide, ...found.slice(0, 5).map(e =>
    e.tagName + '.' + e.getAttribute('class') + ' ' + Math.round(e.getBoundingClientRect().right) + ' '
      + e.textContent.trim().slice(0, 40))]; }"""


@pytest.mark.parametrize("place", SAMPLE)
def test_a_page_is_whole_and_stays_inside_the_screen(open_page: Opener, place: str) -> None:
    """No dialog, no error, nothing missing, nothing asked from another host; no scrolling sideways."""
    watched = open_page(place)
    watched.page.wait_for_load_state("networkidle")
    assert watched.troubles == []
    for width in (390, 320):
        watched.page.set_viewport_size({"width": width, "height": 844})
        assert watched.page.evaluate(OVERFLOW) == [], width


@pytest.mark.parametrize(
    "place",
    [
        "",
        "crops/",
        "crops/corn/",
        "crops/corn/tassel-to-silk/",
        TWO_BAGS,
        "labs/larkmoor/",
        "choosing-spots/",
        "search/",
    ],
)
def test_letters_at_twice_the_size(open_page: Opener, place: str) -> None:
    """Text twice as large on a small laptop: nothing is cut off, nothing runs out of the page."""
    page = open_page(place, viewport={"width": 1280, "height": 800}).page
    page.add_style_tag(content="html { font-size: 200% !important; }")
    assert page.evaluate(OVERFLOW) == []
    cut = page.evaluate("""() => [...document.querySelectorAll('main :is(p, li, h1, h2, dd, dt)')].filter(e =>
        getComputedStyle(e).overflow === 'hidden' && e.scrollHeight > e.clientHeight + 2).length""")
    assert cut == 0


def test_text_grows_with_the_readers_setting(open_page: Opener) -> None:
    page = open_page("crops/corn/tassel-to-silk/").page
    size = """() => ['.el-page', '.el-what', '.el-count', 'h1'].map(
        s => parseFloat(getComputedStyle(document.querySelector(s)).fontSize))"""
    before = page.evaluate(size)
    page.add_style_tag(content="html { font-size: 200% !important; }")
    assert [round(b / a, 2) for a, b in zip(before, page.evaluate(size), strict=True)] == [2.0] * 4


@pytest.mark.parametrize("place", ["crops/corn/", "es/crops/corn/"])
def test_the_menu_stands_on_one_line_of_a_small_phone(open_page: Opener, place: str) -> None:
    """360 pixels: the narrowest width that is common (WCAG asks for reflow at 320, where two lines are fine)."""
    page = open_page(place, viewport={"width": 360, "height": 780}).page
    tops = page.evaluate("""() => [...document.querySelectorAll('.pl-head nav a')].map(
        a => { const r = a.getBoundingClientRect(); return (r.top + r.bottom) / 2; })""")
    assert len(tops) == 7 and max(tops) - min(tops) < 8


def test_the_skip_link_works(open_page: Opener) -> None:
    page = open_page("crops/corn/").page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "pl-skip"
    box = page.locator(".pl-skip").bounding_box()
    assert box and box["x"] >= 0 and box["y"] >= 0
    page.keyboard.press("Enter")
    assert page.url.endswith("#main")
    page.keyboard.press("Tab")
    assert page.evaluate("!!document.activeElement.closest('main')")


@pytest.mark.parametrize("place", ["crops/corn/", "crops/corn/tassel-to-silk/", "search/"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_focus_can_be_seen(open_page: Opener, place: str, scheme: str) -> None:
    page = open_page(place, color_scheme=scheme).page
    unseen = []
    for _ in range(25):
        page.keyboard.press("Tab")
        state = page.evaluate("""() => { const e = document.activeElement;
            const s = getComputedStyle(e), r = e.getBoundingClientRect();
            return {tag: e.tagName, text: e.textContent.slice(0, 30),
                    line: s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) > 0,
                    inside: r.width > 0 && r.bottom > 0 && r.top < innerHeight && r.right > 0}; }""")
        if state["tag"] != "BODY" and not (state["line"] and state["inside"]):
            unseen.append(state)
    assert not unseen


@pytest.mark.parametrize("place", ["crops/corn/tassel-to-silk/", "crops/", "labs/larkmoor/", "guide/"])
def test_links_to_tap_are_tall_enough(open_page: Opener, place: str) -> None:
    """24 px at least (WCAG 2.2), but for links inside a sentence and source marks."""
    page = open_page(place).page
    small = page.evaluate("""() => [...document.querySelectorAll(
            'nav a, .el-labs a, .el-next a, .el-az a, .el-biglinks a, .el-go, input')]
        .filter(e => e.offsetParent)
        .map(e => [e.textContent.trim() || e.tagName, Math.round(e.getBoundingClientRect().height)])
        .filter(x => x[1] < 24)""")
    assert small == []


def test_script_in_the_address_is_inert(open_page: Opener) -> None:
    watched = open_page("search/?q=%3Cimg%20src%3Dx%20onerror%3Dalert(1)%3E%22%3E%3Cscript%3Ealert(2)%3C/script%3E")
    watched.page.wait_for_load_state("networkidle")
    assert watched.troubles == []
    assert watched.page.locator("main img, main script").count() == 0


def test_script_in_the_data_is_inert(open_page: Opener, address: str, browser: Any) -> None:
    """A search index with markup in its titles shows the markup as text."""
    context = browser.new_context()
    page = context.new_page()
    troubles: list[str] = []
    page.on("dialog", lambda d: (troubles.append(d.message), d.dismiss()))
    title, text = "corn <img src=x onerror=alert(1)>", "<script>alert(2)</script>"
    evil = json.dumps({"docs": [{"location": "crops/", "title": title, "text": text}]})
    page.route("**/search_index.json", lambda r: r.fulfill(body=evil, content_type="application/json"))
    page.goto(f"{address}search/?q=corn")
    page.wait_for_selector("#pl-hits a")
    assert page.locator("#pl-hits a").inner_text() == title
    assert page.locator("#pl-hits img").count() == 0 and troubles == []
    context.close()


@pytest.mark.parametrize(
    ("query", "wanted"),
    [
        ("corn tassel", "crops/corn/tassel-to-silk/"),
        ("alfalfa", "crops/alfalfa/"),
        ("soybean bloom", "crops/soybean/bloom/"),
    ],
)
def test_the_search_page_finds(open_page: Opener, address: str, query: str, wanted: str) -> None:
    page = open_page("search/", viewport=DESK).page
    page.fill("#pl-ask", query)
    page.wait_for_selector("#pl-hits a")
    assert page.locator("#pl-hits a").first.evaluate("a => a.href") == address + wanted
    page.locator("#pl-hits a").first.click()
    assert page.url == address + wanted


def test_a_phone_has_a_search_box_too(open_page: Opener, address: str) -> None:
    """From any page: a tap on Search at most, then a box to type in."""
    page = open_page("crops/corn/").page
    if not page.locator("input[type=search]").first.is_visible():
        page.get_by_role("link", name="Search").first.click()
        page.wait_for_load_state("networkidle")
    boxes = [b for b in page.locator("input[type=search]").all() if b.is_visible()]
    assert boxes, "no search box on a phone"
    boxes[0].fill("corn tassel")
    boxes[0].press("Enter")
    page.wait_for_selector("#pl-hits a")
    assert page.locator("#pl-hits a").first.evaluate("a => a.href") == address + "crops/corn/tassel-to-silk/"


def test_the_search_box_works_from_any_page(open_page: Opener, address: str) -> None:
    page = open_page("crops/corn/", viewport=DESK).page
    page.fill("#pl-q", "corn tassel")
    page.keyboard.press("Enter")
    page.wait_for_selector("#pl-hits a")
    assert page.locator("#pl-hits a").first.evaluate("a => a.href") == address + "crops/corn/tassel-to-silk/"


def test_the_search_says_when_nothing_is_found(open_page: Opener) -> None:
    page = open_page("search/?q=zzzz").page
    page.wait_for_function("document.getElementById('pl-count').textContent !== ''")
    assert "0" in page.locator("#pl-count").inner_text()


def test_a_page_needs_no_script(open_page: Opener) -> None:
    page = open_page("crops/corn/tassel-to-silk/", java_script_enabled=False).page
    assert page.locator(".el-what").is_visible() and page.locator(".el-count").is_visible()


@pytest.mark.parametrize("place", ["c/{short}/"])
def test_a_short_address_leads_to_its_handout(open_page: Opener, built: Path, address: str, place: str) -> None:
    text = (built / "crops/corn/tassel-to-silk/index.html").read_text("utf-8")
    short = re.search(r"Short address: c/([a-z2-9]{4})/", text)
    assert short
    page = open_page(place.format(short=short[1])).page
    page.wait_for_url(f"{address}crops/corn/tassel-to-silk/")


# Print


def pages_of(pdf: Path) -> int:
    """How many sides a PDF has."""
    try:
        from pypdf import PdfReader
    except ImportError:
        program = shutil.which("pdfinfo")
        if program is None:
            return len(re.findall(rb"/Type\s*/Page(?![s\w])", pdf.read_bytes()))
        said = subprocess.run([program, str(pdf)], capture_output=True, text=True, check=True).stdout
        return int(re.search(r"^Pages:\s+(\d+)", said, re.M)[1])  # type: ignore[index]
    return len(PdfReader(pdf).pages)


@pytest.mark.parametrize("place", HANDOUTS)
def test_a_handout_prints_on_few_sides(open_page: Opener, tmp_path: Path, place: str) -> None:
    page = open_page(place, viewport=DESK).page
    page.pdf(path=str(tmp_path / "handout.pdf"), format="Letter", prefer_css_page_size=False)
    assert 1 <= pages_of(tmp_path / "handout.pdf") <= LETTER_SIDES


def test_the_frame_of_the_site_is_not_printed(open_page: Opener) -> None:
    page = open_page("crops/corn/tassel-to-silk/").page
    page.emulate_media(media="print")
    frame = [".pl-head", ".pl-foot", ".pl-skip", ".el-crumbs", ".el-labs", ".el-next"]
    shown = page.evaluate(
        """frame => frame.filter(
        s => [...document.querySelectorAll(s)].some(e => e.getClientRects().length))""",
        frame,
    )
    assert shown == []
    for part in (".el-what", ".el-count", "#ruined", "#sources", ".el-foot"):
        assert page.locator(part).first.is_visible(), part


def test_print_is_dark_on_white_in_a_dark_scheme(open_page: Opener) -> None:
    page = open_page("crops/corn/tassel-to-silk/", color_scheme="dark").page
    page.emulate_media(media="print", color_scheme="dark")
    colours = page.evaluate("""() => ['.el-what', '.el-count', 'h1', '.el-step li'].map(
        s => getComputedStyle(document.querySelector(s)).color)""")
    assert all(sum(map(int, re.findall(r"\d+", c)[:3])) < 200 for c in colours), colours

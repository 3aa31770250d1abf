"""Every kind of page against axe-core, which holds the rules of WCAG 2.0, 2.1 and 2.2 that a program can judge.

Both languages, phone and desk, light and dark, in the plain shell and under the theme. Nothing is excluded.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from kinds import KINDS, OFTEN, PLAIN, THEME, slow
from playwright.sync_api import Page

pytestmark = pytest.mark.browser

# W3C, Web Content Accessibility Guidelines 2.0, 2.1 and 2.2, levels A and AA, and the good practice that axe knows.
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
COLOURS = ["color-contrast", "link-in-text-block"]
WIDTHS = (390, 1200)

SLOW = pytest.mark.slow

Opener = Callable[..., Any]


def findings(page: Page, run_only: dict[str, Any]) -> list[str]:
    """What axe finds on the page as it stands now: the rule, where, and why."""
    rules = {"target-size": {"enabled": True}} if run_only["type"] == "tag" else {}
    options = {"runOnly": run_only, "rules": rules, "resultTypes": ["violations"]}
    said = Axe().run(page, options=options).response
    ran = {r["id"] for group in ("passes", "violations", "incomplete", "inapplicable") for r in said[group]}
    assert set(COLOURS) <= ran, "axe did not run"
    return [
        f"{v['id']}: {n['html'][:120]} | {' '.join(n['failureSummary'].split())[:200]}"
        for v in said["violations"]
        for n in v["nodes"]
    ]


def all_rules(page: Page) -> list[str]:
    return findings(page, {"type": "tag", "values": TAGS})


def settled(watched: Any, kind: str) -> Page:
    """The page, once what its script brings is there: only the search brings something."""
    if kind == "search":
        watched.page.wait_for_selector("#pl-hits a")
    return watched.page


def colour_rules(page: Page) -> list[str]:
    return findings(page, {"type": "rule", "values": COLOURS})


@pytest.mark.parametrize(("kind", "place"), PLAIN)
def test_axe_finds_nothing_on_a_phone(open_page: Opener, kind: str, place: str) -> None:
    assert all_rules(settled(open_page(place, color_scheme="light"), kind)) == []


@pytest.mark.parametrize(("kind", "place"), OFTEN)
def test_axe_finds_nothing_at_other_widths_and_in_the_dark(open_page: Opener, kind: str, place: str) -> None:
    """A dark screen changes colours only; the other rules need not run a second time."""
    page = settled(open_page(place, color_scheme="dark"), kind)
    found = {"phone, dark": colour_rules(page)}
    page.set_viewport_size({"width": WIDTHS[1], "height": 844})
    found["desk, dark"] = colour_rules(page)
    page.emulate_media(color_scheme="light")
    found["desk, light"] = all_rules(page)
    assert {name: lines for name, lines in found.items() if lines} == {}


@pytest.mark.parametrize("scheme", ["light", pytest.param("dark", marks=pytest.mark.slow)])
@pytest.mark.parametrize(("kind", "place"), THEME)
def test_axe_finds_nothing_under_the_theme(open_themed: Opener, kind: str, place: str, scheme: str) -> None:
    page = open_themed(place, color_scheme=scheme, viewport={"width": 1280, "height": 900}).page
    page.wait_for_load_state("networkidle")
    assert page.evaluate("document.body.dataset.mdColorScheme") == {"light": "default", "dark": "slate"}[scheme]
    assert (all_rules(page) if scheme == "light" else colour_rules(page)) == []


@pytest.mark.parametrize(
    ("width", "prefix"),
    [(390, ""), (1280, "es/"), pytest.param(1280, "", marks=SLOW), pytest.param(390, "es/", marks=SLOW)],
)
def test_axe_finds_nothing_in_the_open_search_and_menu(open_themed: Opener, prefix: str, width: int) -> None:
    """The parts of the theme that open: its search with hits, and on a phone its menu."""
    page = open_themed(f"{prefix}crops/corn/", viewport={"width": width, "height": 844}).page
    page.wait_for_load_state("networkidle")
    page.keyboard.press("s")
    page.keyboard.type("corn" if not prefix else "ma")
    page.wait_for_selector(".md-search-result__item")
    page.wait_for_timeout(400)
    assert all_rules(page) == []
    page.keyboard.press("Escape")
    page.wait_for_timeout(600)
    if width < 1000:
        page.locator(".md-header button.el-menu").focus()
        page.keyboard.press("Enter")
        page.wait_for_timeout(600)
        assert all_rules(page) == []


def test_axe_finds_nothing_when_the_theme_lacks_a_page(open_themed: Opener) -> None:
    page = open_themed("404.html", viewport={"width": 1280, "height": 900}).page
    page.wait_for_load_state("networkidle")
    assert all_rules(page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_axe_finds_nothing_in_a_teams_own_season(own_season: str, browser: Any, width: int, scheme: str) -> None:
    context = browser.new_context(viewport={"width": width, "height": 844}, color_scheme=scheme)
    page = context.new_page()
    page.goto(own_season)
    found = all_rules(page)
    context.close()
    assert found == []


FAULTS = {
    "image-alt": "document.querySelector('main img').removeAttribute('alt')",
    "color-contrast": "document.querySelector('.el-what').style.color = '#c8c8c8'",
    "heading-order": "document.querySelector('#stage').outerHTML = '<h5>late</h5>'",
    "html-has-lang": "document.documentElement.removeAttribute('lang')",
    "link-name": "document.querySelector('main a').textContent = ''",
    "scrollable-region-focusable": "document.querySelectorAll('.el-scroll').forEach(e => {"
    " e.removeAttribute('tabindex'); e.style.width = '90px'; e.querySelectorAll('a').forEach(a => a.remove()); })",
    "target-size": "document.querySelectorAll('.el-labs a').forEach(e => {"
    " e.style.cssText = 'padding:0;margin:0;min-height:0;font-size:8px;line-height:8px;display:block'; })",
    "landmark-one-main": "document.querySelector('main').outerHTML = document.querySelector('main').innerHTML",
}
"""Rule, and what breaks it; in this order all of them can be done to one page."""


def test_axe_finds_the_faults_that_are_put_in(open_page: Opener) -> None:
    """Axe finds nothing on this page before, see above."""
    page = open_page(KINDS["handout"]).page
    for fault in FAULTS.values():
        page.evaluate(fault)
    assert FAULTS.keys() <= {line.split(":")[0] for line in all_rules(page)}


@pytest.mark.parametrize("kind", ["handout", "calendar", "cool hours", *map(slow, ["crop", "lab", "chapter"])])
@pytest.mark.parametrize("shell", ["plain", "theme"])
def test_paper_from_a_dark_screen_is_dark_on_white(request: Any, shell: str, kind: str) -> None:
    """What is printed while the screen is dark keeps its contrast, and its ground is white."""
    opener = request.getfixturevalue("open_page" if shell == "plain" else "open_themed")
    page = opener(KINDS[kind], color_scheme="dark").page
    page.wait_for_load_state("networkidle")
    page.emulate_media(media="print", color_scheme="dark")
    page.add_style_tag(content="html, body { background: #fff !important; }")
    assert colour_rules(page) == []


# Words inside drawings and charts, where axe cannot tell the ground they stand on

# WCAG 2.2, criterion 1.4.3 and its definition of relative luminance. The ground of a word is the line drawn round it,
# else the filled shape under its middle, else the first background below.
FAINT = """() => {
  const canvas = document.createElement('canvas').getContext('2d', {willReadFrequently: true});
  const rgb = c => { canvas.clearRect(0, 0, 1, 1); canvas.fillStyle = c; canvas.fillRect(0, 0, 1, 1);
    return [...canvas.getImageData(0, 0, 1, 1).data]; };
  const light = c => { const [r, g, b] = rgb(c).slice(0, 3).map(v => v / 255)
    .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const ratio = (a, b) => { const [x, y] = [light(a), light(b)].sort((p, q) => q - p); return (x + .05) / (y + .05); };
  const ground = (e, style) => {
    if (style.stroke !== 'none' && style.paintOrder.startsWith('stroke')) return style.stroke;
    e.scrollIntoView({block: 'center', inline: 'center', behavior: 'instant'});
    const box = e.getBoundingClientRect();
    for (const under of document.elementsFromPoint(box.left + box.width / 2, box.top + box.height / 2)) {
      const s = getComputedStyle(under), shape = under instanceof SVGGeometryElement;
      if (under === e || e.contains(under) || under.tagName === 'text') continue;
      if (shape && s.fill !== 'none' && !s.fill.startsWith('url') && +s.fillOpacity > .9) return s.fill;
      if (!shape && rgb(s.backgroundColor)[3] === 255) return s.backgroundColor;
    }
    return getComputedStyle(document.body).backgroundColor;
  };
  const words = [...document.querySelectorAll('svg text')].filter(e => e.checkVisibility() && e.textContent.trim());
  return {seen: words.length, faint: words.map(e => { const s = getComputedStyle(e), g = ground(e, s);
    return [e.textContent, s.fill, g, Math.round(ratio(s.fill, g) * 10) / 10]; }).filter(x => x[3] < 4.5)}; }"""
DRAWN = ["crop", "handout", "calendar", "cool hours"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [WIDTHS[0], slow(WIDTHS[1])])
@pytest.mark.parametrize("kind", DRAWN)
@pytest.mark.parametrize("shell", ["plain", "theme"])
def test_words_in_drawings_stand_out(request: Any, shell: str, kind: str, width: int, scheme: str) -> None:
    opener = request.getfixturevalue("open_page" if shell == "plain" else "open_themed")
    page = opener(KINDS[kind], color_scheme=scheme, viewport={"width": width, "height": 844}).page
    said = page.evaluate(FAINT)
    assert said["seen"] and said["faint"] == []


def test_a_faint_word_in_a_drawing_is_found(open_page: Opener) -> None:
    page = open_page(KINDS["calendar"]).page
    page.add_style_tag(content=".el-season-words { fill: #8a918d !important; }")
    assert page.evaluate(FAINT)["faint"]

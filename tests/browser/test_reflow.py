"""Narrow screens, large letters and wide spacing, on every kind of page: nothing is lost and nothing lies on top."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from kinds import KINDS, PLAIN, THEME
from playwright.sync_api import Browser, Page
from visiting import opening

pytestmark = [pytest.mark.browser, pytest.mark.slow]

Opener = Callable[..., Any]
NARROW = {"width": 320, "height": 640}  # WCAG 2.2, 1.4.10 reflow: 320 CSS px
LAPTOP = {"width": 1280, "height": 800}  # WCAG 2.2, 1.4.4 resize text: 200 %
# WCAG 2.2, 1.4.12 text spacing: the four values of the criterion.
SPACING = """* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important; }
p { margin-bottom: 2em !important; }"""

# What sticks out at the right, but for what scrolls by itself in a region that a key can reach.
WIDE = """() => { const wide = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth <= wide) return [];
  const inside = e => e.closest('.el-scroll, textarea, pre, .md-search, .md-sidebar');
  return ['page ' + document.documentElement.scrollWidth, ...[...document.querySelectorAll('body *')]
    .filter(e => e.getBoundingClientRect().right > wide + 1 && !inside(e)).slice(0, 5)
    .map(e => e.outerHTML.slice(0, 90))]; }"""
CLOSED = """() => [...document.querySelectorAll('main *')].filter(e => e.scrollWidth > e.clientWidth + 1
    && ['auto', 'scroll'].includes(getComputedStyle(e).overflowX) && e.clientWidth && e.checkVisibility()
    && e.tabIndex < 0 && !e.closest('.md-sidebar, .md-search')).map(e => e.outerHTML.slice(0, 90))"""

# Words that are cut off, and lines of words that lie on other words. Marks of sources ride high: they may touch.
LOST = """() => { const cut = [...document.querySelectorAll('main *')].filter(e => {
    const s = getComputedStyle(e);
    return ['hidden', 'clip'].includes(s.overflowX + '') && s.position !== 'absolute' && e.textContent.trim()
      && (e.scrollHeight > e.clientHeight + 2 || e.scrollWidth > e.clientWidth + 2)
      && e.checkVisibility({visibilityProperty: true}) && !(e instanceof SVGElement)
      && !e.closest('.md-sidebar'); }).map(e => 'cut ' + e.outerHTML.slice(0, 90));
  const lines = [], walker = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
  for (let n = walker.nextNode(); n; n = walker.nextNode()) {
    const e = n.parentElement;
    if (!n.data.trim() || e.closest('svg, sup, textarea, script, .md-sidebar') || !e.checkVisibility()) continue;
    const range = document.createRange(); range.selectNodeContents(n);
    for (const r of range.getClientRects()) {
      const size = parseFloat(getComputedStyle(e).fontSize), middle = (r.top + r.bottom) / 2;
      if (r.width > 1) lines.push({n, l: r.left, r: r.right, t: middle - size * .35, b: middle + size * .35}); } }
  lines.sort((a, b) => a.t - b.t);
  const on = [];
  lines.forEach((a, i) => { for (let j = i + 1; j < lines.length && lines[j].t < a.b; j++) { const b = lines[j];
    if (a.n !== b.n && Math.min(a.r, b.r) - Math.max(a.l, b.l) > 2 && a.b - b.t > 2)
      on.push('on top: ' + a.n.data.trim().slice(0, 40) + ' / ' + b.n.data.trim().slice(0, 40)); } });
  return [...cut, ...on].slice(0, 8); }"""


def troubles(page: Page) -> list[str]:
    return [*page.evaluate(WIDE), *page.evaluate(CLOSED), *page.evaluate(LOST)]


def narrow_and_spaced(page: Page) -> dict[str, list[str]]:
    page.wait_for_load_state("networkidle")
    found = {"320 px": troubles(page)}
    page.add_style_tag(content=SPACING)
    found["320 px, spaced"] = troubles(page)
    page.set_viewport_size(LAPTOP)
    found["1280 px, spaced"] = troubles(page)
    return found


@pytest.mark.parametrize(("kind", "place"), PLAIN)
def test_narrow_and_spaced(open_page: Opener, kind: str, place: str) -> None:
    found = narrow_and_spaced(open_page(place, viewport=NARROW, reduced_motion="reduce").page)
    assert {name: lines for name, lines in found.items() if lines} == {}


@pytest.mark.parametrize(("kind", "place"), THEME)
def test_narrow_and_spaced_under_the_theme(open_themed: Opener, kind: str, place: str) -> None:
    found = narrow_and_spaced(open_themed(place, viewport=NARROW, reduced_motion="reduce").page)
    assert {name: lines for name, lines in found.items() if lines} == {}


@pytest.fixture
def open_large(large_letters: Browser, address: str) -> Iterator[Opener]:
    with opening(large_letters, address) as opened:
        yield opened


@pytest.fixture
def open_large_themed(large_letters: Browser, themed_address: str) -> Iterator[Opener]:
    with opening(large_letters, themed_address) as opened:
        yield opened


def large(page: Page) -> list[str]:
    page.wait_for_load_state("networkidle")
    assert page.evaluate("matchMedia('(max-width: 40em)').matches"), "the browser did not take the reader's setting"
    return troubles(page)


@pytest.mark.parametrize(("kind", "place"), PLAIN)
def test_letters_twice_as_large(open_large: Opener, kind: str, place: str) -> None:
    assert large(open_large(place, viewport=LAPTOP).page) == []


@pytest.mark.parametrize(("kind", "place"), THEME)
def test_letters_twice_as_large_under_the_theme(open_large_themed: Opener, kind: str, place: str) -> None:
    assert large(open_large_themed(place, viewport=LAPTOP).page) == []


@pytest.mark.parametrize("shell", ["plain", "theme"])
def test_the_words_of_the_page_follow_the_setting(request: Any, shell: str) -> None:
    """A handout twice as large: every size that is set for words doubles, in both shells."""
    sizes = []
    for name in ("open_page", "open_large") if shell == "plain" else ("open_themed", "open_large_themed"):
        page = request.getfixturevalue(name)(KINDS["handout"], viewport=LAPTOP).page
        sizes.append(
            page.evaluate(
                "() => ['.el-page', '.el-page .el-quiet', '.el-labs a', '.el-step h2', '.el-foot'].map("
                "s => parseFloat(getComputedStyle(document.querySelector(s)).fontSize))"
            )
        )
    assert [round(b / a, 2) for a, b in zip(*sizes, strict=True)] == [2.0] * 5


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (".el-what { white-space: nowrap; width: 400px; }", "page "),
        (".el-facts dd { margin-top: -30px; }", "on top"),
        (".el-step { max-height: 20px; overflow: hidden; }", "cut "),
        ("#ruined ~ dl { overflow-x: auto; white-space: nowrap; }", "<dl"),
    ],
)
def test_a_fault_that_is_put_in_is_found(open_page: Opener, fault: str, said: str) -> None:
    page = open_page(KINDS["handout"], viewport=NARROW, reduced_motion="reduce").page
    page.add_style_tag(content=fault)
    assert any(line.startswith(said) for line in troubles(page)), troubles(page)


# Controls to tap. WCAG 2.2, 2.5.8 target size: 24 px, but for links inside a sentence. axe judges all by their spacing;
# here our own controls are held to their size.

SMALL = """() => [...document.querySelectorAll(`.pl-head a, .pl-foot a, nav a, .el-labs a, .el-next a, .el-az a, .el-go,
    .el-biglinks a, .el-lablist > li > a, .el-card-table a, .el-lang a, summary, button, input, textarea`)]
  .filter(e => e.checkVisibility({visibilityProperty: true}) && e.closest('.el-page, .pl-head, .pl-foot'))
  .map(e => [e.textContent.trim().slice(0, 30) || e.tagName, e.getBoundingClientRect()])
  .filter(([, r]) => r.width < 24 || r.height < 24).map(([n, r]) => `${n} ${r.width} × ${r.height}`)"""


@pytest.mark.parametrize(("kind", "place"), PLAIN)
def test_controls_are_large_enough_to_tap(open_page: Opener, kind: str, place: str) -> None:
    assert open_page(place).page.evaluate(SMALL) == []


@pytest.mark.parametrize(("kind", "place"), THEME)
def test_controls_are_large_enough_under_the_theme(open_themed: Opener, kind: str, place: str) -> None:
    assert open_themed(place).page.evaluate(SMALL) == []

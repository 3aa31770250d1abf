"""The site by keyboard alone, in both shells: every stop is reached, is seen, and lies under nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from kinds import KINDS, PREFIXES
from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

Opener = Callable[..., Any]
SHELLS = ["plain", "theme"]
WALKED = ["home", "handout", "crop", "lab", "calendar", "cool hours", "chapter", "for your site", "search"]

# All that a key should reach: what is shown and can be used. Of radio buttons only the chosen one is a stop.
WANTED = """() => [...document.querySelectorAll(
    'a[href], button, input, select, textarea, summary, iframe, [tabindex]')]
  .filter(e => e.tabIndex >= 0 && !e.disabled && e.checkVisibility({visibilityProperty: true})
    && !(e.type === 'radio' && !e.checked) && !(e instanceof SVGElement))
  .map(e => { e.dataset.stop = 1 + document.querySelectorAll('[data-stop]').length;
    return e.outerHTML.slice(0, 110); })"""

# WCAG 2.2: 2.4.7 focus visible, 2.4.11 focus not obscured. A stop is seen by its own outline or by that of its label;
# at one point at least it is the topmost thing on the screen.
STOP = """() => { let e = document.activeElement;
  if (!e || e === document.body || e === document.documentElement) return null;
  const stop = e.dataset.stop, name = e.outerHTML.slice(0, 110);
  if (e.type === 'radio') e = [...e.labels].find(l => l.checkVisibility()) ?? e.nextElementSibling;
  const s = getComputedStyle(e), shown = [...e.getClientRects()];
  const top = shown.some(r => [.02, .25, .5, .75, .98].some(x => [.05, .5, .95].some(y => {
    const t = document.elementFromPoint(r.left + r.width * x, r.top + r.height * y);
    return t && (t === e || e.contains(t)); })));
  return {stop, name, line: s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2, top}; }"""


def through_search(page: Page) -> Any:
    """The search of the theme opens over the page, and later holds it still: look, and close it, at a human pace."""
    page.wait_for_timeout(700)
    stop = page.evaluate(STOP)
    page.keyboard.press("Escape")
    page.wait_for_timeout(600)
    page.locator(".md-search__input").evaluate("e => e.blur()")
    return stop


def walk(page: Page, key: str) -> list[dict[str, Any]]:
    """Every stop of the key, until it leaves the page."""
    stops = []
    for _ in range(900):
        page.keyboard.press(key)
        stop = page.evaluate(STOP)
        if stop is None:
            return stops
        if "md-search__input" in stop["name"]:
            stop = through_search(page)
        stops.append(stop)
    raise AssertionError(f"{key} does not leave the page")


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("kind", WALKED)
@pytest.mark.parametrize("shell", SHELLS)
def test_keys_reach_all_and_are_seen(request: Any, shell: str, kind: str, width: int) -> None:
    if shell == "theme" and kind == "search":
        return
    opener = request.getfixturevalue("open_page" if shell == "plain" else "open_themed")
    page = opener(KINDS[kind], viewport={"width": width, "height": 700}, reduced_motion="reduce").page
    page.wait_for_load_state("networkidle")
    wanted = page.evaluate(WANTED)
    forth = walk(page, "Tab")
    back = walk(page, "Shift+Tab")
    for stops in (forth, back):
        reached = {int(s["stop"]) for s in stops if s["stop"]}
        missed = [name for i, name in enumerate(wanted, 1) if i not in reached]
        assert not missed
        assert not [s for s in stops if not (s["line"] and s["top"])]


@pytest.mark.parametrize("prefix", PREFIXES.values())
@pytest.mark.parametrize("shell", SHELLS)
@pytest.mark.parametrize("kind", ["home", "handout", "labs"])
def test_the_skip_link_leads_past_the_menu(request: Any, shell: str, kind: str, prefix: str) -> None:
    """The first stop is a link that can be seen, and the stop after it lies in the page itself."""
    opener = request.getfixturevalue("open_page" if shell == "plain" else "open_themed")
    page = opener(prefix + KINDS[kind], reduced_motion="reduce").page
    page.wait_for_load_state("networkidle")
    page.keyboard.press("Tab")
    first = page.evaluate(STOP)
    assert first["line"] and first["top"] and "skip" in first["name"]
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("!!document.activeElement.closest('.el-page')")


@pytest.mark.parametrize("prefix", PREFIXES.values())
def test_keys_open_and_close_the_menu_of_the_theme(open_themed: Opener, prefix: str) -> None:
    """On a phone the menu is off the screen: no stop lies in it until it is opened, and Escape closes it."""
    page = open_themed(f"{prefix}crops/", reduced_motion="reduce").page
    page.wait_for_load_state("networkidle")
    inside = "!!document.activeElement.closest('.md-sidebar--primary')"
    button = page.locator("button.el-menu")
    button.focus()
    assert button.get_attribute("aria-expanded") == "false" and button.get_attribute("aria-label")
    page.keyboard.press("Enter")
    assert page.evaluate(inside) and button.get_attribute("aria-expanded") == "true"
    page.keyboard.press("Escape")
    assert button.evaluate("e => e === document.activeElement") and button.get_attribute("aria-expanded") == "false"
    button.click()
    assert page.evaluate("document.getElementById('__drawer').checked")
    page.locator(".md-overlay").click(position={"x": 380, "y": 500})
    assert button.get_attribute("aria-expanded") == "false"


@pytest.mark.parametrize("shell", SHELLS)
def test_a_mark_of_a_source_leads_below_the_bar(request: Any, shell: str) -> None:
    """What a link inside the page leads to is not hidden by the bar at the top."""
    opener = request.getfixturevalue("open_page" if shell == "plain" else "open_themed")
    page = opener(KINDS["handout"], reduced_motion="reduce").page
    page.wait_for_load_state("networkidle")
    bar = page.evaluate("""() => { const e = document.querySelector('.md-header');
        return e ? e.getBoundingClientRect().bottom : 0; }""")
    for place in ("stage", "cautions", "published"):
        page.evaluate("id => { location.hash = id; }", place)
        page.wait_for_timeout(100)
        assert page.locator(f"#{place}").evaluate("e => e.getBoundingClientRect().top") >= bar


def test_a_hidden_stop_is_found(open_page: Opener) -> None:
    """The walk above can fail: a bar laid over the page, and a link without an outline."""
    page = open_page(KINDS["crop"], reduced_motion="reduce").page
    page.add_style_tag(content=".pl-head { position: sticky; top: 0; background: #fff; height: 50vh; }")
    page.add_style_tag(content="nav a:focus-visible { outline: none; } html { scroll-padding: 0 !important; }")
    stops = [*walk(page, "Tab"), *walk(page, "Shift+Tab")]
    assert [s for s in stops if not s["top"]] and [s for s in stops if not s["line"]]

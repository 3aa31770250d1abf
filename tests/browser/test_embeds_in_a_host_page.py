"""Embeds inside the page of somebody else, in a real browser: another origin, with and without scripts, and among foes.

The lines that are copied from the site stand in a host page on another port, which is another origin (HTML Standard).
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from html import unescape
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from kinds import PREFIXES, slow
from lxml import html
from playwright.sync_api import Browser, BrowserContext, Page

from earleaf.site.build import Prepared

pytestmark = pytest.mark.browser

WASTE = 1.25
HANDOUT, OTHER, CALENDAR = "embed/corn/tassel-to-silk/", "embed/wheat/gs30-nitrogen/", "embed/calendars/corn/"
CARD = "embed/cards/corn-tassel-to-silk/"
WIDTHS = (320, 640, 1024)

Snippets = dict[str, str]
Host = Callable[[str], str]


@pytest.fixture(scope="module")
def snippets(built: Path, address: str, demo: Prepared) -> Snippets:
    """Every text to copy that holds a frame, by the file that it shows; moved from the published site to this one."""
    assert demo.manual is not None
    home = f"{str(demo.manual.site_url).rstrip('/')}/"
    out = {}
    for prefix in PREFIXES.values():
        for page in sorted((built / prefix / "embed").glob("*/index.html")):
            for box in html.document_fromstring(page.read_text("utf-8")).xpath("//textarea"):
                text = unescape(box.text)
                for frame in html.fragment_fromstring(text, create_parent="div").iter("iframe"):
                    out[frame.get("src").removeprefix(home)] = text.replace(home, address)
    return out


@pytest.fixture(scope="module")
def host() -> Iterator[Host]:
    """`host(body)` serves a page with this body from an origin of its own, and says where."""
    pages: dict[str, bytes] = {}
    servers: list[ThreadingHTTPServer] = []

    class Pages(BaseHTTPRequestHandler):
        def log_message(self, format: str, *args: object) -> None:
            pass

        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html; charset=utf-8")
            self.end_headers()
            self.wfile.write(pages.get(f"{self.server.server_port}", b""))  # type: ignore[attr-defined]

    def serve(body: str) -> str:
        server = ThreadingHTTPServer(("127.0.0.1", 0), Pages)
        servers.append(server)
        head = '<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>Host</title><link rel="icon" href="data:,">'
        pages[str(server.server_port)] = f"{head}<body style='margin:0'>{body}".encode()
        threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
        return f"http://127.0.0.1:{server.server_port}/"

    yield serve
    for server in servers:
        server.shutdown()
        server.server_close()


Visit = Callable[..., Page]


@pytest.fixture
def visit(browser: Browser) -> Iterator[Visit]:
    """`visit(address)` opens a page in a context of its own; `page.troubles` are dialogs and errors of scripts."""
    contexts: list[BrowserContext] = []

    def opened(place: str, width: int = 640, **settings: Any) -> Page:
        contexts.append(browser.new_context(viewport={"width": width, "height": 900}, **settings))
        page = contexts[-1].new_page()
        page.set_default_timeout(10_000)
        page.troubles = []  # type: ignore[attr-defined]
        page.on("dialog", lambda d: (page.troubles.append(d.message), d.dismiss()))  # type: ignore[attr-defined]
        page.on("pageerror", lambda e: page.troubles.append(str(e)))  # type: ignore[attr-defined]
        page.goto(place, wait_until="load")
        return page

    yield opened
    for context in contexts:
        context.close()


def heights(page: Page) -> list[int]:
    return page.evaluate(
        "[...document.querySelectorAll('iframe')].map(f => Math.round(f.getBoundingClientRect().height))"
    )


def inside(page: Page, n: int = 1) -> int:
    """The height of what the n-th frame holds."""
    return page.frames[n].evaluate("Math.ceil(document.body.getBoundingClientRect().height)")


# Heights

MEASURE = """async ([texts, width, font]) => {
  const all = texts.map(([name, text]) => {
    const column = document.createElement('div');
    column.style.width = width + 'px';
    column.innerHTML = text;
    const frame = column.querySelector('iframe');
    frame.removeAttribute('sandbox'); frame.removeAttribute('loading');  // so that the test can look inside
    const loaded = new Promise(done => frame.addEventListener('load', done));
    document.body.append(column);
    return [name, column, frame, loaded];
  });
  await Promise.all(all.map(one => one[3]));
  const out = all.map(([name, , frame]) => {
    const inner = frame.contentDocument;
    if (font) inner.body.style.fontFamily = font;
    return [name, frame.getBoundingClientRect().height, inner.body.getBoundingClientRect().height,
      inner.documentElement.scrollWidth - inner.documentElement.clientWidth, Number(frame.getAttribute('height'))];
  });
  all.forEach(one => one[1].remove());
  return out;
}"""


def measured(page: Page, snippets: Snippets, width: int, font: str = "") -> list[tuple[str, float, float, float, int]]:
    """(file, stated height, height of what is inside, sideways overflow, height attribute) of every frame."""
    texts = sorted(snippets.items())
    out = []
    for i in range(0, len(texts), 60):
        out += page.evaluate(MEASURE, [texts[i : i + 60], width, font])
    return out


@pytest.fixture(scope="module")
def measuring(browser: Browser, address: str) -> Iterator[Page]:
    """A page of the same origin as the embeds, which may look into them."""
    page = browser.new_page(viewport={"width": 1100, "height": 900})
    page.goto(f"{address}assets/embed.js")
    page.set_content("<!DOCTYPE html><body></body>")
    yield page
    page.close()


@pytest.mark.slow
@pytest.mark.parametrize("width", [320, 640])
def test_every_stated_height_fits_and_wastes_little(measuring: Page, snippets: Snippets, width: int) -> None:
    """All of both editions; a page that grows is laid out as the one that stands still."""
    found = measured(measuring, {n: s for n, s in snippets.items() if not n.endswith("grow.html")}, width)
    assert len(found) > 2000
    wrong = [one for one in found if not one[2] <= one[1] <= one[2] * WASTE or one[3] > 0 or one[4] < one[2]]
    assert not wrong, (len(wrong), wrong[:20])


def some(snippets: Snippets) -> Snippets:
    """Every calendar, and each 40th of the others."""
    names = sorted(snippets)
    return {n: snippets[n] for i, n in enumerate(names) if i % 40 == 0 or "/calendars/" in n}


@pytest.mark.parametrize("width", [320, 440, 479, 480, 640, *map(slow, [360, 400, 520, 560, 600, 1024])])
def test_a_stated_height_fits_at_any_width(measuring: Page, snippets: Snippets, width: int) -> None:
    """Between the two widths the rule may waste more, but cuts nothing off."""
    found = measured(measuring, some(snippets), width)
    wrong = [one for one in found if one[1] < one[2] or one[3] > 0]
    assert not wrong, (len(wrong), wrong[:20])


@pytest.mark.parametrize("font", ["Verdana, 'DejaVu Sans'", *map(slow, ["Arial, 'Liberation Sans'", "Georgia, serif"])])
@pytest.mark.parametrize("width", [320, slow(640)])
def test_other_letters_fit_too(measuring: Page, snippets: Snippets, width: int, font: str) -> None:
    """Nobody knows which letters the reader's system has."""
    found = measured(measuring, some(snippets), width, font)
    wrong = [one for one in found if one[1] < one[2] or one[3] > 0]
    assert not wrong, (len(wrong), wrong[:20])


# In the page of somebody else


@pytest.mark.parametrize("script", [True, False], ids=["script", "no-script"])
@pytest.mark.parametrize("width", WIDTHS)
def test_two_frames_in_one_page(host: Host, visit: Visit, snippets: Snippets, width: int, script: bool) -> None:
    page = visit(host(snippets[HANDOUT] + snippets[CALENDAR]), width, java_script_enabled=script)
    page.wait_for_load_state("networkidle")
    first, second = page.frames[1:]
    assert first.locator(".what").inner_text() == "The ear leaf" and first.locator(".ask svg").is_visible()
    assert second.locator("figure svg").first.is_visible()
    for frame in page.locator("iframe").all():
        box = frame.bounding_box()
        assert box and box["width"] == min(width, 640) and box["x"] >= 0
    assert page.troubles == []  # type: ignore[attr-defined]


@pytest.mark.parametrize("place", [HANDOUT, CALENDAR, CARD])
def test_the_strictest_sandbox_shows_everything(
    host: Host, visit: Visit, address: str, snippets: Snippets, place: str
) -> None:
    page = visit(host(f'<iframe src="{address}{place}" title="x" width="320" height="900" sandbox=""></iframe>'))
    frame = page.frames[1]
    assert frame.locator("h1").is_visible() and frame.locator("footer").is_visible()
    pictures = frame.locator("img")
    if place == CARD:
        assert pictures.evaluate("e => e.complete && e.naturalWidth") == 440
    else:
        assert pictures.count() == 0 and frame.locator("svg").first.is_visible()


def test_a_link_opens_in_a_new_tab(host: Host, visit: Visit, address: str, snippets: Snippets) -> None:
    page = visit(host(snippets[HANDOUT]))
    before = page.url
    with page.context.expect_page() as opened:
        page.frames[1].get_by_role("link", name="Open the whole handout").click()
    opened.value.wait_for_load_state()
    assert opened.value.url == f"{address}crops/corn/tassel-to-silk/" and page.url == before
    assert opened.value.evaluate("window.opener") is None
    assert opened.value.locator(".el-handout").is_visible(), "the new tab must not be in the sandbox"


def test_where_no_tab_may_open_the_address_can_be_read(host: Host, visit: Visit, address: str) -> None:
    page = visit(host(f'<iframe src="{address}{HANDOUT}" title="x" width="320" height="900" sandbox=""></iframe>'))
    page.frames[1].get_by_role("link", name="Open the whole handout").click()
    page.wait_for_timeout(300)
    assert len(page.context.pages) == 1 and page.frames[1].url == address + HANDOUT
    assert "/c/c8ts" in page.frames[1].locator("footer").inner_text()


def test_a_frame_asks_nothing_and_leaves_nothing(
    browser: Browser, host: Host, address: str, snippets: Snippets
) -> None:
    """No request to a third place, none with the address of the host page, no cookie."""
    context = browser.new_context()
    page = context.new_page()
    asked: list[tuple[str, str | None]] = []
    page.on("request", lambda r: asked.append((r.url, r.headers.get("referer"))))
    place = host(snippets[HANDOUT] + snippets[f"{OTHER}grow.html"] + snippets[CARD])
    page.goto(place, wait_until="networkidle")
    page.locator("iframe").last.scroll_into_view_if_needed()
    page.wait_for_load_state("networkidle")
    files = {url.removeprefix(address) for url, _ in asked if url.startswith(address)}
    assert files == {HANDOUT, f"{OTHER}grow.html", CARD, "cards/corn-tassel-to-silk.png", "assets/embed.js"}
    assert all(url.startswith((address, place, "data:")) for url, _ in asked)
    assert not [u for u, referer in asked if u.startswith(address + "embed/") and referer and referer.startswith(place)]
    assert context.cookies() == []
    context.close()


# Frames that grow


def wait_for_height(page: Page, n: int = 1) -> None:
    page.wait_for_function(
        "([n, h]) => Math.abs(document.querySelectorAll('iframe')[n].getBoundingClientRect().height - h) <= 1",
        arg=[n - 1, inside(page, n)],
    )


def test_two_frames_grow_each_to_its_own_height(host: Host, visit: Visit, snippets: Snippets) -> None:
    page = visit(host(snippets[f"{HANDOUT}grow.html"] + snippets[f"{OTHER}grow.html"]), 1024)
    page.locator("iframe").last.scroll_into_view_if_needed()
    for width in (1024, 640, 320, 500):
        page.set_viewport_size({"width": width, "height": 900})
        page.wait_for_timeout(100)
        for n in (1, 2):
            wait_for_height(page, n)
    assert len(set(heights(page))) == 2
    assert page.troubles == []  # type: ignore[attr-defined]


@pytest.mark.parametrize("width", [320, 640])
def test_without_scripts_a_frame_that_grows_has_room(host: Host, visit: Visit, snippets: Snippets, width: int) -> None:
    page = visit(host(snippets[f"{HANDOUT}grow.html"]), width, java_script_enabled=False)
    box = page.locator("iframe").bounding_box()
    content = page.frames[1].locator("body").bounding_box()
    assert box and content and content["height"] <= box["height"] <= content["height"] * WASTE


def test_a_script_that_comes_late_still_hears(host: Host, visit: Visit, snippets: Snippets) -> None:
    frame, _, script = snippets[f"{HANDOUT}grow.html"].partition("<script")
    source = html.fragment_fromstring(f"<script{script}").get("src")
    later = f"""<script>window.comeLate = () => {{ const s = document.createElement('script'); s.src = '{source}';
        document.body.append(s); }}</script>"""
    page = visit(host(frame + later))
    assert heights(page)[0] > inside(page)
    page.evaluate("comeLate()")
    wait_for_height(page)


NO_HEIGHTS = ["'900'", "NaN", "-1", "0", "1e9", "Infinity", "null", "[900]", "{valueOf: () => 900}"]


@pytest.mark.parametrize("value", NO_HEIGHTS)
def test_what_is_no_height_is_ignored(host: Host, visit: Visit, snippets: Snippets, value: str) -> None:
    page = visit(host(snippets[f"{HANDOUT}grow.html"]))
    wait_for_height(page)
    before = heights(page)
    value = "'x'" if "valueOf" in value else value  # functions cannot be sent at all
    page.frames[1].evaluate(f"parent.postMessage({{earleaf: {value}}}, '*')")
    page.frames[1].evaluate(f"parent.postMessage({value}, '*')")
    page.wait_for_timeout(150)
    assert heights(page) == before and page.troubles == []  # type: ignore[attr-defined]


SHOUT = "<script>setInterval(() => { parent.postMessage({earleaf: 4321}, '*'); }, 20)</script>"


@pytest.mark.parametrize("sandbox", ["", ' sandbox="allow-scripts"'], ids=["open", "sandboxed"])
def test_a_strange_frame_cannot_set_our_height(host: Host, visit: Visit, snippets: Snippets, sandbox: str) -> None:
    """Its origin may even be "null", as that of our own sandboxed frame: then its window tells them apart."""
    strange = f'<iframe src="{host(SHOUT)}" title="x" width="100" height="100"{sandbox}></iframe>'
    page = visit(host(snippets[f"{HANDOUT}grow.html"] + strange))
    wait_for_height(page)
    page.wait_for_timeout(300)
    assert heights(page)[0] == inside(page) and 4321 not in heights(page)


def test_the_host_page_itself_cannot_pose_as_a_frame(host: Host, visit: Visit, snippets: Snippets) -> None:
    page = visit(host(snippets[f"{HANDOUT}grow.html"]))
    wait_for_height(page)
    page.evaluate("postMessage({earleaf: 4321}, '*')")
    page.wait_for_timeout(150)
    assert heights(page) == [inside(page)]


def test_our_frame_led_elsewhere_loses_its_say(host: Host, visit: Visit, snippets: Snippets) -> None:
    """The same window, but another origin: a frame without a sandbox that was sent to a strange page."""
    open_frame = snippets[f"{HANDOUT}grow.html"].replace("sandbox=", "data-was=")
    assert " sandbox=" not in open_frame
    page = visit(host(open_frame))
    wait_for_height(page)
    before = heights(page)
    page.frames[1].goto(host(SHOUT))
    page.wait_for_timeout(300)
    assert heights(page) == before


# A host that means harm

HARM = """async () => {
  const frame = document.querySelector('iframe'), seen = [], tried = {};
  addEventListener('message', e => seen.push(JSON.stringify(e.data)));
  const attempt = (name, act) => { try { act(); tried[name] = 'done'; } catch (e) { tried[name] = e.name; } };
  const w = frame.contentWindow;
  const messages = [{earleaf: 1}, {earleaf: 'x', go: '/'}, '<img src=x onerror=alert(1)>', 'javascript:alert(1)',
    null, [1], {type: 'eval', code: 'alert(1)'}];
  for (const message of messages) w.postMessage(message, '*');
  attempt('document', () => w.document.body);
  attempt('eval', () => w.eval('alert(1)'));
  attempt('opener', () => { w.opener = window; });
  attempt('write', () => w.document.write('x'));
  attempt('script', () => { w.location = 'javascript:alert(1)'; });
  await new Promise(done => setTimeout(done, 400));
  return [seen, tried, frame.contentDocument === null];
}"""


@pytest.mark.parametrize("place", [HANDOUT, f"{HANDOUT}grow.html"])
@pytest.mark.parametrize("sandboxed", [True, False], ids=["sandboxed", "open"])
def test_a_hostile_host_moves_nothing(
    host: Host, visit: Visit, address: str, snippets: Snippets, place: str, sandboxed: bool
) -> None:
    """It can hide or replace the frame, as any page can; it cannot look in, change words or make it speak."""
    text = snippets[place].partition("<script")[0]
    page = visit(host(text if sandboxed else text.replace("sandbox=", "data-was=")))
    before = page.frames[1].evaluate("document.documentElement.outerHTML")
    seen, tried, closed = page.evaluate(HARM)
    assert closed and seen == []
    assert all(tried[name] == "SecurityError" for name in ("document", "eval", "opener", "write")), tried
    assert page.frames[1].url == address + place and page.troubles == []  # type: ignore[attr-defined]
    assert page.frames[1].evaluate("document.documentElement.outerHTML") == before


def test_all_that_a_growing_frame_says_is_its_height(host: Host, visit: Visit, snippets: Snippets) -> None:
    listen = "<script>said = []; addEventListener('message', e => said.push(e.data))</script>"
    page = visit(host(listen + snippets[f"{HANDOUT}grow.html"].partition("<script")[0]))
    page.set_viewport_size({"width": 400, "height": 900})
    page.wait_for_timeout(300)
    said = page.evaluate("said")
    assert said and all(message.keys() == {"earleaf"} and type(message["earleaf"]) is int for message in said)
    assert said[-1]["earleaf"] == inside(page)


def test_a_page_in_our_name_with_more_scripts_runs_none(visit: Visit, address: str, host: Host) -> None:
    """The policy that stands in the page holds: what somebody would slip in does not run, load or send."""
    page = visit(address + HANDOUT)
    page.evaluate("""() => { const s = document.createElement('script'); s.textContent = 'document.title = "bad"';
        document.body.append(s); const i = new Image(); i.src = 'http://127.0.0.1:9/x.png';
        i.onerror = () => document.body.dataset.blocked = '1'; document.body.append(i); }""")
    page.wait_for_function("document.body.dataset.blocked === '1'")
    assert page.title() != "bad"


# The page to copy from


def test_the_button_copies_the_box(browser: Browser, address: str) -> None:
    context = browser.new_context(permissions=["clipboard-read", "clipboard-write"])
    page = context.new_page()
    page.goto(f"{address}embed/corn/")
    box = page.locator(".el-copy").nth(1)
    box.get_by_role("button").click()
    page.wait_for_function("[...document.querySelectorAll('.el-copy button')].some(b => b.textContent === 'Copied')")
    assert page.evaluate("navigator.clipboard.readText()") == box.locator("textarea").input_value()
    context.close()


def test_without_scripts_the_box_can_be_selected(browser: Browser, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}embed/corn/")
    assert page.locator(".el-copy button").count() == 0
    box = page.locator(".el-copy textarea").first
    assert box.is_visible() and not box.is_editable()
    assert box.input_value().startswith("<p><a href=")
    context.close()

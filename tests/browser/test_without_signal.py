"""Fields without signal: the copy opened from the disk of a phone, and what a reader keeps in the browser."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from serving import served

from earleaf.site.build import Prepared, build_plain, prepare
from earleaf.site.cache import Cache, usual_folder
from earleaf.site.offline import Wanted, make_copy
from small_manual import FILES, write

pytestmark = pytest.mark.browser
PHONE = {"width": 390, "height": 844}
WIDE = "() => document.documentElement.scrollWidth > document.documentElement.clientWidth"
LOADED = """async () => { document.querySelectorAll('img').forEach(i => { i.loading = 'eager'; });
  await new Promise(done => setTimeout(done, 50));
  await Promise.all([...document.images].map(i => i.complete || new Promise(d => { i.onload = i.onerror = d; })));
  return [...document.images].filter(i => !i.naturalWidth).map(i => i.src); }"""


# A copy on the disk


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory, demo: Prepared, built: Path) -> dict[str, str]:
    """The address of a copy by language, unpacked as a reader would."""
    out = {}
    for language in ("en", "es"):
        place = tmp_path_factory.mktemp(f"disk {language}")
        make_copy(demo, Wanted(language, ("corn", "dry-bean"), "larkmoor"), place / "copy.zip", Cache(usual_folder()))
        with zipfile.ZipFile(place / "copy.zip") as archive:
            archive.extractall(place)
        out[language] = f"{place.as_uri()}/manual-{language}/"
    return out


@pytest.fixture
def disk(browser: Browser) -> Iterator[tuple[Page, list[str]]]:
    """A phone without any network, and what goes wrong on it."""
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    context.set_offline(True)
    page, troubles = context.new_page(), []
    page.on("pageerror", lambda e: troubles.append(str(e)))
    page.on("console", lambda m: troubles.append(m.text) if m.type in ("error", "warning") else None)
    page.on("request", lambda r: None if r.url.startswith(("file:", "data:")) else troubles.append(f"asks {r.url}"))
    page.on("requestfailed", lambda r: None if r.failure == "net::ERR_ABORTED" else troubles.append(f"failed {r.url}"))
    yield page, troubles
    context.close()


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_copy_from_start_to_handout(disk: tuple[Page, list[str]], unpacked: dict[str, str], language: str) -> None:
    """Open the first page, search, open what was found: the drawing and the card are there."""
    page, troubles = disk
    page.goto(f"{unpacked[language]}index.html")
    assert page.locator("nav.el-lang").count() == 0
    page.locator(".pl-find").click()
    page.locator("#pl-ask").fill({"en": "corn tassel", "es": "maíz"}[language])
    page.locator("#pl-hits a").first.click()
    page.wait_for_url(re.compile(r"/crops/corn/[a-z-]*/?index\.html$"))
    page.goto(f"{unpacked[language]}crops/corn/tassel-to-silk/index.html")
    assert page.locator(".el-figure svg").bounding_box() is not None
    assert page.evaluate(LOADED) == []
    assert page.locator(".el-card-side img").count() == 1
    assert not page.evaluate(WIDE)
    assert page.evaluate("() => document.fonts.ready.then(() => document.fonts.check('16px Hyperlegible'))")
    page.locator(".el-labs a", has_text="Larkmoor").click()
    assert page.url.endswith("labs/larkmoor/corn/tassel-to-silk/index.html")
    assert page.evaluate(LOADED) == [] and page.locator(".el-card-side img").count() == 1
    assert troubles == []


def test_search_from_the_address_of_a_copy(disk: tuple[Page, list[str]], unpacked: dict[str, str]) -> None:
    page, troubles = disk
    page.goto(f"{unpacked['en']}search/index.html?q=corn+tassel")
    page.locator("#pl-hits a", has_text="Corn, tassel to silk").click()
    assert page.url.endswith("crops/corn/tassel-to-silk/index.html") and troubles == []


def test_the_calendar_of_a_copy(disk: tuple[Page, list[str]], unpacked: dict[str, str]) -> None:
    page, troubles = disk
    page.goto(f"{unpacked['en']}calendars/corn/index.html")
    assert page.locator(".el-narrow svg").first.bounding_box() is not None and troubles == []


# What a reader keeps in the browser


def build(folder: Path, day: str) -> None:
    """The small manual, of one day of edition, into the folder `site`."""
    files = dict(FILES)
    files["manual.yml"] = re.sub(r"edition: .*", f"edition: {day}", files["manual.yml"])
    prepared = prepare(write(folder / day, files), date(2026, 11, 25))
    assert not prepared.errors, prepared.errors
    build_plain(prepared, folder / "site", Cache(usual_folder()))


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the small manual is served."""
    folder = tmp_path_factory.mktemp("small")
    build(folder, "2026-11-25")
    with served(folder / "site") as place:
        yield place


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    context.set_default_timeout(10_000)
    yield context
    context.close()


def stored(page: Page) -> list[str]:
    return page.evaluate("async () => (await caches.keys()).sort()")


def workers(page: Page) -> int:
    return int(page.evaluate("async () => (await navigator.serviceWorker.getRegistrations()).length"))


def pick(page: Page, place: str, *crops: str, lab: str = "") -> None:
    page.goto(f"{place}offline/")
    page.locator(f"input[name=lab][value='{lab}']").check()
    for crop in crops:
        page.locator(f"input[name=crop][value={crop}]").check()
    expect(page.locator("#of-need")).to_have_text(re.compile(r"^\d+\.\d MB$"))


def keep(page: Page, place: str, *crops: str, lab: str = "") -> None:
    pick(page, place, *crops, lab=lab)
    page.locator("#of-keep").click()
    expect(page.locator("#of-told")).to_have_text("Done. You can go where there is no signal.")


def test_nothing_is_kept_unasked(phone: BrowserContext, site: str) -> None:
    """Not on a first visit, not on the page itself, not by picking."""
    page = phone.new_page()
    for address in ("", "crops/corn/", "crops/corn/silk/"):
        page.goto(site + address)
        page.wait_for_load_state("networkidle")
        assert stored(page) == [] and workers(page) == 0
    pick(page, site, "corn", lab="stonewell")
    assert stored(page) == [] and workers(page) == 0
    assert phone.cookies() == [] and page.evaluate("localStorage.length + sessionStorage.length") == 0


def test_the_size_is_told_before(phone: BrowserContext, site: str) -> None:
    """What the page tells is what lies in the cache afterwards, by the bytes of each answer."""
    page = phone.new_page()
    pick(page, site, "corn", lab="stonewell")
    told = float(page.locator("#of-need").inner_text().split()[0])
    page.locator("#of-keep").click()
    expect(page.locator("#of-kept")).to_be_visible()
    really = page.evaluate("""async () => { let all = 0; const cache = await caches.open((await caches.keys())[0]);
        for (const r of await cache.keys()) if (!r.url.endsWith('/kept'))
          all += (await (await cache.match(r)).arrayBuffer()).byteLength;
        return all; }""")
    assert round(really / 1e6, 1) == told > 0


def test_kept_pages_open_without_network(phone: BrowserContext, site: str) -> None:
    page = phone.new_page()
    keep(page, site, "corn", lab="stonewell")
    assert len(stored(page)) == 1 and workers(page) == 1
    phone.set_offline(True)
    for address in ("crops/corn/silk/", "labs/stonewell/corn/silk/"):
        page.goto(site + address)
        assert page.locator(".el-what").is_visible() and page.locator(".el-figure svg").is_visible()
        assert page.evaluate(LOADED) == [] and page.locator(".el-card-side img").count() == 1
        assert page.evaluate("() => document.fonts.check('16px Hyperlegible')")
    page.goto(f"{site}c/cslk/stonewell/")  # the address printed on the card
    page.wait_for_url("**/labs/stonewell/corn/silk/")
    page.goto(f"{site}search/?q=corn+tassel")
    page.locator("#pl-hits a").first.click()
    page.wait_for_url("**/crops/corn/silk/")
    card = page.locator(".el-card-side li a").first.get_attribute("href")
    assert page.evaluate("async a => (await (await fetch(a)).text()).slice(0, 5)", card) == "%PDF-"


def test_a_page_that_was_not_kept_says_so(phone: BrowserContext, site: str) -> None:
    page = phone.new_page()
    keep(page, site, "corn")
    phone.set_offline(True)
    for address in ("crops/bean/bloom/", "labs/stonewell/corn/silk/"):
        page.goto(site + address)
        page.wait_for_url(f"{site}offline/#not-kept")
        expect(page.locator("#not-kept")).to_contain_text("you did not keep that page")
        expect(page.locator("#of-list")).to_have_text("Corn")
    page.locator("#of-list a").click()
    assert page.url == f"{site}crops/corn/"
    phone.set_offline(False)
    page.goto(f"{site}crops/bean/bloom/")
    assert page.locator(".el-what").is_visible()
    assert page.evaluate("async () => !(await caches.match(location.href))"), "it is shown, and not kept"


def test_a_second_visit_and_another_choice(phone: BrowserContext, site: str) -> None:
    """A kept page comes from this phone even with a network; another choice takes the site of the first."""
    page = phone.new_page()
    keep(page, site, "corn")
    answer = page.goto(f"{site}crops/corn/")
    assert answer is not None and answer.from_service_worker
    page.goto(f"{site}offline/")
    expect(page.locator("#of-list")).to_have_text("Corn")
    expect(page.locator("#of-lab")).to_have_text("Any lab")
    expect(page.locator("#of-newer")).to_be_hidden()
    page.locator("input[name=crop][value=corn]").uncheck()
    page.locator("input[name=crop][value=bean]").check()
    page.locator("#of-keep").click()
    expect(page.locator("#of-list")).to_have_text("Bean")
    assert len(stored(page)) == 1
    assert not page.evaluate("async a => !!(await caches.match(a))", f"{site}crops/corn/")


def test_a_newer_edition_is_told_and_taken_when_asked(phone: BrowserContext, tmp_path: Path) -> None:
    build(tmp_path, "2026-11-25")
    with served(tmp_path / "site") as place:
        renew(phone.new_page(), phone, tmp_path, place)


def renew(page: Page, phone: BrowserContext, folder: Path, place: str) -> None:
    keep(page, place, "corn")
    build(folder, "2026-12-01")
    page.goto(f"{place}crops/corn/")
    assert "Edition 25 November 2026" in page.locator(".pl-foot").inner_text()
    page.wait_for_function(
        "async () => (await caches.keys()).length && !!(await caches.match(location.origin + '/newer'))"
    )
    page.goto(f"{place}crops/corn/silk/")
    line = page.locator("article > .el-newer a")
    expect(line).to_have_text("There is a newer edition. Renew what you kept.")
    assert not page.evaluate(WIDE)
    assert "Edition 25 November 2026" in page.locator(".pl-foot").inner_text(), "nothing is taken unasked"
    phone.set_offline(True)
    line.click()
    page.wait_for_url(f"{place}offline/")
    assert page.locator("article > .el-newer:visible").count() == 0, "this page tells it by itself"
    page.locator("#of-renew").click()
    expect(page.locator("#of-told")).to_contain_text("What you had before is still here")
    phone.set_offline(False)
    page.reload()
    expect(page.locator("#of-newer")).to_have_text("There is a newer edition: 1 December 2026. Renew what you kept.")
    page.locator("#of-renew").click()
    expect(page.locator("#of-told")).to_have_text("Done. You can go where there is no signal.")
    expect(page.locator("#of-newer")).to_be_hidden()
    assert len(stored(page)) == 1
    phone.set_offline(True)
    page.goto(f"{place}crops/corn/silk/")
    assert "Edition 1 December 2026" in page.locator(".pl-foot").inner_text()
    assert page.locator("article > .el-newer").count() == 0


def test_remove_leaves_nothing(phone: BrowserContext, site: str) -> None:
    page = phone.new_page()
    keep(page, site, "corn")
    page.locator("#of-remove").click()
    expect(page.locator("#of-told")).to_have_text("Removed. Nothing is on this phone any more.")
    expect(page.locator("#of-kept")).to_be_hidden()
    assert stored(page) == [] and workers(page) == 0


SAYS = "navigator.storage.estimate = async () => ({quota: %s, usage: 0})"


def test_no_room_is_noticed_before_anything_is_fetched(phone: BrowserContext, site: str) -> None:
    page = phone.new_page()
    page.add_init_script(SAYS % 60_000)
    pick(page, site, "corn", "bean", lab="stonewell")
    asked: list[str] = []
    page.on("request", lambda r: asked.append(r.url))
    page.locator("#of-keep").click()
    expect(page.locator("#of-told")).to_have_text("Not enough room on this phone. Nothing was kept.")
    assert stored(page) == [] and workers(page) == 0
    assert asked and not [a for a in asked if not a.startswith(f"{site}offline/") or not a.endswith(".json")]


def test_no_room_on_the_way_keeps_nothing(phone: BrowserContext, site: str) -> None:
    """The browser promised room, and refuses a file when it comes."""
    page = phone.new_page()
    page.add_init_script(SAYS % "1e12")
    pick(page, site, "corn", "bean", lab="stonewell")
    limit(phone, page, site, 60_000)
    page.locator("#of-keep").click()
    expect(page.locator("#of-told")).to_have_text("Not enough room on this phone. Nothing was kept.")
    assert stored(page) == [] and workers(page) == 0
    expect(page.locator("#of-kept")).to_be_hidden()


def test_no_room_leaves_what_was_there(phone: BrowserContext, site: str) -> None:
    page = phone.new_page()
    page.add_init_script(SAYS % "1e12")
    keep(page, site, "corn")
    before = stored(page)
    limit(phone, page, site, 60_000)
    page.locator("input[name=crop][value=bean]").check()
    page.locator("#of-keep").click()
    expect(page.locator("#of-told")).to_have_text("Not enough room on this phone. What you had before is still here.")
    assert stored(page) == before
    phone.set_offline(True)
    page.goto(f"{site}crops/corn/silk/")
    assert page.locator(".el-what").is_visible()


def limit(context: BrowserContext, page: Page, place: str, size: int) -> None:
    """Let the browser give this site no more room than that."""
    command: dict[str, Any] = {"origin": place.rstrip("/"), "quotaSize": size}
    context.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", command)


def test_a_broken_download_keeps_nothing(phone: BrowserContext, site: str) -> None:
    page = phone.new_page()
    pick(page, site, "corn")
    page.route("**/crops/corn/silk/", lambda route: route.abort())
    page.locator("#of-keep").click()
    expect(page.locator("#of-told")).to_have_text(
        "The signal broke off, or a file is missing. Nothing was kept. Try again."
    )
    assert stored(page) == [] and workers(page) == 0


def test_what_was_left_half_done_is_thrown_away(phone: BrowserContext, site: str) -> None:
    """The browser was closed while it kept pages: the next visit clears up, and leaves caches of others alone."""
    page = phone.new_page()
    page.goto(f"{site}crops/")
    page.evaluate("async a => { await caches.open('earleaf-kept ' + a + ' 1'); await caches.open('of others'); }", site)
    page.goto(f"{site}offline/")
    page.wait_for_function("async () => (await caches.keys()).length === 1")
    assert stored(page) == ["of others"]


def test_one_worker_serves_both_editions(phone: BrowserContext, address: str) -> None:
    """The Spanish edition of the demo, kept by the worker at the root; what was not kept leads to its own page."""
    page = phone.new_page()
    page.goto(f"{address}es/offline/")
    page.locator("input[name=crop][value=corn]").check()
    page.locator("#of-keep:enabled").click()
    expect(page.locator("#of-kept")).to_be_visible(timeout=60_000)
    assert page.evaluate("async () => (await navigator.serviceWorker.getRegistrations())[0].scope") == address
    phone.set_offline(True)
    page.goto(f"{address}es/crops/corn/tassel-to-silk/")
    assert (page.locator("html").get_attribute("lang") or "").startswith("es") and page.locator(".el-what").is_visible()
    for lost in ("es/crops/apple/", "crops/corn/"):
        page.goto(address + lost)
        page.wait_for_url(f"{address}es/offline/#not-kept")


def test_without_a_script_the_page_tells_of_the_copy(browser: Browser, address: str) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(f"{address}offline/")
    assert page.locator("#copy").is_visible() and "zip file" in page.locator("main").inner_text()
    assert not page.locator("#of-form").is_visible() and not page.locator("#of-kept").is_visible()
    context.close()


def test_an_old_browser_is_told(browser: Browser, address: str) -> None:
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    page = context.new_page()
    page.add_init_script("delete Navigator.prototype.serviceWorker")
    page.goto(f"{address}offline/")
    expect(page.locator("#of-told")).to_have_text("This browser cannot keep pages. Ask for the copy in one file.")
    assert not page.locator("#of-form").is_visible()
    context.close()


@pytest.mark.parametrize("width", [320, 390])
def test_the_page_fits_a_phone(browser: Browser, address: str, width: int) -> None:
    context = browser.new_context(viewport={"width": width, "height": 844})
    page = context.new_page()
    page.goto(f"{address}offline/")
    expect(page.locator("#of-form")).to_be_visible()
    assert not page.evaluate(WIDE)
    small = page.evaluate("""() => [...document.querySelectorAll('.el-pick, .el-offline button')]
        .filter(e => e.offsetParent && e.getBoundingClientRect().height < 24).map(e => e.textContent.trim())""")
    assert small == []
    context.close()

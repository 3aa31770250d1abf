"""The MkDocs shell: strict, without warnings, the same addresses and bodies as the plain shell, within its weights."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from lxml import html

from earleaf.site.mkdocs_shell import Options


@pytest.fixture(scope="module")
def skin(themed: Path) -> Path:
    return themed / "site"


def test_it_is_strict_and_warns_of_nothing(themed: Path) -> None:
    assert "WARNING" not in (themed / "said.txt").read_text("utf-8")


def article(path: Path) -> str:
    """The body that is ours, as text without white space at its ends."""
    found = re.search(r"<article class=\"el-page.*?</article>", path.read_text("utf-8"), re.S)
    return found.group(0) if found else ""


def test_same_addresses_and_bodies(skin: Path, built: Path) -> None:
    ours = {p.parent.relative_to(built).as_posix() for p in built.rglob("index.html")}
    ours = {address for address in ours if address.split("/")[-1] != "search"}  # the theme's search is on every page
    theirs = {p.parent.relative_to(skin).as_posix() for p in skin.rglob("index.html")}
    assert ours == theirs
    different = [a for a in sorted(ours) if article(built / a / "index.html") != article(skin / a / "index.html")]
    assert not different


def test_every_page_says_that_the_manual_is_invented(skin: Path) -> None:
    """Above the page and outside it, in its language; the plain shell has it in its frame."""
    for address in ("", "crops/corn/", "labs/pebblecross/corn/tassel-to-silk/", "guide/"):
        for prefix, said in (("", "all names are invented"), ("es/", "todos los nombres son inventados")):
            page = html.fromstring((skin / prefix / address / "index.html").read_bytes())
            (demo,) = page.xpath("//p[@class='el-demo']")
            assert said in demo.text_content() and demo.getnext().tag == "article"


def test_cards_are_made_unless_switched_off(skin: Path) -> None:
    """The option of the plugin is on by itself; test_mkdocs_editions.py switches it off."""
    assert Options().cards is True and (skin / "cards/corn-tassel-to-silk.pdf").exists()
    menu = html.fromstring((skin / "index.html").read_bytes()).xpath("//nav//a/@href")
    assert any(h.startswith("cards") for h in menu)


def test_weights_and_navigation(skin: Path) -> None:
    heavy = {p: p.stat().st_size for p in skin.glob("crops/*/*/index.html") if p.stat().st_size > 120_000}
    assert not heavy
    page = html.fromstring((skin / "crops/corn/tassel-to-silk/index.html").read_bytes())
    assert len(page.xpath("//nav[contains(@class,'md-nav--primary')]//a[@href]")) <= 80
    assert (skin / "search/search_index.json").stat().st_size <= 1_500_000


def test_search_index_is_ours_once(skin: Path) -> None:
    docs = json.loads((skin / "search/search_index.json").read_text("utf-8"))["docs"]
    places = [d["location"] for d in docs]
    assert len(places) == len(set(places))
    assert "crops/corn/tassel-to-silk/" in places
    assert not any(place.startswith("labs/larkmoor/corn") for place in places)


def test_faults_end_the_build_before_the_old_site_is_touched(tmp_path: Path, root: Path) -> None:
    (tmp_path / "docs").mkdir()
    (tmp_path / "docs/index.md").write_text("# Home\n")
    (tmp_path / "manual.yml").write_text(
        "title: A\nteam: B\nsite_url: https://a.example/\nedition: 2026-11-25\ncrpos: []\n"
    )
    (tmp_path / "mkdocs.yml").write_text("site_name: A\nplugins: [search, {earleaf: {manual: manual.yml}}]\n")
    (tmp_path / "site").mkdir()
    (tmp_path / "site/index.html").write_text("the last good site")
    done = subprocess.run([sys.executable, "-m", "mkdocs", "build"], cwd=tmp_path, capture_output=True, text=True)
    assert done.returncode != 0
    assert "did you mean 'crops'" in done.stderr and "Traceback" not in done.stderr
    assert (tmp_path / "site/index.html").read_text() == "the last good site"

"""The copy to carry, and the lists of what may be kept on a phone.

What a copy may do is what browsers do with addresses that begin with file: (WHATWG Fetch, "scheme fetch": a file cannot
be fetched by a script; a folder is shown as a list). The zip is read with Python's zipfile, its cards with pypdfium2,
and links are followed by our own parser of the tests, not by the code that wrote them.
"""

from __future__ import annotations

import json
import re
import zipfile
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pypdfium2
import pytest
from site_tree import SiteTree, outside, report, words_of

from earleaf.cli import USAGE, main
from earleaf.site import offline
from earleaf.site.build import Prepared, build_plain, prepare
from earleaf.site.cache import Cache, usual_folder
from earleaf.site.cards import CannotBuild
from earleaf.site.offline import NotInManual, TooBig, Wanted, make_copy
from earleaf.site.publish import NotOurs
from small_manual import FILES
from small_manual import write as write_small

MB = 1_000_000
MOST = 25 * MB
Made = Callable[..., tuple[Path, SiteTree]]


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory, demo: Prepared, built: Path) -> Made:
    """`made(lab='larkmoor')` makes a copy of the demo once: the zip, and the parsed files of its folder."""
    known: dict[Wanted, tuple[Path, SiteTree]] = {}

    def copy(**asked: Any) -> tuple[Path, SiteTree]:
        wanted = Wanted(**asked)
        if wanted not in known:
            place = tmp_path_factory.mktemp("copy")
            make_copy(demo, wanted, place / "copy.zip", Cache(usual_folder()))
            with zipfile.ZipFile(place / "copy.zip") as archive:
                archive.extractall(place)
            (folder,) = [p for p in place.iterdir() if p.is_dir()]
            known[wanted] = place / "copy.zip", SiteTree(folder)
        return known[wanted]

    return copy


COPIES: list[dict[str, Any]] = [
    {},
    {"language": "es"},
    {"lab": "larkmoor", "crops": ("corn", "dry-bean")},
]
each_copy = pytest.mark.parametrize("asked", COPIES, ids=["all", "spanish", "one lab, two crops"])


@pytest.fixture
def copy(made: Made, asked: dict[str, Any]) -> SiteTree:
    return made(**asked)[1]


def addresses(page: Any) -> list[str]:
    return [
        *page.xpath("//@href[not(parent::link[@rel='canonical'])]"),
        *page.xpath("//@src"),
        *page.xpath("//@action"),
    ]


# The whole copy


@pytest.mark.parametrize(
    "asked", [{}, pytest.param({"lab": "larkmoor"}, marks=pytest.mark.slow), {"language": "es"}], ids=str
)
def test_the_whole_demo_fits(made: Made, asked: dict[str, Any]) -> None:
    path, _ = made(**asked)
    assert path.stat().st_size <= MOST


@each_copy
def test_one_folder_that_starts_with_index(made: Made, asked: dict[str, Any]) -> None:
    path, tree = made(**asked)
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        tops = {name.split("/")[0] for name in archive.namelist()}
    assert tops == {tree.folder.name} and "index.html" in tree.files


@each_copy
def test_every_link_ends_in_a_file_of_the_copy(copy: SiteTree) -> None:
    """No link ends in a folder: a browser would list it."""
    bad = []
    for name, page in copy.html_files.items():
        for href in addresses(page):
            path = urlsplit(href).path
            if outside(href) or (not path and href.startswith("#")):
                continue
            if path.endswith("/") or path.startswith("/") or copy.resolve(name, href)[0] not in copy.files:
                bad.append((name, href))
    assert not bad, report(bad)


@each_copy
def test_every_fragment_is_there(copy: SiteTree) -> None:
    bad = []
    for name, page in copy.html_files.items():
        for href in page.xpath("//a/@href[contains(., '#')]"):
            file, fragment = copy.resolve(name, href)
            if not outside(href) and file.endswith(".html") and fragment not in copy.ids.get(file, ()):
                bad.append((name, href))
    assert not bad, report(bad)


@each_copy
def test_nothing_is_loaded_from_outside(copy: SiteTree) -> None:
    """Pages, style sheets, drawings and scripts load files of the copy only. A plain link may lead to a source."""
    bad = [
        (name, e.tag, e.get(key))
        for name, page in copy.html_files.items()
        for e in page.xpath("//*[@src or @href or @srcset or @action or @data]")
        for key in ("src", "href", "srcset", "action", "data")
        if e.get(key) and outside(e.get(key)) and not (e.tag == "a" or e.get("rel") == "canonical")
    ]
    for name, content in copy.files.items():
        if name.endswith((".css", ".js", ".svg")):
            text = content.decode("utf-8").replace('xmlns="http://www.w3.org/2000/svg"', "")
            if name != "search/search_index.js":
                bad += [(name, "text", found) for found in re.findall(r"https?:|url\(['\"]?//|@import", text)]
            bad += [
                (name, "url", u)
                for u in re.findall(r"url\(([^)]+)\)", text)
                if not name.endswith(".svg") and outside(u)
            ]
    assert not bad, report(bad)


@each_copy
def test_no_worker_and_no_way_to_keep(copy: SiteTree) -> None:
    assert not [n for n, c in copy.files.items() if n.endswith((".js", ".html")) and b"serviceWorker" in c]
    assert not [n for n in copy.files if n.startswith(("offline/", "embed/", "data/", "keep.js"))]


@each_copy
def test_no_file_is_idle(copy: SiteTree) -> None:
    """From the first page, links lead to every file but the licence of the fonts, which goes with them."""
    seen, todo = {"index.html"}, ["index.html"]
    while todo:
        name = todo.pop()
        if name.endswith(".css"):
            hrefs = re.findall(r"url\(([^)]+)\)", copy.files[name].decode())
        else:
            hrefs = addresses(copy.html_files[name]) if name.endswith(".html") else []
        for href in hrefs:
            file = copy.resolve(name, href)[0]
            if not outside(href) and file not in seen:
                seen.add(file)
                todo.append(file)
    assert copy.files.keys() - seen <= {"assets/fonts/OFL.txt"}


@each_copy
def test_handouts_show_their_drawings(copy: SiteTree) -> None:
    assert copy.handouts
    bare = [a for a, page in copy.handouts.items() if page.find_class("el-beside") and not page.xpath("//figure//img")]
    assert not bare
    assert [n for n in copy.files if n.startswith("drawings/") and n.endswith(".svg")]


@each_copy
def test_calendars_are_in(copy: SiteTree) -> None:
    assert {"calendars/corn/index.html", "calendars/corn.ics"} <= copy.files.keys()
    assert not [n for n in copy.files if n.startswith("calendars/labs/") and Path(n).stem not in labs_of(copy)]


def labs_of(copy: SiteTree) -> set[str]:
    return {n.split("/")[1] for n in copy.files if n.startswith("labs/") and n.count("/") == 2}


def test_each_handout_leads_to_its_own_card(made: Made) -> None:
    """The page of the deck that a handout names holds the card of that handout: the short address says so."""
    _, copy = made(lab="larkmoor", crops=("corn", "dry-bean"))
    _, every = made()
    checked = 0
    for tree in (copy, every):
        decks: dict[str, pypdfium2.PdfDocument] = {}
        for address, page in tree.handouts.items():
            crop = page.xpath("//article/@data-crop")[0]
            if crop not in ("corn", "dry-bean", "watermelon"):
                continue
            (link,) = page.xpath("//*[@class='el-card-side']//li/a[contains(@href, '.pdf')]/@href")
            file, fragment = tree.resolve(f"{address}index.html", link)
            deck = decks.setdefault(file, pypdfium2.PdfDocument(tree.files[file]))
            number = int(parse_qs(fragment)["page"][0])
            text = deck[number - 1].get_textpage().get_text_range()
            short = re.search(r"c/(\w+)/", words_of(page.xpath("//footer[@class='el-foot']")[0]))
            assert short and f"c/{short[1]}" in text, (address, number, text[-200:])
            assert str(number) in words_of(page.xpath("//*[@class='el-card-side']")[0])
            checked += 1
    assert checked > 20


# Which labs and languages


def test_one_lab_only(made: Made) -> None:
    _, copy = made(lab="larkmoor", crops=("corn", "dry-bean"))
    assert labs_of(copy) == {"larkmoor"}
    assert {a.split("/")[1] for a in copy.handouts if a.startswith("crops/")} == {"corn", "dry-bean"}
    for name, content in copy.files.items():
        if name.endswith((".html", ".js")):
            assert b"Pebblecross" not in content and b"Quillwater" not in content, name
    assert "cards/corn-tassel-to-silk.png" in copy.files
    assert "cards/corn-tassel-to-silk-larkmoor.png" in copy.files
    assert copy.html_files["labs/larkmoor/corn/tassel-to-silk/index.html"].xpath(
        "//img[contains(@src, '-larkmoor.png')]"
    )


def test_all_labs_with_pictures_of_cards_for_any_lab(made: Made, demo: Prepared) -> None:
    _, copy = made()
    assert labs_of(copy) == demo.db.labs.keys()
    assert {f"cards/decks/{lab}.pdf" for lab in ("any-lab", *demo.db.labs)} <= copy.files.keys()
    shown = {n for n in copy.files if n.endswith(".png")}
    assert shown == {f"cards/{c.crop}-{p.protocol}.png" for c in demo.db.crops.values() for p in c.protocols}
    for a, page in copy.handouts.items():
        assert len(page.xpath("//*[@class='el-card-side']//img")) == a.startswith("crops/"), a


@pytest.mark.parametrize(("asked", "language"), [({}, "en"), ({"language": "es"}, "es")])
def test_one_language_and_no_switch(made: Made, asked: dict[str, Any], language: str) -> None:
    _, copy = made(**asked)
    assert {page.get("lang").split("-")[0] for page in copy.html_files.values()} == {language}
    assert not [n for n, page in copy.html_files.items() if page.xpath("//nav[@class='el-lang']")]
    assert not [n for n in copy.files if n.startswith("es/")]


def test_each_page_says_that_it_is_a_copy_and_of_which_edition(made: Made, demo: Prepared) -> None:
    assert demo.manual is not None
    for page in made()[1].html_files.values():
        foot = page.xpath("//footer[@class='pl-foot']")[0]
        assert "This is a copy to carry." in words_of(foot) and f"{demo.manual.edition:%Y}" in words_of(foot)
        assert foot.xpath(".//a[@rel='external']/@href") == [str(demo.manual.site_url)]


@each_copy
def test_the_search_has_its_list_in_a_script(copy: SiteTree) -> None:
    """A file cannot be fetched, so the list is a script that comes before the one that searches."""
    scripts = copy.html_files["search/index.html"].xpath("//script/@src")
    assert [s.rsplit("/", 1)[1] for s in scripts] == ["search_index.js", "search.js"]
    text = copy.files["search/search_index.js"].decode("utf-8")
    found = re.fullmatch(r"window\.earleafIndex = (\{.*\});\n", text, re.S)
    assert found is not None
    places = [doc["location"] for doc in json.loads(found[1])["docs"]]
    assert len(places) > 20 and not [p for p in places if p not in copy.files]


# The same bytes, and what goes wrong


def test_the_same_copy_twice(tmp_path: Path, demo: Prepared) -> None:
    wanted = Wanted(crops=("corn", "apple"))
    for name in ("a.zip", "b.zip"):
        make_copy(demo, wanted, tmp_path / name, None)
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    assert demo.manual is not None
    day = demo.manual.edition
    with zipfile.ZipFile(tmp_path / "a.zip") as archive:
        assert {i.date_time for i in archive.infolist()} == {(day.year, day.month, day.day, 0, 0, 0)}
        assert archive.namelist() == sorted(archive.namelist())


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        (Wanted(lab="larkmor"), "no lab 'larkmor' in this manual; did you mean 'larkmoor'"),
        (Wanted(crops=("corn", "corm")), "no crop 'corm' in this manual; did you mean 'corn'"),
        (Wanted(language="fr"), "no language 'fr' in this manual; known: en, es"),
    ],
)
def test_unknown_names(tmp_path: Path, demo: Prepared, wanted: Wanted, said: str) -> None:
    with pytest.raises(NotInManual, match=re.escape(said)):
        make_copy(demo, wanted, tmp_path / "copy.zip", None)
    assert not list(tmp_path.iterdir())


def test_too_big_tells_what_is_large_and_what_helps(
    tmp_path: Path, demo: Prepared, monkeypatch: pytest.MonkeyPatch
) -> None:
    out, wanted = tmp_path / "copy.zip", Wanted(crops=("corn", "apple", "potato"))
    make_copy(demo, wanted, out, None)
    before = out.read_bytes()
    monkeypatch.setattr(offline, "LIMIT_MB", 0.2)
    with pytest.raises(TooBig, match=r"0\.2 MB are allowed\. Largest: pages of labs .*--crop.*--lab.*--no-cards"):
        make_copy(demo, wanted, out, None)
    assert out.read_bytes() == before and [p.name for p in tmp_path.iterdir()] == ["copy.zip"]


def test_a_foreign_file_is_never_replaced(tmp_path: Path, demo: Prepared) -> None:
    with zipfile.ZipFile(tmp_path / "mine.zip", "w") as archive:
        archive.writestr("a.txt", "mine")
    before = (tmp_path / "mine.zip").read_bytes()
    for name, said in (("mine.zip", "not a copy that Earleaf made"), ("copy.tar", "does not end in .zip")):
        with pytest.raises(NotOurs, match=said):
            make_copy(demo, Wanted(crops=("corn",)), tmp_path / name, None)
    assert (tmp_path / "mine.zip").read_bytes() == before and len(list(tmp_path.iterdir())) == 1


def test_the_old_copy_stays_if_a_sentence_is_not_translated(tmp_path: Path, demo: Prepared) -> None:
    out = tmp_path / "copy.zip"
    make_copy(demo, Wanted("es", ("corn",)), out, None)
    before, languages = out.read_bytes(), dict(demo.db.languages)  # type: ignore[attr-defined]
    known = languages["es-US"]
    poorer = {k: v for k, v in known.sentences.items() if k != "This is a copy to carry."}
    languages["es-US"] = replace(known, sentences=poorer)
    lacking = replace(demo, db=replace(demo.db, languages=languages))  # type: ignore[call-arg]
    with pytest.raises(CannotBuild, match="This is a copy to carry"):
        make_copy(lacking, Wanted("es", ("corn",)), out, None)
    assert out.read_bytes() == before


def test_the_choices_need_offline(capsys: pytest.CaptureFixture[str], root: Path) -> None:
    assert main(["build", "--lab", "larkmoor", "--manual", str(root / "demo_scenario/manual.yml")]) == USAGE
    assert "go with --offline" in capsys.readouterr().err


# What may be kept on a phone


@pytest.fixture(scope="session", params=["", "es/"], ids=["english", "spanish"])
def edition(request: pytest.FixtureRequest, built: Path) -> Path:
    return built / str(request.param)


@lru_cache
def parsed(edition: Path) -> SiteTree:
    """The pages of one edition; parsed once."""
    return SiteTree(edition, others=("es",), alone=True)


def listed(folder: Path, name: str) -> Any:
    return json.loads((folder / f"offline/{name}.json").read_text("utf-8"))


def test_lists_name_files_and_their_bytes(edition: Path, demo: Prepared) -> None:
    lists = [listed(edition, "base")]
    for crop in demo.db.crops:
        of_crop = listed(edition, f"crops/{crop}")
        assert of_crop.keys() == {"", *demo.db.labs}
        lists += of_crop.values()
    for sizes in lists:
        for address, size in sizes.items():
            path = edition / address
            assert (path / "index.html" if path.is_dir() else path).stat().st_size == size, address


@pytest.mark.parametrize("crop", ["corn", "wheat", "apple", "grape"])
@pytest.mark.parametrize("lab", ["", "pebblecross"])
def test_a_kept_crop_lacks_nothing(edition: Path, demo: Prepared, crop: str, lab: str) -> None:
    """Every handout of the crop and lab, and all that these pages load, is kept; so is the card."""
    of_crop = listed(edition, f"crops/{crop}")
    kept = listed(edition, "base") | of_crop[""] | of_crop[lab]
    tree = parsed(edition)
    for protocol in demo.db.crops[crop].protocols:
        for address in (f"crops/{crop}/", f"labs/{lab}/{crop}/" if lab else f"crops/{crop}/"):
            assert f"{address}{protocol.protocol}/" in kept
        assert f"c/{protocol.short_id}/" in kept
        assert f"cards/{crop}-{protocol.protocol}{f'-{lab}' if lab else ''}.pdf" in kept
    for address in [a for a in kept if a == "" or a.endswith("/")]:
        for src in tree.html_files[f"{address}index.html"].xpath("//@src | //link[@rel='stylesheet']/@href"):
            assert tree.resolve(f"{address}index.html", src)[0] in kept, (address, src)
    assert {
        "",
        "crops/",
        "search/",
        "search/search_index.json",
        "offline/",
        "sources/",
        "choosing-spots/",
    } <= kept.keys()
    assert [a for a in kept if a.endswith(".woff2")]
    assert not [a for a in kept if a.startswith(("embed/", "data/", "cards/decks/", "cards/sheets/", "es/"))]


def test_one_worker_at_the_root_for_all_editions(built: Path) -> None:
    assert [p.relative_to(built).as_posix() for p in built.rglob("keep.js")] == ["keep.js"]
    for folder, way in (("", "../keep.js"), ("es/", "../../keep.js")):
        page = SiteTree(built / folder, others=("es",), alone=True).html_files["offline/index.html"]
        assert page.xpath("//article/@data-worker") == [way]


@pytest.mark.parametrize("name", ["keep.js", "assets/kept.js", "assets/offline.js"])
def test_scripts_are_small(built: Path, name: str) -> None:
    assert (built / name).stat().st_size <= 6_000


def test_the_page_offers_every_crop_and_lab_and_works_without_a_script(built: Path, demo: Prepared) -> None:
    page = SiteTree(built, others=("es",)).html_files["offline/index.html"]
    assert set(page.xpath("//input[@name='crop']/@value")) == demo.db.crops.keys()
    assert page.xpath("//input[@name='lab']/@value") == ["", *demo.db.labs]
    assert page.xpath("//form[@id='of-form']/@hidden") and "zip file" in words_of(page.xpath("//main")[0])


def test_the_version_follows_the_edition(tmp_path: Path, today: Any) -> None:
    """Another day of edition is another version; the same input is the same one."""
    versions = []
    for n, text in enumerate(["2026-11-25", "2026-11-25", "2026-12-01"]):
        files = dict(FILES)
        files["manual.yml"] = re.sub(r"edition: .*", f"edition: {text}", files["manual.yml"])
        prepared = prepare(write_small(tmp_path / str(n), files), today)
        assert not prepared.errors
        build_plain(prepared, tmp_path / str(n) / "site")
        versions.append(listed(tmp_path / str(n) / "site", "edition")["version"])
    assert versions[0] == versions[1] != versions[2]

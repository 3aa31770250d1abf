"""A site built in parts, by processes that share nothing, is the site that one machine builds: every file, every byte.

The parts of the first tests are built by the script of the guide (docs/guides/forge/), each job in a folder of its own.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from hashlib import sha256
from pathlib import Path

import pytest
import yaml

from earleaf.cli import main
from earleaf.database.manual import ManualDatabase
from earleaf.site.build import build_plain, prepare
from earleaf.site.cache import Cache, usual_folder
from earleaf.site.cards import CannotBuild
from earleaf.site.join import BadPart, join
from earleaf.site.parts import make_part, plan
from earleaf.site.publish import NotOurs
from pseudo_language import CODE, accented, second_language
from small_manual import write

FORGE = Path(__file__).resolve().parents[2] / "docs/guides/forge"
NAMES = [f"{language}/{lab}" for language in ("en", CODE) for lab in ("any", "stonewell", "quarry")]
WITHIN = 1200


def files_of(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def differing(one: Path, other: Path) -> list[str]:
    """The names of files that are not in both folders with the same bytes."""
    a, b = files_of(one), files_of(other)
    return sorted(name for name in a.keys() | b.keys() if a.get(name) != b.get(name))


def small(folder: Path, today: date) -> Path:
    """The small manual with two labs and two languages; the path of its manual.yml. Names and ids sort differently."""
    manual = write(folder)
    bean = folder / "protocols/crops/bean.yml"
    bean.write_text(bean.read_text("utf-8").replace("name: Bean\n", "name: Dry bean\n"), "utf-8")
    lab = (folder / "labs/stonewell.yml").read_text("utf-8")
    lab = lab.replace("lab: stonewell", "lab: quarry").replace("Stonewell Leaf Lab", "Quarry Leaf Lab")
    (folder / "labs/quarry.yml").write_text(lab, "utf-8")
    manual.write_text(manual.read_text("utf-8").replace("labs: [stonewell]", "labs: [stonewell, quarry]"), "utf-8")
    second_language(manual, today, translate=accented)
    return manual


@pytest.fixture(scope="module")
def manual(tmp_path_factory: pytest.TempPathFactory, today: date) -> Path:
    return small(tmp_path_factory.mktemp("small"), today)


@pytest.fixture(scope="module")
def pages_parts(manual: Path, today: date, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with every part, without cards."""
    out = tmp_path_factory.mktemp("pages-parts")
    prepared = prepare(manual, today)
    for name in NAMES:
        make_part(prepared, name, out / name.replace("/", "-"), None)
    return out


@pytest.fixture
def parts(pages_parts: Path, tmp_path: Path) -> Path:
    """A copy of those parts, to be spoiled."""
    return Path(shutil.copytree(pages_parts, tmp_path / "parts"))


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """The last good site."""
    out = tmp_path / "site"
    out.mkdir()
    (out / ".earleaf-site").write_text("ours")
    (out / "index.html").write_text("the last good one")
    return out


def told(manual: Path, today: date, parts: Path, site: Path) -> str:
    """What the join says of spoiled parts; the old site is still there, and nothing beside it."""
    with pytest.raises(BadPart) as caught:
        join(prepare(manual, today), sorted(parts.iterdir()), site, None)
    assert (site / "index.html").read_text() == "the last good one"
    assert sorted(p.name for p in site.parent.iterdir()) == ["parts", "site"]
    return str(caught.value)


# The same bytes


def test_jobs_that_share_nothing_build_the_site_of_one_machine(manual: Path, today: date, tmp_path: Path) -> None:
    """With cards. Each job has a copy of the manual, an empty cache and other hash seeds, and the parts are copied."""
    jobs = yaml.safe_load((FORGE / "parts.yml").read_text("utf-8"))
    assert jobs["parts"]["script"] == ["sh parts.sh build"] and jobs["pages"]["script"] == ["sh parts.sh join"]
    assert jobs["parts"]["artifacts"]["paths"] == ["parts"] and jobs["pages"]["needs"] == ["parts"]
    assert jobs["parts"]["parallel"]["matrix"] == [
        {"INDEX": [str(n + 1) for n in range(int(jobs["parts"]["variables"]["COUNT"]))]}
    ]

    def job(name: str, *command: str, **settings: str) -> Path:
        folder = Path(shutil.copytree(manual.parent, tmp_path / name, dirs_exist_ok=True))
        shutil.copy(FORGE / "parts.sh", folder)
        path = f"{Path(sys.executable).parent}:{os.environ['PATH']}"
        own = {"PATH": path, "XDG_CACHE_HOME": str(folder / "cache"), "PYTHONHASHSEED": str(len(name)), **settings}
        ask, env = ["sh", "parts.sh", *command], {**os.environ, **own}
        done = subprocess.run(ask, cwd=folder, env=env, capture_output=True, text=True, timeout=WITHIN, check=False)
        assert done.returncode == 0, done.stdout + done.stderr
        return folder

    for index in ("1", "2"):
        made = job(f"job-{index}", "build", INDEX=index, COUNT="2")
        shutil.copytree(made / "parts", tmp_path / "last-job/parts", dirs_exist_ok=True)
    assert sorted(p.name for p in (tmp_path / "last-job/parts").iterdir()) == sorted(n.replace("/", "-") for n in NAMES)
    last = job("last-job", "join", OUT=jobs["pages"]["variables"]["OUT"])
    build_plain(prepare(manual, today), tmp_path / "one", Cache(usual_folder()))
    assert differing(tmp_path / "one", last / "public") == []
    assert len(list((tmp_path / "one/cards").rglob("*.pdf"))) > 20


def test_calendars_and_feeds_are_joined_too(tmp_path: Path, root: Path, today: date) -> None:
    """Corn of the demo in two places, with feeds that remember; a language as one part, and parts in any order."""
    folders = []
    for name in ("one", "split"):
        folders.append(Path(shutil.copytree(root / "demo_scenario", tmp_path / name)))
        text = (folders[-1] / "manual.yml").read_text("utf-8")
        text = re.sub(r"(?m)^labs: .*$", "labs: [larkmoor, quillwater]\ncrops: [corn]\nfeeds_file: feeds.json", text)
        text = re.sub(r"(?m)^(chapters_folder|      (?!corn:)[a-z-]+(/[a-z-]+)?): .*\n", "", text)
        text = re.sub(r"(?m)^  - region: valley-autumn\n(    .*\n)+", "", text)
        text = re.sub(r"decide_by: .*", "decide_by: {corn/before-tassel: 2027-07-02}", text)
        (folders[-1] / "manual.yml").write_text(text, "utf-8")
    one, split = folders
    build_plain(prepare(one / "manual.yml", today), tmp_path / "one-site")
    for name in ("es/quillwater", "en", "es/any", "es/larkmoor"):
        make_part(prepare(split / "manual.yml", today), name, tmp_path / "parts" / name.replace("/", "-"), None)
    join(prepare(split / "manual.yml", today), sorted((tmp_path / "parts").iterdir())[::-1], tmp_path / "joined", None)
    assert differing(tmp_path / "one-site", tmp_path / "joined") == []
    assert (one / "feeds.json").read_bytes() == (split / "feeds.json").read_bytes()
    assert b"BEGIN:VEVENT" in (tmp_path / "joined/es/calendars/corn.ics").read_bytes()


@pytest.mark.slow
def test_the_demo_manual_in_parts(root: Path, built: Path, today: date, tmp_path: Path) -> None:
    ours = [sys.executable, "-m", "earleaf.cli"]
    asked = ["-m", str(root / "demo_scenario/manual.yml")]
    for name in plan(prepare(root / "demo_scenario/manual.yml", today)):
        out = str(tmp_path / "parts" / name.replace("/", "-"))
        subprocess.run([*ours, "build", "--plain", "--part", name, "--out", out, *asked], check=True, timeout=1200)
    parts = map(str, sorted((tmp_path / "parts").iterdir()))
    subprocess.run([*ours, "join", *parts, "--out", str(tmp_path / "site"), *asked], check=True, timeout=1200)
    assert differing(built, tmp_path / "site") == []


def test_a_part_built_again_is_the_same(pages_parts: Path, manual: Path, today: date, tmp_path: Path) -> None:
    make_part(prepare(manual, today), "en/any", tmp_path / "again", None)
    assert differing(pages_parts / "en-any", tmp_path / "again") == []


# Parts that cannot be joined


def change_told(part: Path, change: Callable[[dict[str, object]], object]) -> None:
    """Change what a part tells of itself."""
    content = json.loads((part / "part.json").read_text("utf-8"))
    change(content)
    tell(part, json.dumps(content).encode())


def tell(part: Path, content: bytes) -> None:
    (part / "part.json").write_bytes(content)
    (part / "part.sha256").write_text(f"{sha256(content).hexdigest()}  part.json\n", "utf-8")


def test_good_parts_are_joined(manual: Path, today: date, parts: Path, site: Path) -> None:
    """What the next tests spoil is whole."""
    join(prepare(manual, today), sorted(parts.iterdir()), site, None)
    assert "Small manual" in (site / "index.html").read_text("utf-8")


def test_a_missing_part_is_named(manual: Path, today: date, parts: Path, site: Path) -> None:
    shutil.rmtree(parts / f"{CODE}-quarry")
    said = told(manual, today, parts, site)
    assert f"parts are missing: {CODE}/quarry" in said and "earleaf build --plain --part" in said


def test_a_part_that_is_there_twice_is_named(manual: Path, today: date, parts: Path, site: Path) -> None:
    shutil.copytree(parts / "en-any", parts / "other")
    said = told(manual, today, parts, site)
    assert "en/any is in" in said and "other" in said


def test_a_part_from_other_files_names_what_differs(
    manual: Path, today: date, parts: Path, site: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    other = tmp_path_factory.mktemp("foreign") / "manual"
    shutil.copytree(manual.parent, other)
    crop = other / "protocols/crops/corn.yml"
    crop.write_text(crop.read_text("utf-8").replace("{number: 5, each: 4}", "{number: 4, each: 5}"), "utf-8")
    make_part(prepare(other / "manual.yml", today), "en/any", parts / "en-any", None)
    said = told(manual, today, parts, site)
    assert "en-any was not made from what is here: protocols/crops/corn.yml differs; build this part again" in said


def test_a_part_from_another_version_is_refused(manual: Path, today: date, parts: Path, site: Path) -> None:
    change_told(parts / "en-any", lambda part: part["inputs"].update({"the version of Earleaf": "older"}))  # type: ignore[attr-defined]
    assert "the version of Earleaf differs" in told(manual, today, parts, site)


def test_parts_with_and_without_cards_do_not_mix(manual: Path, today: date, parts: Path, site: Path) -> None:
    make_part(prepare(manual, today), "en/quarry", parts / "en-quarry", Cache(usual_folder()))
    said = told(manual, today, parts, site)
    assert "en-quarry has cards" in said and "--no-cards" in said


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"language": "en"}', b"\xff\xfe\x00", b"null"])
def test_a_list_that_is_none_is_told(content: bytes, manual: Path, today: date, parts: Path, site: Path) -> None:
    tell(parts / "en-stonewell", content)
    said = told(manual, today, parts, site)
    assert "en-stonewell: part.json is gone or damaged; copy the part again" in said


def test_a_damaged_list_is_told(manual: Path, today: date, parts: Path, site: Path) -> None:
    """Cut off anywhere, or with one letter of a title changed, which is still a list."""
    path = parts / "en-stonewell/part.json"
    whole = path.read_bytes()
    for content in (b"", whole[: len(whole) // 2], whole[:-1], whole.replace(b"Corn", b"Cornn", 1)):
        assert content != whole
        path.write_bytes(content)
        assert "part.json is gone or damaged" in told(manual, today, parts, site)


def test_a_list_without_a_crop_is_told(manual: Path, today: date, parts: Path, site: Path) -> None:
    change_told(parts / "en-any", lambda part: part["once"].pop("corn"))  # type: ignore[attr-defined]
    assert "en-any: part.json is gone or damaged" in told(manual, today, parts, site)


@pytest.mark.parametrize("name", ["../outside.html", "/etc/outside.html", "crops/../../outside.html"])
def test_a_list_that_leads_out_of_the_part_is_refused(
    name: str, manual: Path, today: date, parts: Path, site: Path
) -> None:
    change_told(parts / "en-any", lambda part: part["decks"].update({name: "0" * 64}))  # type: ignore[attr-defined]
    assert "en-any: part.json is gone or damaged" in told(manual, today, parts, site)


def test_a_damaged_page_is_named(manual: Path, today: date, parts: Path, site: Path) -> None:
    page = parts / "en-quarry/files/labs/quarry/corn/silk/index.html"
    content = page.read_bytes()
    page.write_bytes(content[:-1])
    assert "files/labs/quarry/corn/silk/index.html is gone or damaged" in told(manual, today, parts, site)
    page.unlink()
    assert "files/labs/quarry/corn/silk/index.html is gone or damaged" in told(manual, today, parts, site)


def test_a_folder_that_is_no_part_is_told(manual: Path, today: date, parts: Path, site: Path) -> None:
    (parts / "notes").mkdir()
    assert "notes is no part of a site" in told(manual, today, parts, site)


def test_a_folder_that_is_no_part_is_not_replaced(manual: Path, today: date, site: Path) -> None:
    with pytest.raises(NotOurs):
        make_part(prepare(manual, today), "en/any", site, None)


def test_a_crop_without_a_translation_stops_the_part(manual: Path, today: date, tmp_path: Path) -> None:
    """One machine would leave it out; a part cannot know what the others leave out."""
    prepared = prepare(manual, today)
    assert isinstance(prepared.db, ManualDatabase)
    words = prepared.db.languages[CODE]
    rest = {s: t for s, t in words.sentences.items() if s != "The tassel is out or silks show."}
    lacking = replace(prepared.db, languages={**prepared.db.languages, CODE: replace(words, sentences=rest)})
    with pytest.raises(CannotBuild, match=r"corn is left out(.|\n)*at once, without it") as caught:
        make_part(replace(prepared, db=lacking), f"{CODE}/any", tmp_path / "part", None)
    assert all(finding.level == "error" for finding in caught.value.findings)
    assert not (tmp_path / "part").exists()


# The command


def run(*words: str) -> int:
    try:
        return main(list(words))
    except SystemExit as end:
        return int(str(end.code))


def test_the_command_lists_the_parts(manual: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("parts", "-m", str(manual)) == 0
    assert capsys.readouterr().out.split() == NAMES
    assert run("parts", "--json", "-m", str(manual)) == 0
    assert json.loads(capsys.readouterr().out) == NAMES


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--plain", "--part", "fr"], "no language 'fr'"),
        (["--plain", "--part", "en/stonewel"], "no lab 'stonewel' in this manual; did you mean"),
        (["--part", "en/any"], "--part goes with --plain"),
        (["--plain", "--offline", "--part", "en/any"], "not with --offline"),
        (["--plain", "--part", "en", "--lab", "quarry"], "go with --offline"),
    ],
)
def test_wrong_usage_is_told(
    words: list[str], said: str, manual: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("build", *words, "-m", str(manual), "--out", str(tmp_path / "out")) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_the_command_tells_of_bad_parts(manual: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("join", str(tmp_path), "-m", str(manual), "--out", str(tmp_path / "site")) == 3
    assert "not built" in (said := capsys.readouterr().err) and "is no part of a site" in said

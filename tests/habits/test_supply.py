"""What comes from others is pinned, listed and free to pass on.

Outside authority: the licence each package states about itself, and SPDX names of licences.
"""

from __future__ import annotations

import re
import tomllib
from fnmatch import fnmatch
from importlib import metadata
from pathlib import Path

import material
import pytest
import third_party
from packaging.utils import canonicalize_name

from earleaf.site.mkdocs_shell import build_mkdocs
from small_manual import write

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "generator/earleaf"
OWN = {".py", ".html", ".css", ".js", ".typ"}
CONFIG = """\
site_name: Small
docs_dir: labs
theme: {name: material, font: false}
plugins: [search, {earleaf: {manual: manual.yml}}]
"""
NOTICE = re.compile(r"@license|copyright \(c|copyright \d|\(c\) \d{4}|all rights reserved|spdx", re.I)


@pytest.fixture(scope="module")
def lock() -> dict[str, str]:
    """Version by package of requirements.lock. Each entry is one exact version, with the hashes of its files."""
    text = (ROOT / "requirements.lock").read_text("utf-8").replace("\\\n", " ")
    entries = [line for line in text.splitlines() if line and not line.startswith("#")]
    form = r"([A-Za-z0-9._-]+)==([^\s;]+)( ; [^\\]+?)?( +--hash=sha256:[0-9a-f]{64})+ *"
    pinned = [re.fullmatch(form, line) for line in entries]
    assert all(pinned), "an entry of the lock is no exact version with hashes"
    return {canonicalize_name(one[1]): one[2] for one in pinned if one}


def test_everything_asked_for_is_pinned_and_fits(lock: dict[str, str]) -> None:
    for one in (*third_party.requirements(), *third_party.requirements("test", "dev")):
        name = canonicalize_name(one.name)
        assert name in lock, f"{name} is not in requirements.lock: run `make lock`"
        assert one.specifier.contains(lock[name], prereleases=True), f"{one} and {lock[name]}"


def test_what_they_bring_along_is_pinned_too(lock: dict[str, str]) -> None:
    wanted = third_party.closure([*third_party.requirements(), *third_party.requirements("test", "dev")])
    assert wanted - set(lock) == set()


def test_nothing_is_pinned_that_nobody_needs(lock: dict[str, str]) -> None:
    wanted = third_party.closure([*third_party.requirements(), *third_party.requirements("test", "dev")])
    unused = set(lock) - wanted
    assert unused <= {"colorama", "pywin32"}, "only what other systems need"


def test_what_is_installed_is_what_is_pinned(lock: dict[str, str]) -> None:
    for name, version in lock.items():
        try:
            assert metadata.version(name) == version, f"{name}: set up again with `make`"
        except metadata.PackageNotFoundError:
            pytest.fail(f"{name} is pinned and not installed")


def test_only_the_makefile_names_packages_beside_the_lock() -> None:
    """Tools that are fetched for one command: uv for the lock, and an open data file for tests, at one version."""
    text = (ROOT / "Makefile").read_text("utf-8")
    fetched = set(re.findall(r"pip install(?: --[a-z-]+)* ((?!--|-)\S+)", text))
    assert fetched == {"$(WEATHER_DATA)", "uv"}
    assert re.search(r"^WEATHER_DATA := \w+==[\d.]+$", text, re.M)


def test_each_licence_goes_with_ours() -> None:
    needed = third_party.closure(third_party.requirements())
    tools = third_party.closure(third_party.requirements("test", "dev"))
    assert len(needed) > 25
    bad = [name for name in needed if not third_party.allowed(third_party.licence(name), shipped=True)]
    bad += [name for name in tools if not third_party.allowed(third_party.licence(name), shipped=False)]
    assert bad == []


@pytest.mark.parametrize("spdx", ["GPL-3.0-only", "AGPL-3.0-or-later", "MIT AND GPL-2.0-only", "CC-BY-NC-4.0"])
def test_a_licence_that_asks_for_more_is_refused(spdx: str) -> None:
    assert not third_party.allowed(spdx, shipped=True) and not third_party.allowed(spdx, shipped=False)


def test_one_of_two_licences_is_enough() -> None:
    assert third_party.allowed("GPL-3.0-only OR MIT", shipped=True)


def test_a_tool_under_the_gpl_is_no_part_of_the_program() -> None:
    java = next(iter(third_party.NEVER_SHIPPED))
    assert third_party.allowed(java, shipped=False) and not third_party.allowed(java, shipped=True)


def test_the_list_is_made_from_what_is_installed() -> None:
    assert (ROOT / "THIRD-PARTY.md").read_text("utf-8") == third_party.page(), "run `make notices`"


def test_every_file_of_others_in_the_package_is_listed() -> None:
    patterns = [pattern for held in third_party.HELD for pattern in held.where]
    files = [p for p in PACKAGE.rglob("*") if p.is_file() and "__pycache__" not in p.parts]
    for path in files:
        name = path.relative_to(PACKAGE).as_posix()
        if any(fnmatch(name, pattern) for pattern in patterns):
            assert (path.parent / "OFL.txt").is_file(), name
        elif path.name != "OFL.txt":
            assert path.suffix in OWN, f"{name}: ours, or of whom?"
            assert path.suffix == ".py" or not NOTICE.search(path.read_text("utf-8")), f"{name}: whose notice?"
    assert all(any(fnmatch(p.relative_to(PACKAGE).as_posix(), w) for p in files) for w in patterns)


def test_the_font_may_be_changed_and_keep_its_name() -> None:
    """The files are cut down to the letters in use. OFL 1.1, paragraph 3, would forbid that for a reserved name."""
    for path in PACKAGE.rglob("OFL.txt"):
        head, _, body = path.read_text("utf-8").partition("SIL OPEN FONT LICENSE Version 1.1")
        assert "Reserved Font Name" not in head and "PERMISSION & CONDITIONS" in body


def test_every_file_the_theme_puts_into_a_site_is_listed(tmp_path: Path) -> None:
    """A word splitter for Thai, under the LGPL and without a notice, is left out with all languages not in use."""
    manual = write(tmp_path / "small")
    (tmp_path / "small/mkdocs.yml").write_text(CONFIG, "utf-8")
    build_mkdocs(manual, tmp_path / "site", cards=False)
    assets = tmp_path / "site/assets"
    theirs = Path(str(material.__file__)).parent / "templates/assets"
    patterns = [pattern for held in third_party.THEME for pattern in held.where]
    seen = set()
    for path in assets.rglob("*"):
        name = path.relative_to(assets).as_posix()
        if path.is_file() and (theirs / name).exists():
            fits = {pattern for pattern in patterns if fnmatch(name, pattern)}
            assert fits, name
            seen |= fits
    assert seen == set(patterns)
    assert not list(assets.rglob("wordcut*")) and not list(assets.rglob("lunr.th*"))


def test_facts_of_others_name_their_publication() -> None:
    """Every table that tests compare with says where it is from: in its head, or in the README beside it."""
    tables = ROOT / "tests/published"
    readme = (tables / "degree_days/README.md").read_text("utf-8")
    for path in (tables / "degree_days").glob("*.csv"):
        assert f"`{path.name}`" in readme
    for path in (tables / "tables").glob("*.yml"):
        assert re.search(r"^source:|^#.*\d{4}|source:", path.read_text("utf-8"), re.M), path.name


def test_the_wheel_carries_all_licence_texts() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert set(project["license-files"]) >= {"LICENSE", "LICENSE-protocols", "THIRD-PARTY.md"}

"""The same site with cards or without, and whoever builds it where and when."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from site_tree import SiteTree, report


def tree_bytes(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def differing(a: dict[str, bytes], b: dict[str, bytes]) -> list[str]:
    return sorted(n for n in a.keys() | b.keys() if a.get(n) != b.get(n))


def test_cards_add_files_and_change_nothing_else(site: SiteTree, pages_only: Path) -> None:
    """What is not of cards and neither a page nor a list of files is the same without them; no page is lost."""
    without, kept = (
        SiteTree(pages_only, others=("es",)).files,
        (".html", "search_index.json", "sitemap.xml", "/oembed.json"),
    )
    assert without.keys() <= site.files.keys()
    same = {n: b for n, b in without.items() if not n.endswith(kept) and not n.startswith("offline/")}
    assert not (other := [n for n, b in same.items() if site.files[n] != b]), report(other)
    more = [
        n
        for n in site.files.keys() - without.keys()
        if not n.startswith(("cards/", "calendars/sheets/", "embed/cards/"))
    ]
    assert not more, report(more)


def run_build(cwd: Path, manual: Path, out: Path, **env: str) -> dict[str, bytes]:
    """`earleaf build --plain --no-cards` in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "earleaf.cli", "build", "--plain", "--no-cards", "-m", str(manual), "--out", str(out)],
        cwd=cwd,
        env={**os.environ, **env},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return tree_bytes(out)


def test_place_clock_language_and_hash_seed_change_nothing(pages_only: Path, root: Path, tmp_path: Path) -> None:
    """Pages only; test_cards.py builds paper twice."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    other = run_build(
        elsewhere,
        Path(os.path.relpath(root / "demo_scenario/manual.yml", elsewhere)),
        tmp_path / "deep/er/two",
        TZ="Pacific/Kiritimati",
        LC_ALL="C",
        PYTHONHASHSEED="4242",
    )
    assert not (names := differing(tree_bytes(pages_only), other)), report(names)

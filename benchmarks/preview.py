"""From an edit of one protocol to the new page in the browser, beside a build from nothing. 50 crops, three labs.

    python benchmarks/preview.py        each of 25 crops is edited once; medians go to benchmarks/figures/preview.json

A copy of the demo manual with 50 crops stands in a temporary folder. `earleaf serve` runs on it as it does for a user.
A crop file is written, and the page of its first handout is asked for until it shows the edit. The bytes that are
served are compared with a build from nothing by `tests/site/test_preview.py`.
"""

from __future__ import annotations

import re
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from quality import Figure, keep

ROOT = Path(__file__).resolve().parents[1]
EARLEAF = str(Path(sys.executable).with_name("earleaf"))
CROPS, EDITS, GOAL = 50, 25, 1.0


def manual(folder: Path) -> Path:
    """The demo manual with 50 crops: those with a calendar, then the first by name."""
    for name in ("demo_scenario", "docs", "protocols"):
        shutil.copytree(ROOT / name, folder / name)
    (folder / "protocols").rename(folder / "demo_scenario/protocols")
    path = folder / "demo_scenario/manual.yml"
    text = path.read_text("utf-8")
    every = sorted(p.stem for p in (folder / "demo_scenario/protocols/crops").glob("*.yml"))
    dated = [crop for crop in every if re.search(rf"^      {crop}[/:]", text, re.M)]
    crops = sorted([*dated, *(crop for crop in every if crop not in dated)][:CROPS])
    own = f"languages: [en]\nprotocols_folder: protocols\ncrops: [{', '.join(crops)}]\n"
    path.write_text(re.sub(r"^languages: .*\n", own, text, flags=re.M), "utf-8")
    return path


def seconds_to_build(path: Path, out: Path) -> float:
    """A plain build from nothing, without cards."""
    started = time.perf_counter()
    subprocess.run(
        [EARLEAF, "build", "--plain", "--no-cards", "-m", str(path), "--out", str(out)],
        check=True,
        stdout=subprocess.DEVNULL,
    )
    return time.perf_counter() - started


def page(address: str) -> str:
    try:
        with urllib.request.urlopen(address, timeout=30) as answer:
            return str(answer.read().decode("utf-8"))
    except OSError:
        return ""


def until(address: str, text: str) -> float:
    """The moment at which a page shows a text."""
    started = time.perf_counter()
    while text not in page(address):
        if time.perf_counter() - started > 60:
            raise TimeoutError(f"{address} does not show {text!r}")
        time.sleep(0.01)
    return time.perf_counter()


def edits(path: Path) -> list[float]:
    """Seconds from a saved crop file to a page that shows it, one for each crop edited."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = subprocess.Popen(
        [EARLEAF, "serve", "-m", str(path), "--address", f"127.0.0.1:{port}"], stdout=subprocess.DEVNULL
    )
    try:
        base = f"http://127.0.0.1:{port}"
        until(f"{base}/crops/", "</html>")
        crops = re.findall(r"crops: \[(.*)\]", path.read_text("utf-8"))[0].split(", ")
        taken = []
        for crop in crops[:: len(crops) // EDITS][:EDITS]:
            file = path.parent / f"protocols/crops/{crop}.yml"
            text = file.read_text("utf-8")
            first = re.findall(r"^- protocol: (\S+)|^  - protocol: (\S+)", text, re.M)[0]
            address = f"{base}/crops/{crop}/{first[0] or first[1]}/"
            title = re.findall(r"^ *title: (.*)$", text, re.M)[0]
            until(address, "</html>")
            started = time.perf_counter()
            file.write_text(text.replace(f"title: {title}", "title: Quillfeather edition", 1), "utf-8")
            taken.append(until(address, "uillfeather edition") - started)
        return taken
    finally:
        server.terminate()
        server.wait()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        path = manual(Path(name))
        builds = [seconds_to_build(path, Path(name) / "site") for _ in range(3)]
        shown = edits(path)
    middle, clean = statistics.median(shown), statistics.median(builds)
    figures = [
        Figure("edit to new page, median", f"{middle:.2f} s", "< 1 s", reached=middle < GOAL),
        Figure("slowest of the edits", f"{max(shown):.2f} s"),
        Figure("edits", f"{len(shown)} of {CROPS} crops"),
        Figure("a build from nothing, plain shell, no cards", f"{clean:.2f} s"),
        Figure("edit / build from nothing", f"{middle / clean:.2f}"),
    ]
    notes = ["The wait holds the look at the files every tenth of a second, the build, and asking for the page."]
    keep("preview", "From an edit to the page", 55, "python benchmarks/preview.py", figures, notes)
    for figure in figures:
        print(f"{figure.what}: {figure.value}")

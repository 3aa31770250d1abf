"""How long paper and drawings take, as ratios against a peer run beside it on the same machine and the same content.

    python benchmarks/cards.py            200 cards and every plant of the demo manual
    python benchmarks/cards.py --quick    20 cards, one run each

Peers, for this benchmark only, put into a folder of the run: the same cards as HTML and CSS through WeasyPrint, and the
same outlines through matplotlib. Every measurement is a process of its own, so that nothing is warm from the run
before; our cache of finished paper is not used. Never a timed test.
"""

from __future__ import annotations

import argparse
import html
import io
import json
import os
import pickle
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from earleaf.planning.localise import localise
from earleaf.rendering.paper.codes import code
from earleaf.rendering.paper.glyphs import FONTS
from earleaf.rendering.paper.sheets import single
from earleaf.rendering.paper.typeset import Printable, card_job, typeset
from earleaf.views.card import Card, CardWords

ROOT = Path(__file__).resolve().parents[1]
CARDS, RUNS = 200, 3
PEERS = ("weasyprint", "matplotlib")

Loaded = tuple[list[Printable], CardWords]


# What both sides are given


def content(folder: Path, cards: int) -> tuple[Path, Path]:
    """Cards with their drawings, one more than asked for to warm up with; and what to draw, as words and as SVG."""
    from earleaf.drawing.plants import draw
    from earleaf.site.build import prepare
    from earleaf.site.cache import Cache
    from earleaf.site.cards import Press
    from earleaf.site.drawings import spec_of
    from earleaf.views.card import card_words
    from earleaf.views.words import Words

    prepared = prepare(ROOT / "demo_scenario/manual.yml", date.today())
    assert prepared.manual is not None and not prepared.errors
    db, words = prepared.db, Words(units=prepared.db.units)
    press = Press(db, prepared.manual, words, Cache(None))
    labs = (None, *db.labs.values())
    locals_ = [localise(db, crop, p, lab) for lab in labs for crop in db.crops.values() for p in crop.protocols]
    ready = [press.printable(local) for local in locals_[: cards + 1]]
    (folder / "cards.pickle").write_bytes(pickle.dumps((ready, card_words(words))))
    specs = dict.fromkeys(spec_of(db, local, s) for local in locals_ for s in local.specimens)
    plants = [(s.form, s.stage, s.target) for s in specs if s is not None]
    drawn = [(plant, draw(*plant, title="", description="", ident="p", labels={})) for plant in plants]
    (folder / "plants.pickle").write_bytes(pickle.dumps(drawn))
    return folder / "cards.pickle", folder / "plants.pickle"


# A deck of cards


def deck_ours(path: Path) -> Iterator[bytes]:
    """Warm up with one card, then the deck: check of glyphs, check of fit, tagged PDF; the codes are remembered."""
    cards, words = _loaded(path)
    for some in (cards[-1:], cards[:-1]):
        yield typeset(card_job(some, words, single(), "Bench", "Bench"))


def deck_weasyprint(path: Path) -> Iterator[bytes]:
    """The same deck as HTML: same texts, sizes, fonts, drawing and code."""
    yield from _weasyprint(path)


def deck_weasyprint_tagged(path: Path) -> Iterator[bytes]:
    """The same, tagged for PDF/UA-1 as ours always is."""
    yield from _weasyprint(path, pdf_variant="pdf/ua-1")


def _weasyprint(path: Path, **options: object) -> Iterator[bytes]:
    from weasyprint import HTML  # type: ignore[import-not-found]

    cards, words = _loaded(path)
    for some in (cards[-1:], cards[:-1]):
        yield HTML(string=twin(some, words), base_url=str(FONTS)).write_pdf(**options)


def _loaded(path: Path) -> Loaded:
    loaded: Loaded = pickle.loads(path.read_bytes())
    for printable in loaded[0]:
        code(printable.card.short_url)  # remembered from the single cards, as in a build; the same for the peer
    return loaded


STYLE = f"""
@font-face {{ font-family: A; font-weight: 400; src: url({FONTS.as_uri()}/AtkinsonHyperlegibleNext_400Regular.ttf) }}
@font-face {{ font-family: A; font-weight: 700; src: url({FONTS.as_uri()}/AtkinsonHyperlegibleNext_700Bold.ttf) }}
@page {{ size: 4in 5.25in; margin: 3.175mm 9.55mm }}
body {{ margin: 0; font: 11pt/1.02 A; color: #16211C }}
section {{ height: 127mm; position: relative; break-after: page }}
h1, h2, p, ul {{ margin: 0; padding: 0; font-size: inherit }}
h1 {{ background: #17324D; color: #fff; font-size: 16.5pt; padding: 1.7mm 2.2mm }}
h1 small {{ float: right; font-size: 11pt; font-weight: 400 }}
table {{ border-collapse: collapse; width: 100%; table-layout: fixed }} td {{ padding: 0; vertical-align: top }}
.plant {{ width: 35mm }} .plant svg {{ width: 33mm; height: 36mm; display: block }}
.take {{ vertical-align: middle }} .take h2 {{ font-weight: 400 }} .part {{ font-size: 17pt; font-weight: 700 }}
.count {{ font-size: 18.5pt; font-weight: 700 }} .where {{ font-size: 13pt; font-weight: 700 }}
.bag {{ font-size: 10pt }} .also {{ font-size: 12pt; font-weight: 700 }}
.pause {{ width: 18.4mm; font-size: 9pt; padding-bottom: 1mm }}
li {{ list-style: none; padding-left: 4.6mm; text-indent: -4.6mm; margin-bottom: .4mm }}
li::before {{ content: ""; display: inline-block; width: 2.8mm; height: 2.8mm; border: .8pt solid;
  margin-right: 1.2mm }}
.foot {{ position: absolute; bottom: 0; width: 100% }} .code {{ width: 22mm }} .code svg {{ display: block }}
.field {{ height: 12mm; border-left: .4pt solid; border-bottom: .8pt solid; font-size: 9pt; padding-left: 1mm }}
.foot td + td {{ vertical-align: middle }} .foot .field {{ vertical-align: top }}
.ruined {{ font-size: 10pt }} .ruined b {{ color: #7A2405 }} .lab {{ font-size: 9pt }}
"""


def twin(cards: list[Printable], words: CardWords) -> str:
    """The cards as one HTML document."""
    body = "".join(_section(p.card, p.picture.svg if p.picture else "", words) for p in cards)
    head = f"<head><title>Bench</title><style>{STYLE}</style></head>"
    return f"<!DOCTYPE html><html lang=en>{head}<body>{body}</body></html>"


def _section(card: Card, plant: str, words: CardWords) -> str:
    c: dict[str, Any] = asdict(card)
    t, made, e = c["take"], code(card.short_url), html.escape
    square = made.svg.replace("<svg", f'<svg style="width:{made.width_mm}mm;height:{made.width_mm}mm"', 1)
    pauses = "".join(
        f"<tr><td class=pause><h2>{e(p['title'])}</h2></td><td><ul>"
        + "".join(f"<li>{e(step)}</li>" for step in p["steps"])
        + "</ul></td></tr>"
        for p in c["pauses"]
    )
    fields = "".join(
        f"<td class=field>{e(name)}</td>" for name in (words.field, words.date, words.stage_seen, words.initials)
    )
    return (
        f"<section><h1><small>{e(c['stage_code'])}</small>{e(c['title'])}</h1>"
        f"<table><tr><td class=plant>{plant}</td><td class=take><h2>{e(t['label'])} <span class=part>{e(t['part'])}"
        f"</span></h2><p>{e(t['stalk'])}</p><p class=count>{e(t['count'])}</p><p class=where>{e(t['where'])}</p>"
        f"<p class=bag>{e(t['bag'] and '(' + t['bag'] + ')')}</p></td></tr></table>"
        + "".join(f"<p class=also>{e(line)}</p>" for line in c["also"])
        + f"<table>{pauses}</table><div class=foot><table><tr>{fields}</tr></table>"
        f"<table><tr><td class=code>{square}</td><td><p class=ruined><b>{e(words.ruined)}</b> {e(c['ruined'])}</p>"
        f"<p class=lab><b>{e(c['lab'])}</b><br>"
        f"{e(c['checked'])}, {e(c['version'])}<br>{e(c['short_text'])}</p></td></tr></table></div></section>"
    )


# Drawings


def plants_ours(path: Path) -> Iterator[bytes]:
    """Every plant from words to SVG text, nothing remembered from before."""
    from earleaf.drawing.plants import draw

    plants = [plant for plant, _ in pickle.loads(path.read_bytes())]
    for some in (plants[:1], plants[1:]):
        yield "".join(draw(*p, title="", description="", ident="p", labels={}) for p in some).encode()


def plants_matplotlib(path: Path) -> Iterator[bytes]:
    """The same outlines as patches, saved as SVG. Reading the outlines is no work of the peer and is not counted."""
    import matplotlib  # type: ignore[import-not-found]

    matplotlib.use("svg")
    from matplotlib.figure import Figure  # type: ignore[import-not-found]
    from matplotlib.patches import PathPatch  # type: ignore[import-not-found]

    read = [outlines(svg) for _, svg in pickle.loads(path.read_bytes())]

    def one(view: tuple[float, ...], patches: list[dict[str, Any]]) -> bytes:
        figure = Figure(figsize=(view[2] / 72, view[3] / 72))
        axes = figure.add_axes((0, 0, 1, 1), xlim=(view[0], view[0] + view[2]), ylim=(view[1] + view[3], view[1]))
        axes.set_axis_off()
        for patch in patches:
            axes.add_patch(PathPatch(**patch))
        out = io.BytesIO()
        figure.savefig(out, format="svg")
        return out.getvalue()

    for some in (read[:1], read[1:]):
        yield b"".join(one(*plant) for plant in some)


def outlines(svg: str) -> tuple[tuple[float, ...], list[dict[str, Any]]]:
    """View box and paths of a drawing, with the colours that they inherit."""
    root = ElementTree.fromstring(svg)
    view = tuple(float(n) for n in root.get("viewBox", "").split())
    return view, list(_paths(root, {"fill": "#000", "stroke": "none", "stroke-width": "1"}))


def _paths(node: ElementTree.Element, style: dict[str, str]) -> Iterator[dict[str, Any]]:
    from matplotlib.path import Path as Outline  # type: ignore[import-not-found]

    style = {k: node.get(k, v) for k, v in style.items()}
    if node.tag.endswith("}path"):
        points, codes = [], []
        for verb, numbers in re.findall(r"([MLCZ])([^MLCZ]*)", node.get("d", "")):
            values = [float(n) for n in re.findall(r"-?\d*\.?\d+", numbers)]
            kind = {"M": Outline.MOVETO, "L": Outline.LINETO, "C": Outline.CURVE4, "Z": Outline.CLOSEPOLY}[verb]
            pairs = list(zip(values[::2], values[1::2], strict=True)) or [(0.0, 0.0)]
            points += pairs
            codes += [kind, *([Outline.LINETO if verb == "M" else kind] * (len(pairs) - 1))]
        if points:
            yield {
                "path": Outline(points, codes),
                "facecolor": style["fill"],
                "edgecolor": style["stroke"],
                "linewidth": float(style["stroke-width"]),
            }
    if not node.tag.endswith("}clipPath"):
        for kid in node:
            yield from _paths(kid, style)


# Measuring

WORK: dict[str, Callable[[Path], Iterator[bytes]]] = {
    f.__name__: f for f in (deck_ours, deck_weasyprint, deck_weasyprint_tagged, plants_ours, plants_matplotlib)
}


def child(name: str, path: Path) -> None:
    """One measurement: the first result warms up, the second counts."""
    results = WORK[name](path)
    next(results)
    start = time.perf_counter()
    made = next(results)
    print(json.dumps({"work": time.perf_counter() - start, "bytes": len(made)}))
    if keep := os.environ.get("BENCH_KEEP"):
        Path(keep, name).write_bytes(made)


def measured(name: str, path: Path, peers: Path | None, runs: int) -> dict[str, float]:
    """Medians of several processes: seconds of the work, of the whole process, and bytes."""
    env = {**os.environ, **({"PYTHONPATH": os.pathsep.join(filter(None, _paths_for(peers)))} if peers else {})}
    out = []
    for _ in range(runs):
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, __file__, "--child", name, str(path)], env=env, check=True, capture_output=True, text=True
        )
        whole = time.perf_counter() - start
        out.append({"whole": whole, **json.loads(done.stdout.splitlines()[-1])})
    return {key: statistics.median(one[key] for one in out) for key in out[0]}


def _paths_for(peers: Path) -> list[str]:
    return [os.environ.get("PYTHONPATH", ""), str(peers)]


def install(peers: Path) -> dict[str, str]:
    """What is missing of each peer, '' for nothing. They go into a folder that ends with the run."""
    command = [sys.executable, "-m", "pip", "install", "-q", "--disable-pip-version-check", "--target", str(peers)]
    subprocess.run([*command, *PEERS], check=True)
    missing = {}
    for name in PEERS:
        env = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, _paths_for(peers)))}
        tried = subprocess.run([sys.executable, "-c", f"import {name}"], env=env, capture_output=True, text=True)
        missing[name] = tried.stderr.strip().splitlines()[-1] if tried.returncode else ""
    return missing


def decks(path: Path, peers: Path, cards: int, runs: int, missing: str) -> None:
    ours = measured("deck_ours", path, None, runs)
    print(f"deck of {cards} cards, ours: {_deck(ours, cards)}")
    if missing:
        print(f"  WeasyPrint left out: {missing}")
        print("  It needs the system library Pango: apt-get install libpango-1.0-0 libpangoft2-1.0-0")
        return
    for name, said in (("deck_weasyprint", "WeasyPrint"), ("deck_weasyprint_tagged", "WeasyPrint, PDF/UA-1")):
        peer = measured(name, path, peers, runs)
        print(f"deck of {cards} cards, {said}: {_deck(peer, cards)}")
        print(f"  {said} / ours, start-up excluded  {peer['work'] / ours['work']:.1f}   (goal >= 10)")
        print(f"  {said} / ours, whole process      {peer['whole'] / ours['whole']:.1f}")


def _deck(one: dict[str, float], cards: int) -> str:
    each, whole, size = one["work"] / cards * 1000, one["whole"], one["bytes"] / 1e6
    return f"{one['work']:.2f} s ({each:.1f} ms a card), whole process {whole:.2f} s, {size:.2f} MB"


def plants(path: Path, peers: Path, runs: int, missing: str) -> None:
    many = len(pickle.loads(path.read_bytes())) - 1
    ours = measured("plants_ours", path, None, runs)
    print(f"{many} plants, ours: {_plants(ours, many)}")
    if missing:
        print(f"  matplotlib left out: {missing}")
        return
    peer = measured("plants_matplotlib", path, peers, runs)
    print(f"{many} plants, matplotlib: {_plants(peer, many)}")
    print(f"  matplotlib / ours, seconds  {peer['work'] / ours['work']:.1f}   (goal >= 20)")
    print(f"  ours / matplotlib, bytes    {ours['bytes'] / peer['bytes']:.2f}   (goal <= 0.5)")


def _plants(one: dict[str, float], many: int) -> str:
    return f"{one['work'] / many * 1000:.2f} ms and {one['bytes'] / many / 1000:.1f} kB a plant"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--child", nargs=2, help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.child:
        child(args.child[0], Path(args.child[1]))
        return
    cards, runs = (20, 1) if args.quick else (CARDS, RUNS)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        missing = install(folder / "peers")
        deck, drawn = content(folder, cards)
        print(f"load of the machine before the run: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
        decks(deck, folder / "peers", cards, runs, missing["weasyprint"])
        plants(drawn, folder / "peers", runs, missing["matplotlib"])


if __name__ == "__main__":
    main()

"""What may be typed: every verb with its options. What a verb does stands in the file of its name."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, RawDescriptionHelpFormatter
from datetime import date
from pathlib import Path

from .. import __version__
from ..rendering.paper.sheets import CARDS, PAPERS

EXAMPLES = """examples:
  earleaf check                          every rule over the manual in this folder
  earleaf build --plain --out site       the plain site
  earleaf build --offline --lab larkmoor --out copy.zip
                                         one zip for places without signal: unpack it, open index.html
  earleaf build --plain --part es/larkmoor --out part
                                         one part of a large site, for one machine of many: see docs/guides
  earleaf parts                          the names of all parts of a large site
  earleaf join part-a part-b --out site  the whole site from all its parts
  earleaf cards --crop corn --lab larkmoor --paper letter --out corn.pdf
  earleaf season --plantings plantings.csv --seen seen.csv --out private
                                         dates, visits and calendars of your own plantings; never published
  earleaf explain corn/tassel-to-silk    where each value comes from
  earleaf explain corn/tassel-to-silk --lab larkmoor
  earleaf catalogue es                   what is still to be translated, written into the catalogue files
  earleaf new manual my-manual           start a manual of your own
  earleaf new crop quinoa                a commented crop file
"""


def make_parser() -> ArgumentParser:
    """The parser of the command; what it reads names the verb in `verb`."""
    parser = ArgumentParser(
        prog="earleaf",
        description="Field manuals for plant-tissue sampling.",
        epilog=EXAMPLES,
        formatter_class=RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"earleaf {__version__}")
    verbs = parser.add_subparsers(
        dest="verb", required=True, metavar="check | build | parts | join | serve | cards | season | explain | ..."
    )
    _check(verbs.add_parser("check", help="check the database and the manual; tell every fault at once"))
    _build(verbs.add_parser("build", help="build the site"))
    _parts(verbs.add_parser("parts", help="list the parts that make the whole site, one a line"))
    _join(verbs.add_parser("join", help="put the parts of the site together"))
    _serve(verbs.add_parser("serve", help="preview in the browser, without cards; reloads when a file changes"))
    _cards(verbs.add_parser("cards", help="print pocket cards: single, or on sheets, in any size"))
    _season(verbs.add_parser("season", help="dates, visits and calendars of your own plantings"))
    _explain(verbs.add_parser("explain", help="print where every value of a protocol comes from"))
    _catalogue(
        verbs.add_parser("catalogue", help="write the sentences of a language into its files; keep what is there")
    )
    _new(verbs.add_parser("new", help="write a commented skeleton: manual, crop, lab or source"))
    return parser


def _manual(verb: ArgumentParser) -> None:
    verb.add_argument("-m", "--manual", type=Path, default=None, help="manual.yml (default: here, or demo_scenario/)")


def _check(check: ArgumentParser) -> None:
    check.add_argument(
        "--language",
        nargs="?",
        const="worst",
        choices=["worst", "all"],
        help="also how hard each page is to read; `--language all` lists every page",
    )
    _manual(check)


def _build(build: ArgumentParser) -> None:
    _manual(build)
    build.add_argument("--plain", action="store_true", help="without MkDocs, with the small theme of our own")
    build.add_argument("--no-cards", action="store_true", help="pages only: quicker, nothing to print")
    build.add_argument("--offline", action="store_true", help="one zip to carry, in one language; opens without signal")
    build.add_argument("--language", default=None, help="with --offline: a language of the manual (default: its first)")
    build.add_argument("--lab", default=None, help="with --offline: only this lab, with pictures of its cards")
    build.add_argument("--crop", action="append", default=[], metavar="CROP", help="with --offline: may be given often")
    build.add_argument("--out", type=Path, default=None, help="folder to fill (default: site), or zip (copy.zip)")
    build.add_argument("--part", metavar="LANGUAGE[/LAB]", help="with --plain: one part; the lab may be `any`")


def _parts(parts: ArgumentParser) -> None:
    parts.add_argument("--json", action="store_true", help="as one line of JSON, for the jobs of a runner")
    _manual(parts)


def _join(join: ArgumentParser) -> None:
    join.add_argument("folders", nargs="+", type=Path, metavar="PART", help="folders that build --part filled")
    join.add_argument("--out", type=Path, default=None, help="folder to fill (default: site)")
    _manual(join)


def _serve(serve: ArgumentParser) -> None:
    _manual(serve)
    serve.add_argument(
        "--address", type=_address, default=("127.0.0.1", 8000), help="where it is shown (default: 127.0.0.1:8000)"
    )


def _cards(cards: ArgumentParser) -> None:
    cards.add_argument("--crop", action="append", default=[], metavar="CROP[/PROTOCOL]", help="may be given often")
    cards.add_argument("--lab", default=None, help="matched to this lab (default: any lab)")
    cards.add_argument("--language", default=None, help="a language of the manual, such as es (default: its first)")
    cards.add_argument("--card", default=None, help=f"card size: {', '.join(CARDS)} (default: what fits the paper)")
    cards.add_argument("--paper", default=None, help=f"sheets with cut marks: {', '.join(PAPERS)}")
    cards.add_argument("--bleed", action="store_true", help="single cards for a print shop: 1/8 in bleed, cut marks")
    cards.add_argument("--out", type=Path, default=Path("cards.pdf"), help="PDF to write (default: cards.pdf)")
    _manual(cards)


def _season(season: ArgumentParser) -> None:
    season.add_argument("--plantings", type=Path, required=True, help="your list: id, crop, planted, station, lab ...")
    season.add_argument("--seen", type=Path, default=None, help="what your scouts saw: id, stage, day")
    season.add_argument("--out", type=Path, required=True, help="folder to fill; never inside the public site")
    season.add_argument("--language", default=None, help="a language of the manual, such as es (default: its first)")
    season.add_argument("--today", type=_day, default=None, metavar="YYYY-MM-DD", help="default: today")
    _manual(season)


def _explain(explain: ArgumentParser) -> None:
    explain.add_argument("protocol", metavar="crop/protocol", help="such as corn/tassel-to-silk")
    explain.add_argument("--lab", default=None, help="as this lab wants it (default: any lab)")
    _manual(explain)


def _catalogue(catalogue: ArgumentParser) -> None:
    catalogue.add_argument("language", help="one of the manual's languages, such as es")
    _manual(catalogue)


def _new(new: ArgumentParser) -> None:
    new.add_argument("kind", choices=["manual", "crop", "lab", "source"])
    new.add_argument("name", help="the id, such as dry-bean; for a manual the folder")
    _manual(new)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(f"{text!r} is no day; write it as 2027-06-01, year first") from None


def _address(text: str) -> tuple[str, int]:
    host, _, port = text.rpartition(":")
    if not host or not port.isdigit() or int(port) > 65_535:
        raise ArgumentTypeError(f"{text!r} is no address; write it as 127.0.0.1:8000")
    return host, int(port)

"""The `earleaf` command. The only room that prints, reads the clock, or ends the program."""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

from . import __version__
from .database.load import Database
from .model.finding import Finding
from .rendering.paper.sheets import CARDS, PAPERS, imposed, single
from .site.build import Prepared, build_plain, prepare
from .site.cache import Cache, usual_folder
from .site.cards import CannotBuild, Press, pick_cards, print_cards
from .site.editions import NotInManual, edition_in, left_out
from .site.join import BadPart, join
from .site.offline import TooBig, Wanted, make_copy
from .site.parts import make_part, plan
from .site.private import Asked, BadLists, make_season
from .site.publish import NotOurs, put, recover, why

FINE, FINDINGS, USAGE, FAILED = 0, 1, 2, 3

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


def main(argv: list[str] | None = None) -> int:
    """Run one command; the number is the exit code."""
    parser = _parser()
    args = parser.parse_args(argv)
    try:
        return int(args.run(args))
    except BrokenPipeError:
        return FINE
    except KeyboardInterrupt:
        return FAILED


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="earleaf",
        description="Field manuals for plant-tissue sampling.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"earleaf {__version__}")
    verbs = parser.add_subparsers(
        dest="verb", required=True, metavar="check | build | parts | join | serve | cards | season | explain | ..."
    )

    def manual_option(verb: argparse.ArgumentParser) -> None:
        verb.add_argument(
            "-m", "--manual", type=Path, default=None, help="manual.yml (default: here, or demo_scenario/)"
        )

    check = verbs.add_parser("check", help="check the database and the manual; tell every fault at once")
    check.add_argument(
        "--language",
        nargs="?",
        const="worst",
        choices=["worst", "all"],
        help="also how hard each page is to read; `--language all` lists every page",
    )
    manual_option(check)
    check.set_defaults(run=_check)
    build = verbs.add_parser("build", help="build the site")
    manual_option(build)
    build.add_argument("--plain", action="store_true", help="without MkDocs, with the small theme of our own")
    build.add_argument("--no-cards", action="store_true", help="pages only: quicker, nothing to print")
    build.add_argument("--offline", action="store_true", help="one zip to carry, in one language; opens without signal")
    build.add_argument("--language", default=None, help="with --offline: a language of the manual (default: its first)")
    build.add_argument("--lab", default=None, help="with --offline: only this lab, with pictures of its cards")
    build.add_argument("--crop", action="append", default=[], metavar="CROP", help="with --offline: may be given often")
    build.add_argument("--out", type=Path, default=None, help="folder to fill (default: site), or zip (copy.zip)")
    build.add_argument("--part", metavar="LANGUAGE[/LAB]", help="with --plain: one part; the lab may be `any`")
    build.set_defaults(run=_build, folders=[])
    parts = verbs.add_parser("parts", help="list the parts that make the whole site, one a line")
    parts.add_argument("--json", action="store_true", help="as one line of JSON, for the jobs of a runner")
    manual_option(parts)
    parts.set_defaults(run=_parts)
    joined = verbs.add_parser("join", help="put the parts of the site together")
    joined.add_argument("folders", nargs="+", type=Path, metavar="PART", help="folders that build --part filled")
    joined.add_argument("--out", type=Path, default=None, help="folder to fill (default: site)")
    manual_option(joined)
    joined.set_defaults(run=_build, plain=True, no_cards=False, part=None)
    joined.set_defaults(offline=False, language=None, lab=None, crop=[])
    serve = verbs.add_parser("serve", help="preview in the browser, without cards; reloads when a file changes")
    manual_option(serve)
    serve.add_argument(
        "--address", type=_address, default=("127.0.0.1", 8000), help="where it is shown (default: 127.0.0.1:8000)"
    )
    serve.set_defaults(run=_serve)
    cards = verbs.add_parser("cards", help="print pocket cards: single, or on sheets, in any size")
    cards.add_argument("--crop", action="append", default=[], metavar="CROP[/PROTOCOL]", help="may be given often")
    cards.add_argument("--lab", default=None, help="matched to this lab (default: any lab)")
    cards.add_argument("--language", default=None, help="a language of the manual, such as es (default: its first)")
    cards.add_argument("--card", default=None, help=f"card size: {', '.join(CARDS)} (default: what fits the paper)")
    cards.add_argument("--paper", default=None, help=f"sheets with cut marks: {', '.join(PAPERS)}")
    cards.add_argument("--bleed", action="store_true", help="single cards for a print shop: 1/8 in bleed, cut marks")
    cards.add_argument("--out", type=Path, default=Path("cards.pdf"), help="PDF to write (default: cards.pdf)")
    manual_option(cards)
    cards.set_defaults(run=_cards)
    _season_parser(verbs.add_parser("season", help="dates, visits and calendars of your own plantings"), manual_option)
    explain = verbs.add_parser("explain", help="print where every value of a protocol comes from")
    explain.add_argument("protocol", metavar="crop/protocol", help="such as corn/tassel-to-silk")
    explain.add_argument("--lab", default=None, help="as this lab wants it (default: any lab)")
    manual_option(explain)
    explain.set_defaults(run=_explain)
    catalogue = verbs.add_parser(
        "catalogue", help="write the sentences of a language into its files; keep what is there"
    )
    catalogue.add_argument("language", help="one of the manual's languages, such as es")
    manual_option(catalogue)
    catalogue.set_defaults(run=_catalogue)
    new = verbs.add_parser("new", help="write a commented skeleton: manual, crop, lab or source")
    new.add_argument("kind", choices=["manual", "crop", "lab", "source"])
    new.add_argument("name", help="the id, such as dry-bean; for a manual the folder")
    manual_option(new)
    new.set_defaults(run=_new)
    return parser


def _season_parser(season: argparse.ArgumentParser, manual_option: Callable[[argparse.ArgumentParser], None]) -> None:
    season.add_argument("--plantings", type=Path, required=True, help="your list: id, crop, planted, station, lab ...")
    season.add_argument("--seen", type=Path, default=None, help="what your scouts saw: id, stage, day")
    season.add_argument("--out", type=Path, required=True, help="folder to fill; never inside the public site")
    season.add_argument("--language", default=None, help="a language of the manual, such as es (default: its first)")
    season.add_argument("--today", type=_day, default=None, metavar="YYYY-MM-DD", help="default: today")
    manual_option(season)
    season.set_defaults(run=_season)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no day; write it as 2027-06-01, year first") from None


def _address(text: str) -> tuple[str, int]:
    host, _, port = text.rpartition(":")
    if not host or not port.isdigit() or int(port) > 65_535:
        raise argparse.ArgumentTypeError(f"{text!r} is no address; write it as 127.0.0.1:8000")
    return host, int(port)


def _find_manual(given: Path | None) -> Path | None:
    if given is not None:
        path = given / "manual.yml" if given.is_dir() else given
        if path.exists():
            return path
        print(f"earleaf: there is no {path}", file=sys.stderr)
        return None
    for path in (Path("manual.yml"), Path("demo_scenario/manual.yml")):
        if path.exists():
            return path
    print(
        "earleaf: no manual.yml here. Give one with --manual, or start one: earleaf new manual my-manual",
        file=sys.stderr,
    )
    return None


def _prepared(args: argparse.Namespace) -> Prepared | None:
    path = _find_manual(args.manual)
    return None if path is None else prepare(path, date.today())


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'s' * (count != 1)}"


def _report(findings: list[Finding], db: Database) -> None:
    for finding in findings:
        print(finding)
    errors = sum(f.level == "error" for f in findings)
    protocols = sum(len(c.protocols) for c in db.crops.values())
    rows = len(db.sampling) + len(db.handling_rows)
    print(
        f"{_many(errors, 'error')}, {_many(len(findings) - errors, 'warning')} in {_many(len(db.crops), 'crop')}, "
        f"{_many(protocols, 'protocol')}, {_many(len(db.labs), 'lab')}, {_many(rows, 'published row')}, "
        f"{_many(len(db.sources), 'source')}"
    )


def _check(args: argparse.Namespace) -> int:
    prepared = _prepared(args)
    if prepared is None:
        return USAGE
    _report(prepared.findings, prepared.db)
    if args.language and not prepared.errors and prepared.manual is not None:
        from .site.plain_language import report

        lines, plain = report(prepared, _find_manual(args.manual) or Path("manual.yml"), every=args.language == "all")
        print("\n".join(lines))
        return FINE if plain else FINDINGS
    return FINDINGS if prepared.errors else FINE


def _build(args: argparse.Namespace) -> int:
    started = time.perf_counter()
    usual = "copy.zip" if args.offline else f"part-{args.part.replace('/', '-')}" if args.part else "site"
    args.out = args.out or Path(usual)
    if args.part and (args.offline or not args.plain):
        print("earleaf: --part goes with --plain, and not with --offline", file=sys.stderr)
        return USAGE
    if not args.offline and (args.language or args.lab or args.crop):
        print("earleaf: --language, --lab and --crop go with --offline; the site holds all of them", file=sys.stderr)
        return USAGE
    if not args.offline:
        recover(args.out)
    prepared = _prepared(args)
    if prepared is None:
        return USAGE
    if prepared.errors or prepared.manual is None:
        _report(prepared.findings, prepared.db)
        print(f"not built; {args.out} is as it was", file=sys.stderr)
        return FINDINGS
    try:
        if args.offline:
            wanted = Wanted(args.language, tuple(args.crop), args.lab)
            edition, tree, size = make_copy(
                prepared, wanted, args.out, None if args.no_cards else Cache(usual_folder())
            )
            prepared.findings += left_out(edition, tree)
            pages = len(tree.pages)
        elif args.part:
            pages = make_part(prepared, args.part, args.out, None if args.no_cards else Cache(usual_folder()))
        elif args.plain:
            cache = None if args.no_cards else Cache(usual_folder())
            make = partial(join, prepared, args.folders) if args.folders else partial(build_plain, prepared)
            trees = make(args.out, cache)
            prepared.findings += [finding for one in trees for finding in left_out(*one)]
            pages = sum(len(tree.pages) for _, tree in trees)
        else:
            from .site.mkdocs_shell import build_mkdocs

            manual = _find_manual(args.manual) or Path("manual.yml")
            pages = build_mkdocs(manual, args.out, cards=not args.no_cards)
    except CannotBuild as error:
        _report(list(error.findings), prepared.db)
        print(f"not built; {args.out} is as it was", file=sys.stderr)
        return FINDINGS
    except NotInManual as error:
        print(f"earleaf: {error}", file=sys.stderr)
        return USAGE
    except (OSError, NotOurs, TooBig, BadPart) as error:
        print(f"earleaf: not built: {why(error, args.out)}", file=sys.stderr)
        return FAILED
    seconds = time.perf_counter() - started
    for finding in prepared.findings:
        print(finding)
    if args.offline:
        print(f"{args.out}: {size / 1e6:.1f} MB, {edition.name}. Unpack it, then open index.html in its folder")
        return FINE
    then = f"Join {args.out} with the other parts" if args.part else f"Open {args.out / 'index.html'}"
    print(f"{pages} pages in {seconds:.1f} s. {then}")
    return FINE


def _parts(args: argparse.Namespace) -> int:
    prepared = _prepared(args)
    if prepared is None:
        return USAGE
    if prepared.errors or prepared.manual is None:
        _report(prepared.findings, prepared.db)
        return FINDINGS
    try:
        names = plan(prepared)
    except NotInManual as error:
        print(f"earleaf: {error}", file=sys.stderr)
        return USAGE
    print(json.dumps(names) if args.json else "\n".join(names))
    return FINE


def _serve(args: argparse.Namespace) -> int:
    from .site.preview import Preview, serve

    path = _find_manual(args.manual)
    if path is None:
        return USAGE

    def tell(findings: list[Finding], line: str) -> None:
        print(*findings, line, sep="\n", flush=True)

    with tempfile.TemporaryDirectory(prefix="earleaf-") as folder:
        preview = Preview(path, Path(folder), tell, date.today)
        preview.build()
        host, port = args.address
        print(f"Open http://{host}:{port}/. Ctrl+C ends the preview", flush=True)
        try:
            serve(preview, host, port)
        except KeyboardInterrupt:
            return FINE
        except OSError as error:
            print(f"earleaf: cannot serve at {host}:{port}: {error.strerror}; try another --address", file=sys.stderr)
            return FAILED
    return FINE


def _cards(args: argparse.Namespace) -> int:
    prepared = _prepared(args)
    if prepared is None:
        return USAGE
    if prepared.errors or prepared.manual is None:
        _report(prepared.findings, prepared.db)
        return FINDINGS
    try:
        if args.paper and args.bleed:
            raise ValueError("--bleed is for single cards; leave out --paper, or leave out --bleed")
        sheet = imposed(args.paper, args.card) if args.paper else single(args.card or "4x5.25", bleed=args.bleed)
        picks, lab = pick_cards(prepared.db, args.crop, args.lab)
        edition = edition_in(prepared.manual, prepared.db, args.language)
    except (ValueError, NotInManual) as error:
        print(f"earleaf: {error}", file=sys.stderr)
        return USAGE
    press = Press(edition.db, edition.manual, edition.words, Cache(usual_folder()))
    try:
        put(print_cards(press, picks, lab, sheet), args.out)
    except CannotBuild as error:
        _report(list(error.findings), prepared.db)
        print(f"not printed; {args.out} is as it was", file=sys.stderr)
        return FINDINGS
    except OSError as error:
        print(f"earleaf: not printed: {why(error, args.out)}", file=sys.stderr)
        return FAILED
    pages = -(-len(picks) // sheet.per_page)
    print(f"{_many(len(picks), 'card')} on {_many(pages, 'page')}, {sheet.per_page} to a page: {args.out}")
    return FINE


def _season(args: argparse.Namespace) -> int:
    path = _find_manual(args.manual)
    if path is None:
        return USAGE
    prepared = prepare(path, date.today())
    if prepared.errors or prepared.manual is None:
        _report(prepared.findings, prepared.db)
        return FINDINGS
    for name in filter(None, (args.plantings, args.seen)):
        if not name.is_file():
            print(f"earleaf: there is no file {name}", file=sys.stderr)
            return USAGE
    asked = Asked(path, args.plantings, args.seen, args.out, args.today or date.today(), args.language)
    try:
        count, findings = make_season(prepared.db, prepared.manual, asked)
    except BadLists as error:
        for finding in error.findings:
            print(finding)
        errors = sum(f.level == "error" for f in error.findings)
        print(f"{_many(errors, 'error')}. Not written; {args.out} is as it was", file=sys.stderr)
        return FINDINGS
    except NotInManual as error:
        print(f"earleaf: {error}", file=sys.stderr)
        return USAGE
    except (OSError, NotOurs) as error:
        print(f"earleaf: not written: {why(error, args.out)}", file=sys.stderr)
        return FAILED
    for finding in findings:
        print(finding)
    print(f"{_many(count, 'planting')}. Open {args.out / 'index.html'}. Keep this folder off the public site.")
    return FINE


def _explain(args: argparse.Namespace) -> int:
    from .views.explain import explain

    prepared = _prepared(args)
    if prepared is None:
        return USAGE
    lines, fine = explain(prepared.db, args.protocol, args.lab)
    print("\n".join(lines), file=sys.stdout if fine else sys.stderr)
    return FINE if fine else USAGE


def _catalogue(args: argparse.Namespace) -> int:
    from .site.catalogue import update
    from .site.mkdocs_shell import texts_beside

    path, prepared = _find_manual(args.manual), _prepared(args)
    if path is None or prepared is None:
        return USAGE
    if prepared.errors or prepared.manual is None:
        _report(prepared.findings, prepared.db)
        return FINDINGS
    tag = next((t for t in prepared.manual.languages[1:] if args.language in (t, t.split("-")[0])), None)
    if tag is None:
        said = f"{args.language} is no second language of this manual; it has {', '.join(prepared.manual.languages)}"
        print(f"earleaf: {said}. Add it to `languages:` in {path}", file=sys.stderr)
        return USAGE
    lacking = 0
    try:
        covered = update(prepared, tag, path, texts_beside(path))
    except OSError as error:
        print(f"earleaf: not written: {why(error, path.parent)}", file=sys.stderr)
        return FAILED
    for one in covered:
        share = f"{one.translated} of {one.sentences}" + (f", {one.doubtful} doubtful" if one.doubtful else "")
        print(f"{one.file}: {share}")
        lacking += one.sentences - one.translated
    print(f"{_many(lacking, 'sentence')} to translate")
    return FINE


def _new(args: argparse.Namespace) -> int:
    from .site.skeleton import write_new

    path = _find_manual(args.manual) if args.kind != "manual" else None
    if args.kind != "manual" and path is None:
        return USAGE
    try:
        message, fine = write_new(args.kind, args.name, path, date.today())
    except OSError as error:
        print(f"earleaf: not written: {why(error, path.parent if path else Path(args.name))}", file=sys.stderr)
        return FAILED
    print(message, file=sys.stdout if fine else sys.stderr)
    return FINE if fine else USAGE


if __name__ == "__main__":
    sys.exit(main())

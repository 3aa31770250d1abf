"""`earleaf check`: every rule over the database and the manual; if wanted, also how hard its pages are to read."""

from __future__ import annotations

from argparse import Namespace

from ..site.build import prepare
from .common import FINDINGS, FINE, Today, find_manual, report


def run(args: Namespace, today: Today) -> int:
    """Tell every fault at once."""
    path = find_manual(args.manual)
    prepared = prepare(path, today())
    report(prepared.findings, prepared.db)
    if args.language and not prepared.errors and prepared.manual is not None:
        from ..site.plain_language import report as how_it_reads

        lines, plain = how_it_reads(prepared, path, every=args.language == "all")
        print("\n".join(lines))
        return FINE if plain else FINDINGS
    return FINDINGS if prepared.errors else FINE

"""`earleaf cards`: one PDF of pocket cards."""

from __future__ import annotations

from argparse import Namespace

from ..rendering.paper.sheets import imposed, single
from ..site.cache import Cache, usual_folder
from ..site.cards import Press, pick_cards, print_cards
from ..site.editions import edition_in
from ..site.publish import put
from .common import FINE, Today, find_manual, many, sound, usage, writing


def run(args: Namespace, today: Today) -> int:
    """Print the cards that were asked for."""
    prepared, manual = sound(find_manual(args.manual), today)
    try:
        if args.paper and args.bleed:
            raise ValueError("--bleed is for single cards; leave out --paper, or leave out --bleed")
        sheet = imposed(args.paper, args.card) if args.paper else single(args.card or "4x5.25", bleed=args.bleed)
        edition = edition_in(manual, prepared.db, args.language)
        picks, lab = pick_cards(prepared.db, edition.words, args.crop, args.lab)
    except ValueError as error:
        raise usage(error) from error
    press = Press(edition.db, edition.manual, edition.words, Cache(usual_folder()))
    with writing("printed", args.out, prepared.db):
        put(print_cards(press, picks, lab, sheet), args.out)
    pages = -(-len(picks) // sheet.per_page)
    print(f"{many(len(picks), 'card')} on {many(pages, 'page')}, {sheet.per_page} to a page: {args.out}")
    return FINE

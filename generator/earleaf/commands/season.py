"""`earleaf season`: dates, visits and calendars of your own plantings, in a folder that is never published."""

from __future__ import annotations

from argparse import Namespace

from ..site.private import Asked, make_season
from .common import FINE, Today, find_manual, many, sound, tell, usage, writing


def run(args: Namespace, today: Today) -> int:
    """Write the folder anew."""
    path = find_manual(args.manual)
    prepared, manual = sound(path, today)
    for name in filter(None, (args.plantings, args.seen)):
        if not name.is_file():
            raise usage(f"there is no file {name}")
    asked = Asked(path, args.plantings, args.seen, args.out, args.today or today(), args.language)
    with writing("written", args.out, prepared.db):
        count, findings = make_season(prepared.db, manual, asked)
    tell(findings)
    print(f"{many(count, 'planting')}. Open {args.out / 'index.html'}. Keep this folder off the public site.")
    return FINE

"""`earleaf parts`: the names of the parts that make the whole site."""

from __future__ import annotations

import json
from argparse import Namespace

from ..site.parts import plan
from .common import FINE, Today, find_manual, sound


def run(args: Namespace, today: Today) -> int:
    """Print the names, one a line or as JSON."""
    prepared, _ = sound(find_manual(args.manual), today)
    names = plan(prepared)
    print(json.dumps(names) if args.json else "\n".join(names))
    return FINE

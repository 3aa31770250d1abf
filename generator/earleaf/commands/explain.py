"""`earleaf explain`: where every value of a protocol comes from."""

from __future__ import annotations

import sys
from argparse import Namespace

from ..site.build import prepare
from .common import FINE, USAGE, Today, find_manual


def run(args: Namespace, today: Today) -> int:
    """Print the values of one protocol, also of a manual with errors."""
    from ..views.explain import explain

    prepared = prepare(find_manual(args.manual), today())
    lines, fine = explain(prepared.db, args.protocol, args.lab)
    print("\n".join(lines), file=sys.stdout if fine else sys.stderr)
    return FINE if fine else USAGE

"""`earleaf new`: a commented skeleton of a manual, crop, lab or source."""

from __future__ import annotations

import sys
from argparse import Namespace
from pathlib import Path

from .common import FINE, USAGE, Today, failed, find_manual


def run(args: Namespace, today: Today) -> int:
    """Write the skeleton; nothing that is there is replaced."""
    from ..site.skeleton import write_new

    path = find_manual(args.manual) if args.kind != "manual" else None
    try:
        message, fine = write_new(args.kind, args.name, path, today())
    except OSError as error:
        raise failed("written", error, path.parent if path else Path(args.name)) from error
    print(message, file=sys.stdout if fine else sys.stderr)
    return FINE if fine else USAGE

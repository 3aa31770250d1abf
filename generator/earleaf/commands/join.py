"""`earleaf join`: the whole site from all its parts."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from ..site.build import Prepared
from ..site.cache import Cache, usual_folder
from ..site.join import join
from .build import count_pages, fill
from .common import Today


def run(args: Namespace, today: Today) -> int:
    """Put the parts together."""
    return fill(args, args.out or Path("site"), today, _joined)


def _joined(args: Namespace, out: Path, _manual: Path, prepared: Prepared) -> int:
    return count_pages(join(prepared, args.folders, out, Cache(usual_folder())), prepared)

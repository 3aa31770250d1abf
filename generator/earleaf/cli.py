"""The `earleaf` command: finds the verb, hands it the clock, and ends with its exit code. The verbs: `commands/`."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable, Mapping
from datetime import date

from .commands import build, cards, catalogue, check, explain, join, new, parts, season, serve
from .commands.common import FAILED, FINDINGS, FINE, USAGE, Refused, Today, usage
from .commands.parser import make_parser
from .site.editions import NotInManual

__all__ = ["FAILED", "FINDINGS", "FINE", "USAGE", "VERBS", "main"]

VERBS: Mapping[str, Callable[[Namespace, Today], int]] = {
    "check": check.run,
    "build": build.run,
    "parts": parts.run,
    "join": join.run,
    "serve": serve.run,
    "cards": cards.run,
    "season": season.run,
    "explain": explain.run,
    "catalogue": catalogue.run,
    "new": new.run,
}


def main(argv: list[str] | None = None) -> int:
    """Run one verb; the number is the exit code."""
    args = make_parser().parse_args(argv)
    try:
        return _ended(args)
    except BrokenPipeError:
        return FINE
    except KeyboardInterrupt:
        return FAILED


def _ended(args: Namespace) -> int:
    """The exit code of the verb. A refusal is told here and nowhere else."""
    try:
        return VERBS[args.verb](args, date.today)
    except (Refused, NotInManual) as error:
        refused = error if isinstance(error, Refused) else usage(error)
    except BrokenPipeError:
        raise
    except OSError as error:
        said = f"{error.filename}: {error.strerror}" if error.filename else error
        refused = Refused(FAILED, f"earleaf: {said}")
    if refused.line:
        print(refused.line, file=sys.stderr)
    return refused.code


if __name__ == "__main__":
    sys.exit(main())

"""`earleaf serve`: a preview in the browser that follows each edit."""

from __future__ import annotations

import tempfile
from argparse import Namespace
from pathlib import Path

from ..model.finding import Finding
from .common import FAILED, FINE, Refused, Today, find_manual


def run(args: Namespace, today: Today) -> int:
    """Serve until Ctrl+C."""
    from ..site.preview import Preview, serve

    path = find_manual(args.manual)
    with tempfile.TemporaryDirectory(prefix="earleaf-") as folder:
        preview = Preview(path, Path(folder), _tell, today)
        preview.build()
        host, port = args.address
        print(f"Open http://{host}:{port}/. Ctrl+C ends the preview", flush=True)
        try:
            serve(preview, host, port)
        except KeyboardInterrupt:
            return FINE
        except OSError as error:
            said = f"earleaf: cannot serve at {host}:{port}: {error.strerror}; try another --address"
            raise Refused(FAILED, said) from error
    return FINE


def _tell(findings: list[Finding], line: str) -> None:
    print(*findings, line, sep="\n", flush=True)

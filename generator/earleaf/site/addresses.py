"""Every address that a manual has ever published, in a file: none is ever lost.

`python -m earleaf.site.addresses <built site> <list>` adds those that are new.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from pathlib import Path

HEAD = "# Every address that was ever published. Lines are only added: `make addresses`. A test opens each one.\n"
ALONG = re.compile(r"(?:[a-z]{2,3}/)?(?:assets|drawings|cards)/")
"""What pages bring along: nobody types these, and each page knows where its own are."""


def published(folder: Path, labs: Iterable[str] = ()) -> set[str]:
    """The addresses of a built site that others may keep: pages, short addresses, feeds, data. Those of `labs` not."""
    files = (p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    names = tuple(labs)
    return {
        name.removesuffix("index.html")
        for name in files
        if not name.startswith(".") and not _along(name) and not any(_of(lab, name) for lab in names)
    }


def _along(name: str) -> bool:
    """Whether a file is a part of pages: pictures, styles, paper; in any language's folder."""
    return not name.endswith("index.html") and ALONG.match(name) is not None


def _of(lab: str, name: str) -> bool:
    """Whether a file is about one lab: a folder, or the file, bears its name."""
    return any(part == lab or part.endswith(f"-{lab}") for part in name.split(".")[0].split("/"))


def read(path: Path) -> set[str]:
    """The addresses of a list; none where there is no list yet."""
    lines = path.read_text("utf-8").splitlines() if path.exists() else []
    return {line for line in lines if not line.startswith("#")}


def write(path: Path, addresses: Iterable[str]) -> None:
    """The list, sorted. The first page has the empty address, so it stands as an empty line."""
    path.write_text(HEAD + "".join(f"{address}\n" for address in sorted(addresses)), "utf-8")


def is_there(folder: Path, address: str) -> bool:
    """Whether an address leads to a page or a file of a built site."""
    return (folder / f"{address}index.html" if address == "" or address.endswith("/") else folder / address).is_file()


if __name__ == "__main__":
    site, listed, *lab_ids = sys.argv[1:]
    write(Path(listed), read(Path(listed)) | published(Path(site), lab_ids))

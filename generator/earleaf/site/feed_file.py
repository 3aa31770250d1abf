"""The file in which a manual keeps what its calendar feeds sent last, so that a moved window is seen as moved."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..model.feed_state import FeedState
from ..model.finding import Finding
from ..rendering.feed import read_state, write_state

RULE = "feeds-file"


def read_feeds(path: Path | None) -> tuple[FeedState, list[Finding]]:
    """What the file holds; nothing for no file, as before the first build. A damaged file is a fault."""
    if path is None:
        return FeedState(), []
    try:
        return read_state(path.read_bytes()), []
    except FileNotFoundError:
        return FeedState(), []
    except OSError as error:
        said, hint = f"cannot be read: {error.strerror or error}", "make it readable, or name another `feeds_file`"
    except ValueError:
        said = "is damaged: it does not hold what a build writes there"
        hint = "put back the file of your last build; if you delete it, calendar programs may miss days that move"
    return FeedState(), [Finding(path.name, 0, RULE, f"{path.name} {said}", hint)]


@contextmanager
def remembered(path: Path | None, state: FeedState) -> Iterator[None]:
    """Keep the state in its file once the body, which publishes the site, has come to its end.

    The new file is written before, beside the old one, so that a full or locked disk is noticed while the old site is
    still there. OSError then; and the file stays as it was if the body fails. A file that would not change is not
    touched.
    """
    content = write_state(state)
    if path is None or (path.exists() and path.read_bytes() == content):
        yield
        return
    handle, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
    try:
        with open(handle, "wb") as out:
            out.write(content)
        Path(name).chmod(0o644)
        yield
        os.replace(name, path)
    finally:
        Path(name).unlink(missing_ok=True)

"""The file in which a manual keeps what its calendar feeds sent last, so that a moved window is seen as moved."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..database.files import read_bytes
from ..model.feed_state import FeedState
from ..model.finding import Finding
from ..rendering.feed import read_state, write_state
from .alone import Busy, alone
from .publish import left, named, put

RULE = "feeds-file"
MAX_BYTES = 20_000_000
"""Of what the feeds remember. A longer file is cut, and so damaged."""


def read_feeds(path: Path | None) -> tuple[FeedState, list[Finding]]:
    """What the file holds; nothing for no file, as before the first build. A damaged file is a fault."""
    if path is None:
        return FeedState(), []
    try:
        return read_state(read_bytes(path, MAX_BYTES)), []
    except FileNotFoundError:
        return FeedState(), []
    except OSError as error:
        said, hint = f"cannot be read: {error.strerror or error}", "make it readable, or name another `feeds_file`"
    except ValueError:
        said = "is damaged: it does not hold what a build writes there"
        hint = "put back the file of your last build; if you delete it, calendar programs may miss days that move"
    return FeedState(), [Finding(path.name, 0, RULE, f"{path.name} {said}", hint)]


@contextmanager
def remembered(path: Path | None, before: FeedState, state: FeedState) -> Iterator[None]:
    """Keep the state in its file while the body, which swaps the site in, comes to its end.

    The state is kept before the swap. A build that is killed between the two leaves a state that is ahead of the site:
    a number may then be left out, but none is ever sent twice. If the body fails, the file is as it was.

    `before` is what this build counted on from. Raises Busy if another build has sent something else since, and
    OSError while the old site is still there. A file that would not change is not touched.
    """
    if path is None:
        yield
        return
    with alone(path.parent):
        for rest in left(path, "new|old"):
            rest.unlink(missing_ok=True)
        now, damaged = read_feeds(path)
        if damaged or now not in (before, state):
            raise Busy(f"another build has changed {path.name} since this one began; build again")
        content = write_state(state)
        kept = path.read_bytes() if path.exists() else None
        if kept == content:
            yield
            return
        with _copy(path, kept) as old:
            put(content, path)
            try:
                yield
            except Exception:
                old.replace(path) if kept is not None else path.unlink()
                raise


@contextmanager
def _copy(path: Path, content: bytes | None) -> Iterator[Path]:
    """What the file held, beside it, so that it can be put back even on a full disk."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}-old-", dir=path.parent)
    old = Path(name)
    try:
        with named(path), open(handle, "wb") as out:
            out.write(content or b"")
        old.chmod(0o644)
        yield old
    finally:
        old.unlink(missing_ok=True)

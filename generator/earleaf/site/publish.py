"""Put a tree on disk: build beside, swap in when complete. The last good site stays until then.

Where the system can exchange two folders in one step (Linux), there is a whole site at every moment. Elsewhere there is
a moment between two renames; one who is killed just then leaves the old site beside, and `recover` puts it back.
"""

from __future__ import annotations

import ctypes
import errno
import os
import re
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager, ExitStack, contextmanager, nullcontext, suppress
from pathlib import Path

from .alone import alone, claimed, is_free

MARK = ".earleaf-site"
MARKED = b"This folder is replaced by each build.\n"
_EXCHANGE = 2
"""RENAME_EXCHANGE in <linux/fs.h>."""
_AT_FDCWD = -100


class NotOurs(Exception):
    """The output folder holds something that is not a site of ours."""


def publish(
    files: Mapping[str, bytes], target: Path, mark: str = MARK, during: AbstractContextManager[None] | None = None
) -> None:
    """Write all files into a new folder next to `target`, then swap. Raises OSError, or NotOurs before writing.

    `mark` is the file by which the folder is known as one of ours; a folder of another kind is never replaced. The swap
    is made inside of `during`.
    """
    with started(target, mark) as new:
        write(files, new)
        with during or nullcontext():
            swap(new, target, mark)


@contextmanager
def started(target: Path, mark: str = MARK) -> Iterator[Path]:
    """A new folder beside `target`, to be filled and swapped in. What is in it at the end of the body is removed.

    Folders that builds left here when they were killed are removed too; those of living builds stay.
    """
    refuse_foreign(target, mark)
    target = target.resolve()
    target.parent.mkdir(parents=True, exist_ok=True)
    recover(target, mark)
    with ExitStack() as stack:
        with alone(target.parent):
            _sweep(target, mark)
            new = Path(tempfile.mkdtemp(prefix=f".{target.name}-new-", dir=target.parent))
            stack.enter_context(claimed(new))
        stack.callback(_discard, new, mark)
        stack.enter_context(_rights(new, public=mark == MARK))
        stack.enter_context(named(target))
        (new / mark).write_bytes(MARKED)
        yield new


@contextmanager
def _rights(new: Path, *, public: bool) -> Iterator[None]:
    """What is public may be read by anyone, whoever builds it; for the rest the builder's own settings hold."""
    usual = os.umask(0o022)
    if not public:
        os.umask(usual)
    try:
        new.chmod(0o777 & ~(0o022 if public else usual))
        yield
    finally:
        os.umask(usual)


@contextmanager
def named(target: Path) -> Iterator[None]:
    """A full disk does not say of itself which file it was; the message then names the target."""
    try:
        yield
    except OSError as error:
        if error.errno is None or error.filename is not None:
            raise
        raise OSError(error.errno, error.strerror, str(target)) from error


def refuse_foreign(target: Path, mark: str = MARK) -> None:
    """NotOurs for a file, and for a folder with files in it and without the mark."""
    if target.exists() and not target.is_dir():
        raise NotOurs(f"{target} is a file; give the name of a folder")
    if target.exists() and any(target.iterdir()) and not (target / mark).exists():
        raise NotOurs(f"{target} holds files that Earleaf did not make; choose another --out, or empty it yourself")


def write(files: Mapping[str, bytes], folder: Path) -> None:
    """Every file below a folder; an address that would leave it is refused."""
    made: set[str] = set()
    root = str(folder)
    for name, content in files.items():
        if name.startswith("/") or ".." in name.split("/"):
            raise ValueError(f"address {name!r} leaves the site")
        path = f"{root}/{name}"
        parent = path.rsplit("/", 1)[0]
        if parent not in made:
            os.makedirs(parent, exist_ok=True)
            made.add(parent)
        with open(path, "wb") as out:
            out.write(content)


def swap(new: Path, target: Path, mark: str = MARK) -> None:
    """Make `new` the target. Raises OSError or NotOurs; the target then is what it was.

    The old site stands in the place of `new` then, or beside under a name of its own.
    """
    target = target.resolve()
    with alone(target.parent):
        refuse_foreign(target, mark)
        if not target.exists():
            os.rename(new, target)
        elif not exchange(new, target):
            _by_two_renames(new, target, mark)


def exchange(one: Path, other: Path) -> bool:
    """Let two folders change places in one step; false if the system or the drive cannot, and nothing has happened."""
    try:
        rename = ctypes.CDLL(None).renameat2
    except (AttributeError, OSError, TypeError):
        return False
    return bool(rename(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), ctypes.c_uint(_EXCHANGE)) == 0)


def _by_two_renames(new: Path, target: Path, mark: str) -> None:
    """The old site is moved aside first, and put back if the move of the new one fails."""
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent))
    old.rmdir()
    try:
        os.rename(target, old)
        os.rename(new, target)
    except BaseException:
        if not target.exists():
            os.rename(old, target)
        raise
    _discard(old, mark)


def recover(target: Path, mark: str = MARK) -> None:
    """Put back a site that was moved aside by a build which was killed before it could put the new one there.

    Does what can be done: a place that cannot be used is told by the build itself.
    """
    target = target.resolve()
    if target.exists() or not target.parent.is_dir():
        return
    with suppress(OSError), alone(target.parent):
        for old in left(target, "old"):
            if (old / mark).exists() and not target.exists():
                os.rename(old, target)


def left(target: Path, kind: str) -> list[Path]:
    """What lies beside the target under a name that only builds give."""
    pattern = re.compile(rf"\.{re.escape(target.name)}-({kind})-[a-z0-9_]{{8}}")
    return sorted(p for p in target.parent.iterdir() if pattern.fullmatch(p.name))


def _sweep(target: Path, mark: str) -> None:
    """Remove the folders of builds that were killed. To be called alone in the folder of the target."""
    for folder in left(target, "new|old"):
        ours = folder.is_dir() and not folder.is_symlink() and ((folder / mark).exists() or not any(folder.iterdir()))
        if ours and is_free(folder):
            _discard(folder, mark)


def _discard(folder: Path, mark: str) -> None:
    """Remove a folder of ours as far as that can be done. The mark goes last, so that a rest is still known as ours."""
    with suppress(OSError):
        for path in [path for path in folder.iterdir() if path.name != mark]:
            if path.is_dir() and not path.is_symlink():
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink(missing_ok=True)
        (folder / mark).unlink(missing_ok=True)
        folder.rmdir()


def put(content: bytes, target: Path) -> None:
    """Write one file beside its place, then move it there in one step. Raises OSError; the old file then stays.

    What is no file, such as a device, is written to as it is.
    """
    target = target.resolve()
    if target.exists() and not target.is_file():
        target.write_bytes(content)
        return
    with alone(target.parent), named(target):
        for rest in left(target, "new"):
            rest.unlink(missing_ok=True)
        handle, half = tempfile.mkstemp(prefix=f".{target.name}-new-", dir=target.parent)
        try:
            with open(handle, "wb") as out:
                out.write(content)
            os.chmod(half, target.stat().st_mode & 0o777 if target.exists() else 0o644)
            os.replace(half, target)
        except BaseException:
            Path(half).unlink(missing_ok=True)
            raise


def why(error: Exception, target: Path) -> str:
    """What went wrong with a target, in one line, and what to do; other faults say so themselves."""
    if not isinstance(error, OSError) or error.errno is None:
        return str(error)
    where = Path(os.fsdecode(error.filename or target))
    if re.search(r"^\..*-(new|old)-[a-z0-9_]{8}$", where.name):
        where = where.parent
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return f"the disk is full at {where} ({error.strerror}); make room, then try again"
    if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
        return f"{where} may not be written ({error.strerror}); make it writable, or choose another folder"
    return f"{where}: {error.strerror}" if error.filename else str(error)

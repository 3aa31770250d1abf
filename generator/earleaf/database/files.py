"""Files to bytes and text. A fault: what is no plain file, too large, not UTF-8, or holds letters that do not print."""

from __future__ import annotations

import errno
import os
import re
import stat
from collections.abc import Iterable
from pathlib import Path

from ..model.finding import Finding

MAX_TEXT = 1_000_000
"""Bytes of a chapter or of a list of ids."""
MAX_TOLD = 200
"""So many faults of one file are told."""
MANY = "too-many-faults"
CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202d\u202e\ud800-\udfff\ufffe\uffff]")
"""Letters that control instead of print. XML and calendars forbid most; U+202D and U+202E turn figures round."""


VALUE_CONTROL = re.compile(f"{CONTROL.pattern[:-1]}\r]")
"""The same in a value, which may come to hold them where the file spells them as other letters, such as `\\r`."""


def read_bytes(path: Path, most: int) -> bytes:
    """The bytes of a plain file; of a longer one the first `most` and one more, so that it can be told.

    OSError for what cannot be read, and for a folder, a device or a pipe, which might never end.
    """
    try:
        with open(os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)), "rb") as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise OSError(errno.EINVAL, "it is no plain file")
            return file.read(most + 1)
    except ValueError as error:
        raise OSError(errno.EINVAL, str(error)) from error


def real(path: Path) -> Path:
    """The path without links and dots; as far as it can be followed where links go round in a circle."""
    return Path(os.path.realpath(path))


def is_folder(path: Path) -> bool:
    """Whether there is such a folder; a name that no system would take is none."""
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False


def decode(data: bytes, file: str, most: int = MAX_TEXT) -> tuple[str, Finding | None]:
    """The text of a file without its byte order mark, or "" and what is wrong with it."""
    if len(data) > most:
        said = f"the file has more than {most:,} bytes, and no more are read"
        hint = "split the file, or look for something pasted in by mistake"
        return "", Finding(file, 0, "file-too-large", said, hint)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        said = f"byte 0x{data[error.start]:02x} is not UTF-8 text"
        return "", Finding(file, line, "not-utf-8", said, "save the file again with the encoding UTF-8")
    if (found := CONTROL.search(text)) is not None:
        return "", Finding(file, text.count("\n", 0, found.start()) + 1, *control(found.group()))
    return text, None


def control(letter: str) -> tuple[str, str, str]:
    """Rule, message and hint for a letter that does not print."""
    hint = "delete it; it often comes along when text is pasted"
    return "control-character", f"a letter that does not print is here, U+{ord(letter):04X}", hint


def first_of(findings: Iterable[Finding]) -> list[Finding]:
    """The first faults of a file; where there are more, a last one says so. No more are asked for than that."""
    told: list[Finding] = []
    for finding in findings:
        if len(told) == MAX_TOLD:
            told.append(Finding(finding.file, finding.line, MANY, "more faults follow", "put the others right first"))
            break
        told.append(finding)
    return told

"""A fault in the data, as a value: where, what, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["error", "warning"]
LONGEST = 900
"""Letters of a message or a hint; of a longer one, which quotes what was pasted in by mistake, both ends are kept."""


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One fault. `file` is relative to the folder that was checked; `line` starts at 1, 0 means the whole file.

    Texts may quote what a broken file holds: letters that cannot be printed are spelled, and a long text is cut.
    """

    file: str
    line: int
    rule: str
    message: str
    hint: str = ""
    level: Level = "error"

    def __post_init__(self) -> None:
        for name in ("file", "message", "hint"):
            text = getattr(self, name)
            if len(text) > LONGEST or not text.isprintable():
                object.__setattr__(self, name, _told(text))

    def __str__(self) -> str:
        head = f"{self.file}:{self.line}" if self.line else self.file
        text = f"{head}  {self.level} {self.rule}: {self.message}"
        return f"{text}\n    hint: {self.hint}" if self.hint else text


def _told(text: str) -> str:
    """The text as a terminal may show it.

    >>> _told("a\x1b[31mb")
    'a\\x1b[31mb'
    """
    if len(text) > LONGEST:
        text = f"{text[: LONGEST // 2]} ... {text[-LONGEST // 4 :]}"
    return "".join(c if c.isprintable() else repr(c)[1:-1] for c in text)

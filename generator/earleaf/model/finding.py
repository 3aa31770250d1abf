"""A fault in the data, as a value: where, what, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["error", "warning"]


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One fault. `file` is relative to the folder that was checked; `line` starts at 1, 0 means the whole file."""

    file: str
    line: int
    rule: str
    message: str
    hint: str = ""
    level: Level = "error"

    def __str__(self) -> str:
        head = f"{self.file}:{self.line}" if self.line else self.file
        text = f"{head}  {self.level} {self.rule}: {self.message}"
        return f"{text}\n    hint: {self.hint}" if self.hint else text

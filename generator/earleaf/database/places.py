"""Where each record stands: file and line, for findings and for 'source of this page' links."""

from __future__ import annotations

from dataclasses import dataclass, field

from .yaml_lines import Parsed, PathKey


@dataclass
class Places:
    """Files by kind and id. A path inside the record finds its own line."""

    parsed: dict[tuple[str, str], tuple[str, Parsed, PathKey]] = field(default_factory=dict)
    rows: dict[str, tuple[str, int]] = field(default_factory=dict)

    def put(self, kind: str, key: str, file: str, parsed: Parsed, path: PathKey = ()) -> None:
        self.parsed[kind, key] = (file, parsed, path)

    def at(self, kind: str, key: str, *path: str | int) -> tuple[str, int]:
        """(file, line) of a path inside a record; ("", 0) for a record that is not from a file."""
        if (kind, key) not in self.parsed:
            return "", 0
        file, parsed, base = self.parsed[kind, key]
        return file, parsed.line((*base, *path))

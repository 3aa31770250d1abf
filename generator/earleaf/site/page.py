"""One page of the site, finished but for the shell round it."""

from __future__ import annotations

from dataclasses import dataclass

from .chapters import Chapter


@dataclass(frozen=True)
class Page:
    """One page: its address from the root, its finished body, and what the search knows of it."""

    address: str
    title: str
    body: str
    description: str
    search: str | None = None
    source: tuple[str, int] = ("", 0)
    chapter: Chapter | None = None

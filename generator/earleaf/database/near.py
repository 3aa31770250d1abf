"""Hints for a word that is not known."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def near(word: str, allowed: Iterable[str], shown: int = 6) -> str:
    """The closest allowed word, and some of the others."""
    words = sorted(allowed)
    close = difflib.get_close_matches(word, words, n=1, cutoff=0.5)
    start = f"did you mean {close[0]!r}? " if close else ""
    more = f" ... ({len(words)} in all)" if len(words) > shown else ""
    return f"{start}known: {', '.join(words[:shown])}{more}" if words else "there is none to choose from yet"

"""Which characters the fonts of the cards have. The typesetter says nothing of a missing one, so we ask first."""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from pathlib import Path

from fontTools.ttLib import TTFont

FONTS = Path(__file__).parent / "fonts"


@lru_cache
def characters() -> frozenset[str]:
    """Characters that every weight has, and the plain space."""
    sets = [set(TTFont(path, lazy=True).getBestCmap()) for path in sorted(FONTS.glob("*.ttf"))]
    return frozenset(map(chr, set.intersection(*sets)))


def missing(text: str) -> list[str]:
    """Characters of a text that cannot be printed, each once, in order."""
    return list(dict.fromkeys(c for c in text if c not in characters()))


def spoken(character: str) -> str:
    """A character as an error names it: '🌽' (EAR OF MAIZE, U+1F33D)."""
    name = unicodedata.name(character, "no name")
    shown = character if character.isprintable() else " "
    return f"'{shown}' ({name}, U+{ord(character):04X})"

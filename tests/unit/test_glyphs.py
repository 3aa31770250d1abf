"""What the fonts of the cards can print.

Outside authority: the alphabets themselves (ASCII; the letters of Spanish as the Real Academia lists them), and the
character names of the Unicode standard.
"""

from __future__ import annotations

import string
import unicodedata

import pytest

from earleaf.rendering.paper.glyphs import FONTS, missing, spoken

SPANISH = "áéíóúüñÁÉÍÓÚÜÑ¿¡"
SIGNS = "°–—’‘“”×½"

ABSENT = {
    "emoji": ("🌽", "EAR OF MAIZE", "U+1F33D"),
    "Hebrew": ("א", "HEBREW LETTER ALEF", "U+05D0"),
    "Arabic": ("ع", "ARABIC LETTER AIN", "U+0639"),
    "Chinese": ("葉", "CJK UNIFIED IDEOGRAPH-8449", "U+8449"),
    "direction control": ("\u202e", "RIGHT-TO-LEFT OVERRIDE", "U+202E"),
    "control": ("\x07", "no name", "U+0007"),
}


@pytest.mark.parametrize("text", [string.ascii_letters, string.digits, string.punctuation, " ", SPANISH, SIGNS])
def test_what_a_card_needs_is_there(text: str) -> None:
    assert missing(text) == []


@pytest.mark.parametrize(("character", "name", "point"), ABSENT.values(), ids=list(ABSENT))
def test_what_would_print_as_a_box_is_told(character: str, name: str, point: str) -> None:
    assert missing(f"corn {character} leaf") == [character]
    assert name in spoken(character) and point in spoken(character)


def test_a_control_is_never_put_into_the_message() -> None:
    """It would turn round the very line that tells of it."""
    for character in ("\u202e", "\x07", "\n"):
        assert character not in spoken(character)


def test_each_missing_character_is_told_once_and_in_order() -> None:
    assert missing("葉a🌽b葉🌽א") == ["葉", "🌽", "א"]


def test_a_letter_and_its_accent_apart_are_two_characters() -> None:
    """NFD of é is e and U+0301: either both can be printed, or the accent is told. None is dropped unseen."""
    apart = unicodedata.normalize("NFD", "é")
    assert set(missing(apart)) <= {"\u0301"}


def test_the_fonts_come_with_their_licence() -> None:
    """The SIL Open Font License asks that it goes with the fonts."""
    assert "SIL OPEN FONT LICENSE" in (FONTS / "OFL.txt").read_text("utf-8").upper()
    assert {p.suffix for p in FONTS.iterdir()} == {".ttf", ".txt"}

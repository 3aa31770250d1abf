"""The square code that opens a card's page. Error level M, 4 modules of white all round, modules of 0.5 mm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import segno

MODULE_MM = 0.5
QUIET = 4


@dataclass(frozen=True)
class Code:
    """The code as SVG, and how wide it is printed, white rim included."""

    svg: str
    width_mm: float


@lru_cache(maxsize=4_000)
def code(address: str) -> Code:
    """The code of an address; made once for each."""
    made = segno.make(address, error="m", micro=False, boost_error=False)
    size = made.symbol_size(border=QUIET)[0]
    svg = made.svg_inline(border=QUIET, dark="#000000", light="#ffffff", svgversion=1.1, omitsize=True)
    return Code(f'{svg[:4]} xmlns="http://www.w3.org/2000/svg"{svg[4:]}', size * MODULE_MM)

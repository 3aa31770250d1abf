"""Pictures of cards for the screen, made small: the few colours that a card has, and shades between them."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO

from PIL import Image

WHITE, INK, DARK, LEAF, LINE, STOP = "FFFFFF", "16211C", "17324D", "DDEBCF", "3E6B33", "7A2405"
RAMPS = ((INK, WHITE, 12), (DARK, WHITE, 10), (LINE, LEAF, 6), (LINE, WHITE, 6), (STOP, WHITE, 6), (DARK, LEAF, 5))
SINGLE = ("000000", "EEF1DF", "F4F8EC", "E8DECB", "FBFAF4")


def small(png: bytes) -> bytes:
    """The picture with a fixed palette: a third of the bytes, and letters as clear as before."""
    picture = Image.open(BytesIO(png)).convert("RGB").quantize(palette=_palette(), dither=Image.Dither.NONE)
    out = BytesIO()
    picture.save(out, "png")
    return out.getvalue()


@lru_cache
def _palette() -> Image.Image:
    colours = dict.fromkeys(shade for ramp in RAMPS for shade in _between(*ramp))
    colours |= dict.fromkeys(_rgb(s) for s in SINGLE)
    palette = Image.new("P", (1, 1))
    palette.putpalette([v for colour in colours for v in colour])
    return palette


def _rgb(text: str) -> tuple[int, ...]:
    return tuple(bytes.fromhex(text))


def _between(first: str, last: str, steps: int) -> list[tuple[int, ...]]:
    a, b = _rgb(first), _rgb(last)
    return [tuple(round(x + (y - x) * i / (steps - 1)) for x, y in zip(a, b, strict=True)) for i in range(steps)]

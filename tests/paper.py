"""A PDF as the tests read it: every letter with its size, place and colour, every tag, and the page as a raster."""

from __future__ import annotations

import ctypes
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium
from PIL import Image

POINT_MM = 25.4 / 72
"""A point of PDF in millimetres (ISO 32000-1, 8.3.2.3: 1/72 in)."""

END_OF_LINE = "\x02"
"""What the reader makes of a hyphen at the end of a line."""

Rgb = tuple[int, int, int]


@dataclass(frozen=True)
class Letter:
    """One printed character. The box is in points, from the lower left corner of the page."""

    text: str
    size: float
    left: float
    bottom: float
    right: float
    top: float
    colour: Rgb
    line: int

    @property
    def middle(self) -> tuple[float, float]:
        return (self.left + self.right) / 2, (self.bottom + self.top) / 2


@dataclass
class Paper:
    """One PDF file."""

    content: bytes

    @classmethod
    def read(cls, path: Path) -> Paper:
        return cls(path.read_bytes())

    @cached_property
    def document(self) -> pypdfium2.PdfDocument:
        return pypdfium2.PdfDocument(self.content)

    @cached_property
    def pdf(self) -> pikepdf.Pdf:
        return pikepdf.open(BytesIO(self.content))

    def __len__(self) -> int:
        return len(self.document)

    @cached_property
    def pages_mm(self) -> list[tuple[float, float]]:
        """Width and height of every page."""
        sizes = [self.document.get_page_size(n) for n in range(len(self))]
        return [(w * POINT_MM, h * POINT_MM) for w, h in sizes]

    @cached_property
    def texts(self) -> list[str]:
        """What a reader can select on every page, one space between words."""
        out = []
        for page in self.document:
            text = page.get_textpage().get_text_range().replace(END_OF_LINE, "-")
            out.append(" ".join(unicodedata.normalize("NFKC", text).split()))
        return out

    @cached_property
    def letters(self) -> list[Letter]:
        """The visible characters of the first page, in reading order."""
        return list(_letters(self.document[0]))

    @cached_property
    def tags(self) -> list[tuple[str, pikepdf.Dictionary]]:
        """The structure elements in reading order: (type, element)."""
        return list(_tags(self.pdf.Root.StructTreeRoot.K))

    @property
    def headings(self) -> list[int]:
        """The levels of the headings in reading order."""
        return [int(kind[1]) for kind, _ in self.tags if kind[0] == "H" and kind[1:].isdigit()]

    @cached_property
    def fonts(self) -> list[pikepdf.Object]:
        """Every font of the file, those below composite fonts instead of them."""
        out = []
        for obj in self.pdf.objects:
            if isinstance(obj, pikepdf.Dictionary) and obj.get("/Type") == "/Font" and "/DescendantFonts" not in obj:
                out.append(obj)
        return out

    def raster(self, dpi: int, page: int = 0) -> Image.Image:
        """The page as a printer of that resolution sees it, in colour."""
        return self.document[page].render(scale=dpi / 72).to_pil().convert("RGB")


def _letters(page: pypdfium2.PdfPage) -> Iterator[Letter]:
    text = page.get_textpage()
    left, right, bottom, top = (ctypes.c_double() for _ in range(4))
    colour = [ctypes.c_uint() for _ in range(4)]
    matrix, line = pdfium.FS_MATRIX(), 0
    for i in range(pdfium.FPDFText_CountChars(text.raw)):
        character = chr(pdfium.FPDFText_GetUnicode(text.raw, i)).replace(END_OF_LINE, "-")
        if character == "\n":
            line += 1
        if pdfium.FPDFText_IsGenerated(text.raw, i) or character.isspace():
            continue
        assert pdfium.FPDFText_GetMatrix(text.raw, i, matrix)
        scale = (matrix.c**2 + matrix.d**2) ** 0.5  # height of the letter after every transformation
        assert pdfium.FPDFText_GetCharBox(text.raw, i, left, right, bottom, top)
        assert pdfium.FPDFText_GetFillColor(text.raw, i, *map(ctypes.byref, colour))
        red, green, blue, opaque = (c.value for c in colour)
        assert opaque == 255, "text that the ground shines through has no colour of its own"
        yield Letter(
            unicodedata.normalize("NFKC", character),
            round(pdfium.FPDFText_GetFontSize(text.raw, i) * scale, 3),
            left.value,
            bottom.value,
            right.value,
            top.value,
            (red, green, blue),
            line,
        )


def _tags(node: Any) -> Iterator[tuple[str, pikepdf.Dictionary]]:
    if isinstance(node, pikepdf.Array):
        for kid in node:
            yield from _tags(kid)
    elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
        yield str(node.S)[1:], node
        if "/K" in node:
            yield from _tags(node.K)


def joined(letters: list[Letter]) -> str:
    """Their text without spaces, as large and small letters do not matter."""
    return "".join(letter.text for letter in letters).casefold()


def bare(text: str) -> str:
    """A text in the same form."""
    return "".join(unicodedata.normalize("NFKC", text).split()).casefold()


def luminance(colour: Rgb) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.2, definition of relative luminance)."""
    red, green, blue = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in (c / 255 for c in colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Rgb, other: Rgb) -> float:
    """Contrast ratio of two colours (WCAG 2.2, definition of contrast ratio)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def lightness(grey: int) -> float:
    """L* of a grey of sRGB (CIE 15:2004, L* from Y / Yn)."""
    y = luminance((grey, grey, grey))
    return 116 * y ** (1 / 3) - 16 if y > (6 / 29) ** 3 else y * (29 / 3) ** 3

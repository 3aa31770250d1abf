"""The sheet the season chart is drawn on: marks in layers, each with its class and colours, and texts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape
from itertools import pairwise
from typing import Literal

from .plants.roles import FONT, INK, LINE, PAGE, PLANT, QUIET, TARGET
from .season_text import Span, width

Anchor = Literal["start", "middle", "end"]
SHIFT: dict[Anchor, float] = {"start": 0.0, "middle": 0.5, "end": 1.0}
NOTE, RULE = "#F4F1E8", "#D5D9D4"
FADES = ("#4C6175", "#8492A1", "#C0C7CF")
"""The dark of a sampling bar, a step of 20 L* lighter each time; white is one step further."""

LAYERS: dict[str, str] = {
    "weekend": f'class="el-season-weekend" fill="{NOTE}"',
    "closed": 'class="el-season-closed" fill="url(#{ident}-closed)"',
    "rule": f'class="el-season-rule" fill="none" stroke="{RULE}"',
    "week": f'class="el-season-week" fill="none" stroke="{QUIET}"',
    "ground": f'class="el-season-ground" fill="none" stroke="{LINE}"',
    "leader": f'class="el-season-leader" fill="none" stroke="{QUIET}" stroke-width=".7"',
    "band": f'class="el-season-band" fill="{PLANT}" stroke="{LINE}" stroke-width=".7"',
    "loose": f'class="el-season-loose" fill="{PAGE}" stroke="{LINE}" stroke-dasharray="2 1.5"',
    "later": f'class="el-season-later" fill="none" stroke="{LINE}" stroke-width="1.4"',
    "tick": f'class="el-season-tick" fill="none" stroke="{INK}" stroke-width="1.6"',
    "start": f'class="el-season-start" fill="{PAGE}" stroke="{INK}" stroke-width="1.4"',
    "fade3": f'class="el-season-fade el-season-fade-3" fill="{FADES[2]}"',
    "fade2": f'class="el-season-fade el-season-fade-2" fill="{FADES[1]}"',
    "fade1": f'class="el-season-fade el-season-fade-1" fill="{FADES[0]}"',
    "hatched": 'class="el-season-bracket" fill="url(#{ident}-perhaps)"' + f' stroke="{TARGET}" stroke-width="1.3"',
    "bar": f'class="el-season-bar" fill="{TARGET}"',
    "arrow": f'class="el-season-arrow" fill="none" stroke="{TARGET}" stroke-width="2"',
    "today-edge": f'class="el-season-today-edge" fill="none" stroke="{PAGE}" stroke-width="3.4"',
    "today": f'class="el-season-today" fill="none" stroke="{INK}" stroke-width="1.6" stroke-dasharray="6 2.5"',
    "visit": f'class="el-season-visit" fill="{PAGE}" stroke="{TARGET}" stroke-width="1.6" stroke-linejoin="round"',
}
"""Marks from back to front."""
TEXTS: dict[str, str] = {
    "words": f'class="el-season-words" fill="{INK}"',
    "heading": f'class="el-season-words el-season-heading" fill="{INK}" font-weight="700"',
    "quiet": f'class="el-season-words el-season-quiet" fill="{QUIET}"',
}
PATTERNS = (
    '<defs><pattern id="{ident}-closed" width="5" height="5" patternUnits="userSpaceOnUse" '
    f'patternTransform="rotate(45)"><path class="el-season-closed-line" d="M0 0V5" stroke="{QUIET}" '
    'stroke-width="1.6"/></pattern><pattern id="{ident}-perhaps" width="5" height="5" '
    'patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">'
    f'<path class="el-season-bracket-page" d="M0 0H5V5H0Z" fill="{PAGE}"/>'
    f'<path class="el-season-bracket-line" d="M0 0V5" stroke="{TARGET}" stroke-width="2.4"/></pattern></defs>'
)


def num(value: float) -> str:
    """A place with one decimal at most."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


@dataclass
class Sheet:
    """Marks and texts gathered by layer. `size` is the height of letters; `boxes` is what the texts take at most."""

    ident: str
    size: float
    marks: dict[str, list[str]] = field(default_factory=lambda: {name: [] for name in LAYERS})
    texts: dict[str, list[str]] = field(default_factory=lambda: {name: [] for name in TEXTS})
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)

    def rect(self, layer: str, span: Span, y: float, height: float) -> None:
        """A box over a span, its top at y."""
        self.marks[layer].append(
            f'<rect x="{num(span[0])}" y="{num(y)}" width="{num(span[1] - span[0])}" height="{num(height)}"/>'
        )

    def path(self, layer: str, *numbers: float | str) -> None:
        """A path from its letters and numbers."""
        parts = [n if isinstance(n, str) else num(n) for n in numbers]
        text = parts[0]
        for before, part in pairwise(parts):
            text += part if part.isalpha() or before.isalpha() else f" {part}"
        self.marks[layer].append(text)

    def circle(self, layer: str, x: float, y: float, r: float) -> None:
        self.marks[layer].append(f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r)}"/>')

    def text(self, kind: str, x: float, y: float, text: str, anchor: Anchor = "start") -> None:
        """One line of text that starts at x, ends there or lies about it, its foot at y."""
        wide = self.width(text, kind)
        left = x - wide * SHIFT[anchor]
        self.boxes.append((left, y - self.size, left + wide, y + self.size * 0.3))
        more = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self.texts[kind].append(f'<text x="{num(x)}" y="{num(y)}"{more}>{escape(text, quote=False)}</text>')

    def lines(self, kind: str, x: float, y: float, lines: list[str], step: float, anchor: Anchor = "start") -> None:
        """Lines of text below each other."""
        for n, line in enumerate(lines):
            self.text(kind, x, y + n * step, line, anchor)

    def down(self, layers: Sequence[str], x: float, top: float, foot: float) -> None:
        """A line from top to foot that leaves out the texts on its way."""
        gaps = sorted((above, below) for left, above, right, below in self.boxes if left - 3 < x < right + 3)
        for above, below in [*gaps, (foot, foot)]:
            if min(above, foot) > top + 1:
                for layer in layers:
                    self.path(layer, "M", x, top, "V", min(above, foot))
            top = max(top, below)

    def width(self, text: str, kind: str = "words") -> float:
        return width(text, self.size, bold=kind == "heading")

    def svg(self, wide: float, high: float, title: str, description: str) -> str:
        """The whole picture."""
        i = self.ident
        out = [
            f'<svg class="el-season-chart" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(wide)} {num(high)}" '
            f'role="img" aria-labelledby="{i}-t {i}-d"><title id="{i}-t">{escape(title)}</title>'
            f'<desc id="{i}-d">{escape(description)}</desc>',
            PATTERNS.replace("{ident}", i),
        ]
        for name, look in LAYERS.items():
            if marks := self.marks[name]:
                out.append(_layer(look.replace("{ident}", i), marks))
        out.append(
            f'<g font-family="{FONT}" font-size="{num(self.size)}" stroke="{PAGE}" stroke-width="3" '
            'stroke-linejoin="round" style="paint-order:stroke" class="el-season-texts">'
        )
        out += [f"<g {look}>{''.join(self.texts[name])}</g>" for name, look in TEXTS.items() if self.texts[name]]
        return "".join([*out, "</g></svg>"])


def _layer(look: str, marks: list[str]) -> str:
    """One layer: shapes in a group, lines as one path."""
    shapes = "".join(m for m in marks if m.startswith("<"))
    lines = "".join(m for m in marks if not m.startswith("<"))
    if not shapes:
        return f'<path {look} d="{lines}"/>'
    return f"<g {look}>{shapes}{f'<path d={chr(34)}{lines}{chr(34)}/>' if lines else ''}</g>"

"""The stage strip: stages along a line with a small plant growing, sampling windows as dark bars under it.

Geometry only: words and positions come from the view. Same input, same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

WIDTH = 360
LEFT, RIGHT = 16, 344
LINE_Y = 84
ROW = 34
LETTER = 5.6
"""Width allowed for a letter of a bar's words."""
INK, TARGET, PLANT, PLANT_LINE, QUIET = "#16211C", "#17324D", "#DDEBCF", "#3E6B33", "#6B746F"


def stage_strip(
    form: str,
    ticks: Sequence[tuple[str, str]],
    bars: Sequence[tuple[int, int, str, str]],
    description: str,
    title: str,
    ident: str,
) -> str:
    """SVG of one strip, 360 units wide. `bars` are (first tick, last tick, name, part)."""
    n = max(len(ticks) - 1, 1)
    xs = [LEFT + (RIGHT - LEFT) * i / n for i in range(len(ticks))]
    shown = _labels(ticks, bars, xs)
    height = LINE_Y + 30 + ROW * len(bars) + 4
    out = [
        f'<svg class="el-strip" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
        f'aria-labelledby="{ident}-t {ident}-d"><title id="{ident}-t">{escape(title)}</title>'
        f'<desc id="{ident}-d">{escape(description)}</desc>'
    ]
    for i in range(len(ticks)):
        if i in shown or len(ticks) <= 9:
            out.append(_plant(form, xs[i], i / n))
    out.append(f'<path class="el-ground" d="M{LEFT - 8} {LINE_Y}H{RIGHT + 8}" stroke="{INK}" stroke-width="1.5"/>')
    for i, (code, _) in enumerate(ticks):
        out.append(f'<path class="el-tick" d="M{xs[i]:.1f} {LINE_Y}v5" stroke="{INK}"/>')
        if i in shown:
            anchor = "start" if i == 0 else "end" if i == len(ticks) - 1 else "middle"
            x = xs[i] - 8 if i == 0 else xs[i] + 8 if i == len(ticks) - 1 else xs[i]
            out.append(
                f'<text class="el-code" x="{x:.1f}" y="{LINE_Y + 18}" text-anchor="{anchor}">{escape(code)}</text>'
            )
    for row, (first, last, name, part) in enumerate(bars):
        out.append(_bar(xs[first], xs[last], LINE_Y + 30 + ROW * row, name, part))
    out.append("</svg>")
    return "".join(out)


def _labels(ticks: Sequence[tuple[str, str]], bars: Sequence[tuple[int, int, str, str]], xs: list[float]) -> set[int]:
    """Ticks whose code is printed: window ends first, then what still fits without touching."""
    ends = [i for a, b, *_ in bars for i in (a, b)]
    order = list(dict.fromkeys([0, len(ticks) - 1, *ends, *range(len(ticks))]))
    taken: list[tuple[float, float]] = []
    shown: set[int] = set()
    for i in order:
        half = 3.1 * len(ticks[i][0]) + 4
        centre = xs[i] + (half - 8 if i == 0 else -(half - 8) if i == len(ticks) - 1 else 0)
        if all(centre + half < a or centre - half > b for a, b in taken):
            taken.append((centre - half, centre + half))
            shown.add(i)
    return shown


def _bar(x0: float, x1: float, y: float, name: str, part: str) -> str:
    """A dark bar with its words under it, kept inside the drawing."""
    left, right = min(x0, x1) - 7, max(x0, x1) + 7
    text = f"{name}: {part}"
    if LETTER * len(text) > WIDTH - 14:
        text = name
    if left + LETTER * len(text) <= WIDTH - 6:
        x, anchor = left, "start"
    elif right - LETTER * len(text) >= 6:
        x, anchor = right, "end"
    else:
        x, anchor = WIDTH - 6.0, "end"
    return (
        f'<rect class="el-bar" x="{left:.1f}" y="{y}" width="{right - left:.1f}" height="9" rx="2" fill="{TARGET}"/>'
        f'<text class="el-bar-text" x="{x:.1f}" y="{y + 22}" text-anchor="{anchor}">{escape(text)}</text>'
    )


def _plant(form: str, x: float, age: float) -> str:
    """A small plant at an age from 0 to 1; decoration that says only 'it grows'."""
    height = 10 + 56 * min(1.0, age * 1.25)
    top = LINE_Y - height
    pairs = 1 + round(4 * min(1.0, age * 1.4))
    if form in ("rosette", "turf"):
        height, pairs = 8 + 16 * age, 3
        top = LINE_Y - height
    parts = [f'<path d="M{x:.1f} {LINE_Y}V{top:.1f}" stroke="{PLANT_LINE}" stroke-width="1.4" fill="none"/>']
    if form in ("tree", "bush", "vine"):
        radius = 5 + 11 * age
        parts.append(
            f'<circle cx="{x:.1f}" cy="{LINE_Y - height:.1f}" r="{radius:.1f}" fill="{PLANT}" '
            f'stroke="{PLANT_LINE}" stroke-width="1"/>'
        )
        return f'<g class="el-plant">{"".join(parts)}</g>'
    reach = 5 + 6 * age
    for k in range(pairs):
        y = LINE_Y - height * (k + 1) / (pairs + 0.6)
        for side in (-1, 1):
            if form == "grass" and (k + (side > 0)) % 2:
                continue
            lift = 7 if form == "grass" else 3
            tip = x + side * reach
            parts.append(
                f'<path d="M{x:.1f} {y:.1f}Q{x + side * reach * 0.5:.1f} {y - lift:.1f} {tip:.1f} {y - 1:.1f}'
                f'Q{x + side * reach * 0.5:.1f} {y + 1:.1f} {x:.1f} {y:.1f}Z" fill="{PLANT}" '
                f'stroke="{PLANT_LINE}" stroke-width="0.9"/>'
            )
    return f'<g class="el-plant">{"".join(parts)}</g>'

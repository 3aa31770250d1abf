"""Where a label goes: near what it speaks about, never over the part to take, as little as can be over the plant."""

from __future__ import annotations

from itertools import pairwise
from math import ceil, cos, hypot, inf, pi, sin

from .geometry import between
from .path import Box, Path, Point, box_of

WIDTH = 200
CELL = 4
LINE_HEIGHT, LETTER = 13, 0.58
SIZES = {"target": 12.5, "young": 11.5, "wrong": 12.5}
MARK, SMALL_MARK = 12.0, 24.0
"""Size of the numbers of counted leaves; on a small picture, where they must stay readable in print."""
Cells = tuple[int, list[int]]
"""Cells of a grid: the first row, and for each row from there a number whose bits are the columns."""


class Grid:
    """Which cells are taken."""

    def __init__(self, height: int) -> None:
        self.columns = WIDTH // CELL + 2
        self.rows = [0] * (height // CELL + 2)

    def add(self, cells: Cells, top: float = 0, bottom: float = 1_000) -> None:
        """Take cells, those between two heights."""
        for row, columns in enumerate(cells[1], cells[0]):
            if 0 <= row < len(self.rows) and top <= row * CELL <= bottom:
                self.rows[row] |= columns

    def dot(self, points: list[Point]) -> None:
        """Take the cells of points."""
        for x, y in points:
            if 0 <= y < len(self.rows) * CELL:
                self.rows[int(y // CELL)] |= 1 << int(x // CELL)

    def has(self, p: Point) -> bool:
        """Is this point taken?"""
        column, row = int(p[0] // CELL), int(p[1] // CELL)
        return 0 <= row < len(self.rows) and column >= 0 and bool(self.rows[row] >> column & 1)

    def count(self, box: Box, pad: float) -> int:
        """How many cells of a box, made larger by `pad`, are taken."""
        mask = self._across(box[0] - pad, box[2] + pad)
        top, bottom = max(0, int((box[1] - pad) // CELL)), max(0, int((box[3] + pad) // CELL) + 1)
        return sum([(row & mask).bit_count() for row in self.rows[top:bottom]])

    def blocked(self, left: float, right: float) -> int:
        """In which rows some cell between two places is taken: a number whose bits are the rows."""
        mask, out = self._across(left, right), 0
        for row, columns in enumerate(self.rows):
            if columns & mask:
                out |= 1 << row
        return out

    def _across(self, left: float, right: float) -> int:
        return (1 << min(self.columns, int(right // CELL) + 1)) - (1 << max(0, int(left // CELL)))


Spot = tuple[float, Box, list[str]]  # how far from what it speaks about, where, the lines


def place(
    text: str, size: float, about: list[Point], plant: Grid, target: Grid, taken: list[Box], height: int, clear: float
) -> tuple[Box, list[str]] | None:
    """The cheapest free box for a text, with its lines. Nearer than `clear` to the target costs extra."""
    few = about[:: max(1, len(about) // 24)]
    best: Spot | None = None
    for low, high in pairwise((-1.0, 10.0, 40.0, inf)):  # a place further away than the best costs can cost no less
        if best is None or best[0] > low:
            spots = _spots(text, size, box_of(few), target, height, low, high)
            best = _cheapest(spots, best, few, plant, target, taken, clear)
    return best[1:] if best else None


def _spots(text: str, size: float, about: Box, target: Grid, height: int, low: float, high: float) -> list[Spot]:
    """Places off the target, the nearest first, further than `low` and not further than `high` from a box."""
    out: list[Spot] = []
    for lines in wrappings(text):
        w, h = max(map(len, lines)) * size * LETTER, LINE_HEIGHT * len(lines) + 1.0
        aside = [(max(x - about[2], about[0] - x - w, 0.0), float(x)) for x in range(3, int(WIDTH - w - 2), 7)]
        above = []
        for y in range(3, int(height - h - 2), 7):
            if (dy := max(y - about[3], about[1] - y - h, 0.0)) <= high:
                rows = (2 << int((y + h + 4) // CELL)) - (1 << max(0, int((y - 4) // CELL)))
                above.append((dy, float(y), rows))
        for dx, x in aside:
            if dx <= high:
                blocked = target.blocked(x - 4, x + w + 4)
                out += [
                    (d, (x, y, x + w, y + h), lines)
                    for dy, y, rows in above
                    if not blocked & rows and low < (d := hypot(dx, dy)) <= high
                ]
    return sorted(out)


def _cheapest(
    spots: list[Spot],
    best: Spot | None,
    few: list[Point],
    plant: Grid,
    target: Grid,
    taken: list[Box],
    clear: float,
) -> Spot | None:
    """The place that costs least, with its cost instead of its distance."""
    for distance, box, lines in spots:
        if best is not None and distance >= best[0]:
            break  # no place further away can cost less
        if any(overlap(box, b, 3) for b in taken):
            continue
        extra = 7.0 * plant.count(box, 1) + (6 if len(lines) > 2 else 0)
        if best is not None and distance + extra >= best[0]:
            continue
        near = nearest(box, few)
        cost = gap(box, near) + extra
        if clear > 4:
            start = edge(box, near)
            cost += 30 * bool(target.count(box, clear))
            cost += 40 * sum(target.has(between(start, near, i / 6)) for i in range(6))
        if best is None or cost < best[0]:
            best = (cost, box, lines)
    return best


WAYS = [(cos(k * pi / 8), sin(k * pi / 8)) for k in range(16)]
"""Directions in which a number may stand beside its point."""


def beside(text: str, size: float, at: Point, plant: Grid, target: Grid, taken: list[Box]) -> Box:
    """The cheapest box for a number next to a point: off the target, off other labels, off the plant if it can be."""
    w, h = len(text) * size * LETTER + 1, size * 0.86
    best: tuple[float, Box] | None = None
    for reach in range(4, 60, 2):
        if best is not None and reach >= best[0]:
            break
        for ahead, up in WAYS:
            x, y = at[0] + (reach + w / 2) * ahead, at[1] - (reach + h / 2) * up
            box = (x - w / 2, y - h / 2, x + w / 2, y + h / 2)
            outside = box[0] < 1 or box[2] > WIDTH - 1
            if outside or target.count(box, 1) or any(overlap(box, b, 1) for b in taken):
                continue
            cost = reach + 4.0 * plant.count(box, 0)
            if best is None or cost < best[0]:
                best = (cost, box)
    if best is None:
        raise ValueError(f"no room for the number {text}")
    return best[1]


def wrappings(text: str) -> list[list[str]]:
    """The label on one line, on two, and, when it is long, on three or more."""
    words = text.split()
    out = [[text]] if len(text) <= 14 or len(words) == 1 else []
    if len(words) > 1:
        cuts = range(1, len(words))
        k = min(cuts, key=lambda i: max(len(" ".join(words[:i])), len(" ".join(words[i:]))))
        out.append([" ".join(words[:k]), " ".join(words[k:])])
    if len(words) > 2 and len(text) > 24:
        rows: list[str] = []
        for word in words:
            if rows and len(rows[-1]) + 1 + len(word) <= max(12, len(text) // 3 + 2):
                rows[-1] += " " + word
            else:
                rows.append(word)
        out.append(rows)
    return out


def covered(path: Path) -> Cells:
    """Cells that a path of a finished picture runs through or encloses."""
    points, closed = path.points, path.closed
    _, top, _, bottom = path.hull()
    first = int(top // CELL) - 1  # a row to spare at both ends: a sampled point may be off by a rounding error
    edge = [0] * (int(bottom // CELL) + 2 - first)
    filled = edge.copy()
    ax, ay = points[-1]
    above = ceil(ay / CELL - 0.5)
    for bx, by in points:
        edge[int(by // CELL) - first] |= 1 << int(bx // CELL)
        if closed and (below := ceil(by / CELL - 0.5)) != above:
            slope = (bx - ax) / (by - ay)
            for row in range(above, below) if above < below else range(below, above):
                column = int((ax + (row * CELL + CELL / 2 - ay) * slope) // CELL)
                edge[row - first] |= 1 << column
                filled[row - first] ^= -1 << column  # from here on inside, or outside again
            above = below
        ax, ay = bx, by
    return first, [a | b for a, b in zip(edge, filled, strict=True)]


def overlap(a: Box, b: Box, pad: float) -> bool:
    return a[0] - pad < b[2] and b[0] - pad < a[2] and a[1] - pad < b[3] and b[1] - pad < a[3]


def edge(box: Box, p: Point) -> Point:
    """The point of a box nearest to p."""
    return min(max(p[0], box[0]), box[2]), min(max(p[1], box[1]), box[3])


def gap(box: Box, p: Point) -> float:
    q = edge(box, p)
    return hypot(p[0] - q[0], p[1] - q[1])


def nearest(box: Box, points: list[Point]) -> Point:
    """The point nearest to a box."""
    left, top, right, bottom = box
    best, least = points[0], float("inf")
    for p in points:
        x, y = p
        dx = left - x if x < left else x - right if x > right else 0.0
        dy = top - y if y < top else y - bottom if y > bottom else 0.0
        away = dx * dx + dy * dy
        if away < least:
            best, least = p, away
    return best

"""Where a label goes: near what it speaks about, never over the part to take, as little as can be over the plant."""

from __future__ import annotations

from math import cos, hypot, pi, sin

from .geometry import Box, Path, Point, between

WIDTH = 200
CELL = 4
LINE_HEIGHT, LETTER = 13, 0.58
SIZES = {"target": 12.5, "young": 11.5, "wrong": 12.5}
MARK, SMALL_MARK = 12.0, 24.0
"""Size of the numbers of counted leaves; on a small picture, where they must stay readable in print."""


class Grid:
    """Which cells are taken, summed so that a box is counted at once."""

    def __init__(self, cells: set[tuple[int, int]], height: int) -> None:
        self.cells = cells
        self.columns, self.rows = WIDTH // CELL + 2, height // CELL + 2
        self.sums = [[0] * (self.columns + 1)]
        for row in range(self.rows):
            line, above, run = [0], self.sums[-1], 0
            for column in range(self.columns):
                run += (column, row) in cells
                line.append(above[column + 1] + run)
            self.sums.append(line)

    def has(self, p: Point) -> bool:
        """Is this point taken?"""
        return (int(p[0] // CELL), int(p[1] // CELL)) in self.cells

    def count(self, box: Box, pad: float) -> int:
        """How many cells of a box, made larger by `pad`, are taken."""
        left, top = max(0, int((box[0] - pad) // CELL)), max(0, int((box[1] - pad) // CELL))
        right = min(self.columns, int((box[2] + pad) // CELL) + 1)
        bottom = min(self.rows, int((box[3] + pad) // CELL) + 1)
        return self.sums[bottom][right] - self.sums[top][right] - self.sums[bottom][left] + self.sums[top][left]


def place(
    text: str, size: float, about: list[Point], plant: Grid, target: Grid, taken: list[Box], height: int, clear: float
) -> tuple[Box, list[str]] | None:
    """The cheapest free box for a text, with its lines. Nearer than `clear` to the target costs extra."""
    few = about[:: max(1, len(about) // 24)]
    round_about = (min(x for x, _ in few), min(y for _, y in few), max(x for x, _ in few), max(y for _, y in few))
    places: list[tuple[float, Box, list[str]]] = []
    for lines in wrappings(text):
        w, h = max(map(len, lines)) * size * LETTER, LINE_HEIGHT * len(lines) + 1.0
        for x in range(3, int(WIDTH - w - 2), 7):
            aside = max(x - round_about[2], round_about[0] - x - w, 0.0)
            for y in range(3, int(height - h - 2), 7):
                above = max(y - round_about[3], round_about[1] - y - h, 0.0)
                places.append((hypot(aside, above), (float(x), float(y), x + w, y + h), lines))
    best: tuple[float, Box, list[str]] | None = None
    for distance, box, lines in sorted(places):
        if best is not None and distance >= best[0]:
            break  # no place further away can cost less
        if target.count(box, 4) or any(overlap(box, b, 3) for b in taken):
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
    return best[1:] if best else None


def beside(text: str, size: float, at: Point, plant: Grid, target: Grid, taken: list[Box]) -> Box:
    """The cheapest box for a number next to a point: off the target, off other labels, off the plant if it can be."""
    w, h = len(text) * size * LETTER + 1, size * 0.86
    best: tuple[float, Box] | None = None
    for reach in range(4, 60, 2):
        if best is not None and reach >= best[0]:
            break
        for k in range(16):
            x, y = at[0] + (reach + w / 2) * cos(k * pi / 8), at[1] - (reach + h / 2) * sin(k * pi / 8)
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


def covered(path: Path) -> set[tuple[int, int]]:
    """Cells that a path runs through or encloses."""
    cells = {(int(x // CELL), int(y // CELL)) for x, y in path.points}
    if path.closed and len(path.points) > 3:
        pts = path.points
        top, bottom = min(y for _, y in pts), max(y for _, y in pts)
        for row in range(int(top // CELL), int(bottom // CELL) + 1):
            y = row * CELL + CELL / 2
            xs = sorted(
                a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
                for a, b in zip(pts, pts[1:] + pts[:1], strict=True)
                if (a[1] > y) != (b[1] > y)
            )
            for x0, x1 in zip(xs[::2], xs[1::2], strict=False):
                cells |= {(c, row) for c in range(int(x0 // CELL), int(x1 // CELL) + 1)}
    return cells


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

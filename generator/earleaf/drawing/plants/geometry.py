"""Lines and leaves as cubic paths. Angles are in degrees: 0 points right, 90 points up."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import atan2, cos, degrees, hypot, radians, sin
from operator import itemgetter

Point = tuple[float, float]
PAIR = re.compile(r"(-?[\d.]+) (-?[\d.]+)")
Box = tuple[float, float, float, float]  # left, top, right, bottom


def number(value: float) -> str:
    """A coordinate with at most one decimal and no trailing zero."""
    return f"{value:.1f}".removesuffix(".0")


WHOLE = re.compile(r"\.0(?=[ A-Z\"])")


def tidy(text: str) -> str:
    """SVG text without needless zeros: 'M12.0 4.5' becomes 'M12 4.5'."""
    return WHOLE.sub("", text)


def polar(origin: Point, angle: float, length: float) -> Point:
    """The point `length` away from `origin` in a direction."""
    return origin[0] + length * cos(radians(angle)), origin[1] - length * sin(radians(angle))


def between(a: Point, b: Point, t: float) -> Point:
    """The point a share `t` of the way from a to b."""
    return a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t


def heading(a: Point, b: Point) -> float:
    """The direction from a to b."""
    return degrees(atan2(a[1] - b[1], b[0] - a[0]))


def weights(t: float) -> tuple[float, float, float, float]:
    """How much each of its four points counts at a place of a cubic curve."""
    s = 1 - t
    return s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t


SAMPLES = {steps: [weights((i + 1) / steps) for i in range(steps)] for steps in (2, 6)}
"""Where a curve is sampled for its outline: a short one at 2 places, a long one at 6."""


def cubic(a: Point, b: Point, c: Point, d: Point, t: float) -> Point:
    """A point of a cubic curve."""
    return _sampled(a, b, c, d, [weights(t)])[0]


def _sampled(a: Point, b: Point, c: Point, d: Point, at: list[tuple[float, float, float, float]]) -> list[Point]:
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = a, b, c, d
    return [(i * ax + j * bx + k * cx + m * dx, i * ay + j * by + k * cy + m * dy) for i, j, k, m in at]


def box_of(points: Sequence[Point]) -> Box:
    """The box around points."""
    ys = list(map(itemgetter(1), points))
    return min(points)[0], min(ys), max(points)[0], max(ys)


def union(boxes: Sequence[Box]) -> Box:
    """The box around boxes."""
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


@dataclass
class Path:
    """One path: its `d` text, and the same outline as points for the layout of labels."""

    d: str = ""
    points: list[Point] = field(default_factory=list)
    closed: bool = False

    def move(self, p: Point) -> Path:
        self.d += f"M{p[0]:.1f} {p[1]:.1f}"
        self.points.append(p)
        return self

    def line(self, p: Point) -> Path:
        self.d += f"L{p[0]:.1f} {p[1]:.1f}"
        last = self.points[-1]
        steps = max(1, int(hypot(p[0] - last[0], p[1] - last[1]) // 4))
        self.points += [between(last, p, (i + 1) / steps) for i in range(steps)]
        return self

    def curve(self, b: Point, c: Point, d: Point) -> Path:
        self.d += f"C{b[0]:.1f} {b[1]:.1f} {c[0]:.1f} {c[1]:.1f} {d[0]:.1f} {d[1]:.1f}"
        a = self.points[-1]
        self.points += _sampled(a, b, c, d, SAMPLES[2 if hypot(d[0] - a[0], d[1] - a[1]) < 8 else 6])
        return self

    def scaled(self, about: Point, by: float) -> Path:
        """The same path, made smaller or larger around a point."""

        def put(found: re.Match[str]) -> str:
            x, y = float(found[1]), float(found[2])
            return f"{about[0] + (x - about[0]) * by:.1f} {about[1] + (y - about[1]) * by:.1f}"

        return Path(PAIR.sub(put, self.d), [between(about, p, by) for p in self.points], self.closed)

    def close(self) -> Path:
        self.d += "Z"
        self.closed = True
        return self


@dataclass(frozen=True)
class Frame:
    """A place and a direction: `at(u, v)` is u ahead and v to the left."""

    origin: Point
    angle: float

    def at(self, u: float, v: float = 0) -> Point:
        a = radians(self.angle)
        return (self.origin[0] + u * cos(a) - v * sin(a), self.origin[1] - u * sin(a) - v * cos(a))


@dataclass
class Leaf:
    """An outline with its ribs; `tip` is its far end."""

    outline: Path
    ribs: list[Path]
    tip: Point


def polyline(points: Iterable[Point], closed: bool = False) -> Path:
    """Straight pieces through points."""
    path = Path()
    for i, p in enumerate(points):
        path = path.line(p) if i else path.move(p)
    return path.close() if closed else path


def smooth(points: Sequence[tuple[float, float, bool]], closed: bool = True) -> Path:
    """A curve through points (x, y, sharp); it turns a corner at the sharp ones."""
    n = len(points)

    def slope(i: int) -> Point:
        if points[i][2] or (not closed and i in (0, n - 1)):
            return 0.0, 0.0
        before, after = points[(i - 1) % n], points[(i + 1) % n]
        return (after[0] - before[0]) / 6, (after[1] - before[1]) / 6

    path = Path().move(points[0][:2])
    for i in range(n if closed else n - 1):
        a, b = points[i], points[(i + 1) % n]
        sa, sb = slope(i), slope((i + 1) % n)
        path.curve((a[0] + sa[0], a[1] + sa[1]), (b[0] - sb[0], b[1] - sb[1]), b[:2])
    return path.close() if closed else path


def arc(start: Point, angle: float, length: float, turn: float = 0) -> tuple[Point, Point, Point, Point]:
    """The four points of a curve that starts at an angle and turns evenly (negative: clockwise)."""
    end = polar(start, angle + turn / 2, length * (1 - 0.0009 * abs(turn)))
    return start, polar(start, angle, length * 0.36), polar(end, angle + turn, -length * 0.36), end


def stroke(curve: tuple[Point, Point, Point, Point]) -> Path:
    """A curve as a line."""
    return Path().move(curve[0]).curve(*curve[1:])


def limb(curve: tuple[Point, Point, Point, Point], first: float, last: float) -> Path:
    """A curve as a body that tapers from width `first` to width `last`."""
    a, b, c, d = curve
    n0, n1 = heading(a, b) + 90, heading(c, d) + 90
    mid = heading(b, c) + 90
    m1, m2 = first + (last - first) / 3, first + (last - first) * 2 / 3
    left = (polar(a, n0, first / 2), polar(b, (n0 + mid) / 2, m1 / 2), polar(c, mid, m2 / 2), polar(d, n1, last / 2))
    right = (
        polar(d, n1, -last / 2),
        polar(c, mid, -m2 / 2),
        polar(b, (n0 + mid) / 2, -m1 / 2),
        polar(a, n0, -first / 2),
    )
    return Path().move(left[0]).curve(*left[1:]).line(right[0]).curve(*right[1:]).close()


def stem(a: Point, b: Point, first: float, last: float) -> Path:
    """A straight tapered stem."""
    return limb((a, between(a, b, 1 / 3), between(a, b, 2 / 3), b), first, last)


def blade(
    base: Point, angle: float, length: float, width: float, turn: float, rib: bool = True, foot: float = 0.4
) -> Leaf:
    """A grass blade that arches over; widest in its first half, `foot` of that width at the collar."""
    a, b, c, d = arc(base, angle, length, turn)
    n0, n1, n2 = angle + 90, angle + turn / 3 + 90, angle + turn * 2 / 3 + 90
    w = width / 2
    path = (
        Path()
        .move(polar(a, n0, w * foot))
        .curve(polar(b, n1, w * 1.5), polar(c, n2, w * 0.9), d)
        .curve(polar(c, n2, -w * 0.9), polar(b, n1, -w * 1.5), polar(a, n0, -w * foot))
        .close()
    )
    ribs = [Path().move(a).curve(b, c, between(c, d, 0.85))] if rib else []
    return Leaf(path, ribs, d)


# How the edge of a simple leaf bulges: (u, v) of two control points, v in half widths.
SHAPES: dict[str, tuple[Point, Point]] = {
    "ovate": ((0.06, 1.45), (0.68, 1.1)),
    "oval": ((0.12, 1.35), (0.86, 1.32)),
    "lance": ((0.22, 1.4), (0.62, 1.15)),
    "obovate": ((0.3, 0.75), (0.95, 1.7)),
    "heart": ((-0.28, 1.75), (0.6, 1.05)),
    "round": ((-0.06, 1.4), (1.05, 1.35)),
}


def simple(
    base: Point,
    angle: float,
    length: float,
    width: float,
    shape: str = "ovate",
    bend: float = 0,
    veins: int = 0,
    rib: bool = True,
) -> Leaf:
    """A leaf with a smooth edge. `bend` moves the tip to the left by that share of the length."""
    f, w = Frame(base, angle), width / 2
    (u1, v1), (u2, v2) = SHAPES[shape]
    lean = bend * length

    def at(u: float, v: float) -> Point:
        return f.at(u * length, v * w + lean * u * u)

    tip = at(1, 0)
    path = Path().move(base).curve(at(u1, v1), at(u2, v2), tip).curve(at(u2, -v2), at(u1, -v1), base).close()
    ribs: list[Path] = []
    if rib:
        ribs.append(Path().move(base).curve(at(0.33, 0), at(0.66, 0), at(0.93, 0)))
        for i in range(veins):
            u = 0.14 + 0.6 * i / max(veins, 1)
            for side in (1, -1):
                reach = 0.62 * (1 - abs(u - 0.3) * 0.6)
                ribs.append(Path().move(at(u, 0)).line(at(u + 0.17, side * reach)))
    return Leaf(path, ribs, tip)


def toothed(
    base: Point,
    angle: float,
    length: float,
    width: float,
    shape: str = "ovate",
    teeth: int = 7,
    depth: float = 0.09,
    veins: int = 0,
) -> Leaf:
    """A leaf with saw teeth along its edge."""
    f, w = Frame(base, angle), width / 2
    (u1, v1), (u2, v2) = SHAPES[shape]
    edge: list[Point] = []
    for i in range(1, teeth * 2):
        u, v = cubic((0, 0), (u1, v1), (u2, v2), (1, 0), i / (teeth * 2))
        if i % 2 and i > 1:
            u, v = u + depth * 0.7, v + depth * 1.6
        edge.append((u, v))
    left = [f.at(u * length, v * w) for u, v in edge]
    right = [f.at(u * length, -v * w) for u, v in reversed(edge)]
    tip = f.at(length)
    return Leaf(
        polyline([base, *left, tip, *right], closed=True),
        simple(base, angle, length, width, shape, veins=veins).ribs,
        tip,
    )


# Left half outlines, from the notch at the petiole to the tip: u ahead, v left, corner or not.
LOBED: dict[str, list[tuple[float, float, bool]]] = {
    "cotton": [
        (-0.13, 0.2, False),
        (-0.08, 0.44, False),
        (0.13, 0.66, True),
        (0.28, 0.44, False),
        (0.36, 0.33, True),
        (0.52, 0.37, False),
        (0.7, 0.46, True),
        (0.72, 0.26, False),
        (0.68, 0.2, True),
        (0.85, 0.17, False),
    ],
    "grape": [
        (-0.2, 0.12, False),
        (-0.22, 0.36, True),
        (-0.1, 0.44, False),
        (0.05, 0.66, True),
        (0.2, 0.5, False),
        (0.3, 0.4, True),
        (0.4, 0.56, True),
        (0.62, 0.58, True),
        (0.66, 0.4, True),
        (0.64, 0.24, True),
        (0.8, 0.24, True),
        (0.88, 0.12, True),
    ],
    "cucurbit": [
        (-0.18, 0.16, False),
        (-0.14, 0.44, False),
        (0.1, 0.6, True),
        (0.26, 0.54, False),
        (0.56, 0.54, True),
        (0.68, 0.36, False),
        (0.82, 0.22, False),
    ],
    "melon": [(-0.18, 0.18, False), (-0.12, 0.48, False), (0.16, 0.62, False), (0.5, 0.54, False), (0.82, 0.28, False)],
    "watermelon": [
        (-0.08, 0.12, False),
        (-0.12, 0.38, False),
        (0.06, 0.42, False),
        (0.1, 0.2, True),
        (0.26, 0.28, False),
        (0.32, 0.58, False),
        (0.52, 0.52, False),
        (0.46, 0.26, False),
        (0.5, 0.12, True),
        (0.66, 0.24, False),
        (0.84, 0.2, False),
    ],
    "sweet-potato": [
        (-0.16, 0.16, False),
        (-0.2, 0.44, False),
        (0.02, 0.58, True),
        (0.26, 0.4, False),
        (0.6, 0.3, False),
    ],
    "papaya": [
        (-0.18, 0.04, True),
        (-0.46, 0.3, True),
        (-0.16, 0.2, True),
        (-0.28, 0.62, True),
        (0.02, 0.32, True),
        (0.14, 0.8, True),
        (0.24, 0.3, True),
        (0.58, 0.66, True),
        (0.46, 0.2, True),
        (0.72, 0.22, True),
    ],
    "currant": [
        (-0.14, 0.14, False),
        (-0.12, 0.42, False),
        (0.12, 0.64, True),
        (0.3, 0.44, False),
        (0.56, 0.5, True),
        (0.6, 0.3, True),
        (0.8, 0.2, False),
    ],
    "canola": [
        (0.02, 0.04, True),
        (0.1, 0.11, False),
        (0.19, 0.04, True),
        (0.28, 0.16, False),
        (0.38, 0.07, True),
        (0.5, 0.24, False),
        (0.72, 0.27, False),
        (0.92, 0.16, False),
    ],
    "eggplant": [
        (0.04, 0.2, False),
        (0.24, 0.36, False),
        (0.36, 0.3, False),
        (0.5, 0.36, False),
        (0.64, 0.24, False),
        (0.8, 0.18, False),
    ],
}


def lobed(base: Point, angle: float, length: float, shape: str, width: float = 1) -> Leaf:
    """A leaf with lobes, `length` from the petiole to the tip; `width` widens (1 = as designed)."""
    f, half = Frame(base, angle), LOBED[shape]
    left = [(*f.at(u * length, v * length * width), sharp) for u, v, sharp in half]
    right = [(*f.at(u * length, -v * length * width), sharp) for u, v, sharp in reversed(half)]
    tip = f.at(length)
    outline = smooth([(*base, True), *left, (*tip, True), *right])
    ribs = [Path().move(base).line(f.at(length * 0.88))]
    if shape in ("canola", "eggplant"):
        return Leaf(outline, ribs, tip)
    corners = [(u, v) for u, v, sharp in half if sharp and hypot(u, v) > 0.5] or [(0.3, 0.42)]
    for u, v in corners[:4]:
        for side in (1, -1):
            ribs.append(Path().move(base).line(f.at(u * length * 0.84, side * v * length * width * 0.84)))
    return Leaf(outline, ribs, tip)

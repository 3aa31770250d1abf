"""Lines and leaves as cubic paths. Angles are in degrees: 0 points right, 90 points up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

from .path import Path, Point, weights

Curve = tuple[Point, Point, Point, Point]


def polar(origin: Point, angle: float, length: float) -> Point:
    """The point `length` away from `origin` in a direction."""
    a = radians(angle)
    return origin[0] + length * cos(a), origin[1] - length * sin(a)


def between(a: Point, b: Point, t: float) -> Point:
    """The point a share `t` of the way from a to b."""
    return a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t


def heading(a: Point, b: Point) -> float:
    """The direction from a to b."""
    return degrees(atan2(a[1] - b[1], b[0] - a[0]))


def cubic(a: Point, b: Point, c: Point, d: Point, t: float) -> Point:
    """A point of a cubic curve."""
    i, j, k, m = weights(t)
    return i * a[0] + j * b[0] + k * c[0] + m * d[0], i * a[1] + j * b[1] + k * c[1] + m * d[1]


class Frame:
    """A place and a direction: `at(u, v)` is u ahead and v to the left."""

    __slots__ = ("cos", "sin", "x", "y")

    def __init__(self, origin: Point, angle: float) -> None:
        a = radians(angle)
        (self.x, self.y), self.cos, self.sin = origin, cos(a), sin(a)

    def at(self, u: float, v: float = 0) -> Point:
        return self.x + u * self.cos - v * self.sin, self.y - u * self.sin - v * self.cos


@dataclass(slots=True)
class Leaf:
    """An outline with its ribs, which are one path; `tip` is its far end."""

    outline: Path
    ribs: Path | None
    tip: Point


def polyline(points: Iterable[Point], closed: bool = False) -> Path:
    """Straight pieces through points."""
    path = Path()
    for p in points:
        path.at += p
    path.verbs = "M" + "L" * (len(path.at) // 2 - 1) + "Z" * closed
    return path


def smooth(points: Sequence[tuple[float, float, bool]], closed: bool = True) -> Path:
    """A curve through points (x, y, sharp); it turns a corner at the sharp ones."""
    n = len(points)

    def slope(i: int) -> Point:
        if points[i][2] or (not closed and i in (0, n - 1)):
            return 0.0, 0.0
        before, after = points[(i - 1) % n], points[(i + 1) % n]
        return (after[0] - before[0]) / 6, (after[1] - before[1]) / 6

    path = Path().move(points[0][:2])
    slopes = [slope(i) for i in range(n)]
    for i in range(n if closed else n - 1):
        (ax, ay, _), (bx, by, _) = points[i], points[(i + 1) % n]
        (sax, say), (sbx, sby) = slopes[i], slopes[(i + 1) % n]
        path.curve((ax + sax, ay + say), (bx - sbx, by - sby), (bx, by))
    return path.close() if closed else path


def arc(start: Point, angle: float, length: float, turn: float = 0) -> Curve:
    """The four points of a curve that starts at an angle and turns evenly (negative: clockwise)."""
    end = polar(start, angle + turn / 2, length * (1 - 0.0009 * abs(turn)))
    return start, polar(start, angle, length * 0.36), polar(end, angle + turn, -length * 0.36), end


def stroke(curve: Curve) -> Path:
    """A curve as a line."""
    return Path().move(curve[0]).curve(*curve[1:])


def _sides(p: Point, across: float, half: float) -> tuple[Point, Point]:
    """The two points at a distance from p, on a line in a direction."""
    a = radians(across)
    x, y = half * cos(a), half * sin(a)
    return (p[0] + x, p[1] - y), (p[0] - x, p[1] + y)


def limb(curve: Curve, first: float, last: float) -> Path:
    """A curve as a body that tapers from width `first` to width `last`."""
    a, b, c, d = curve
    n0, n1 = heading(a, b) + 90, heading(c, d) + 90
    mid = heading(b, c) + 90
    m1, m2 = first + (last - first) / 3, first + (last - first) * 2 / 3
    (a1, a2), (b1, b2) = _sides(a, n0, first / 2), _sides(b, (n0 + mid) / 2, m1 / 2)
    (c1, c2), (d1, d2) = _sides(c, mid, m2 / 2), _sides(d, n1, last / 2)
    return Path().move(a1).curve(b1, c1, d1).line(d2).curve(c2, b2, a2).close()


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
    (a1, a2), (b1, b2), (c1, c2) = _sides(a, n0, w * foot), _sides(b, n1, w * 1.5), _sides(c, n2, w * 0.9)
    path = Path().move(a1).curve(b1, c1, d).curve(c2, b2, a2).close()
    return Leaf(path, Path().move(a).curve(b, c, between(c, d, 0.85)) if rib else None, d)


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
    f, w, lean = Frame(base, angle), width / 2, bend * length
    (u1, v1), (u2, v2) = SHAPES[shape]
    v1, v2 = v1 * w, v2 * w
    lean1, lean2 = lean * u1 * u1, lean * u2 * u2
    u1, u2 = u1 * length, u2 * length
    tip = f.at(length, lean)
    path = Path().move(base).curve(f.at(u1, v1 + lean1), f.at(u2, v2 + lean2), tip)
    path.curve(f.at(u2, lean2 - v2), f.at(u1, lean1 - v1), base).close()
    return Leaf(path, _ribs(f, base, length, w, lean, veins) if rib else None, tip)


def _ribs(f: Frame, base: Point, length: float, w: float, lean: float, veins: int) -> Path:
    """The rib of a leaf of half width `w`, and pairs of veins."""
    thirds = [f.at(u * length, lean * u * u) for u in (0.33, 0.66, 0.93)]
    path = Path().move(base).curve(*thirds)
    for i in range(veins):
        u = 0.14 + 0.6 * i / veins
        reach, end = 0.62 * (1 - abs(u - 0.3) * 0.6) * w, u + 0.17
        foot = f.at(u * length, lean * u * u)
        for side in (reach, -reach):
            path.move(foot).line(f.at(end * length, side + lean * end * end))
    return path


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
    return Leaf(polyline([base, *left, tip, *right], closed=True), _ribs(f, base, length, w, 0, veins), tip)


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
    ribs = Path().move(base).line(f.at(length * 0.88))
    if shape in ("canola", "eggplant"):
        return Leaf(outline, ribs, tip)
    corners = [(u, v) for u, v, sharp in half if sharp and hypot(u, v) > 0.5] or [(0.3, 0.42)]
    for u, v in corners[:4]:
        for side in (1, -1):
            ribs.move(base).line(f.at(u * length * 0.84, side * v * length * width * 0.84))
    return Leaf(outline, ribs, tip)

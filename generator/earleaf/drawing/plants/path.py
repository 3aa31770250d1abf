"""Paths of straight and curved pieces, points and boxes. Text and points are made only where they are asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right, bottom

FORMAT = {ord("M"): "M%.1f %.1f", ord("L"): "L%.1f %.1f", ord("C"): "C%.1f %.1f %.1f %.1f %.1f %.1f"}


def number(value: float) -> str:
    """A coordinate with at most one decimal and no trailing zero."""
    return f"{value:.1f}".removesuffix(".0")


def tidy(text: str) -> str:
    """Path text without needless zeros: 'M12.0 4.5' becomes 'M12 4.5'."""
    for after in ' MLCZ"':
        text = text.replace(".0" + after, after)
    return text


def weights(t: float) -> tuple[float, float, float, float]:
    """How much each of its four points counts at a place of a cubic curve."""
    s = 1 - t
    return s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t


SAMPLES = {steps: [weights((i + 1) / steps) for i in range(steps)] for steps in (2, 6)}
"""Where a curve is sampled for its outline: a short one at 2 places, a long one at 6."""


class Path:
    """One path: its verbs (M, L, C, Z as in SVG) and, one after the other, all their coordinates."""

    __slots__ = ("_points", "_scaled", "at", "verbs")

    def __init__(self) -> None:
        self.verbs = ""
        self.at: list[float] = []
        self._points: list[Point] | None = None
        self._scaled: tuple[list[float], Point, float] | None = None

    def move(self, p: Point) -> Path:
        self.verbs += "M"
        self.at += p
        return self

    def line(self, p: Point) -> Path:
        self.verbs += "L"
        self.at += p
        return self

    def curve(self, b: Point, c: Point, d: Point) -> Path:
        self.verbs += "C"
        self.at += b + c + d
        return self

    def close(self) -> Path:
        self.verbs += "Z"
        return self

    @property
    def closed(self) -> bool:
        return self.verbs.endswith("Z")

    @property
    def d(self) -> str:
        """The path as SVG writes it; see `tidy`."""
        return self.verbs.translate(FORMAT) % tuple(self.at)

    @property
    def points(self) -> list[Point]:
        """Points along a finished path, close enough for the layout of labels."""
        if self._points is None:
            if self._scaled is None:
                self._points = self._sampled(self.at)
            else:
                at, about, by = self._scaled
                self._points = _scale(self._sampled(at), about, by)
        return self._points

    def _sampled(self, at: list[float]) -> list[Point]:
        out: list[Point] = []
        values = iter(at)
        x = y = 0.0
        for verb in self.verbs:
            if verb == "Z":
                continue
            ax, ay = x, y
            x, y = next(values), next(values)
            if verb == "M":
                out.append((x, y))
            elif verb == "L":
                steps = max(1, int(hypot(x - ax, y - ay) // 4))
                out += [(ax + (x - ax) * i / steps, ay + (y - ay) * i / steps) for i in range(1, steps + 1)]
            else:
                bx, by, cx, cy, x, y = x, y, next(values), next(values), next(values), next(values)
                shares = SAMPLES[2 if hypot(x - ax, y - ay) < 8 else 6]
                out += [(i * ax + j * bx + k * cx + m * x, i * ay + j * by + k * cy + m * y) for i, j, k, m in shares]
        return out

    def scale(self, about: Point, by: float) -> None:
        """Make it smaller or larger around a point, once. It keeps as many points as it had."""
        x, y = about
        self._scaled, self.at = (self.at, about, by), self.at.copy()
        self.at[::2] = [x + (value - x) * by for value in self.at[::2]]
        self.at[1::2] = [y + (value - y) * by for value in self.at[1::2]]
        if self._points is not None:
            self._points = _scale(self._points, about, by)

    def hull(self) -> Box:
        """A box that surely holds the path: the one around all points that define it."""
        xs, ys = self.at[::2], self.at[1::2]
        return min(xs), min(ys), max(xs), max(ys)

    def share(self, box: Box) -> str:
        """How much of it is in a box: "all", "some" or "" for nothing."""
        if within(self.hull(), box):
            return "all"
        here = len(self.points_in(box))
        return "all" if here == len(self.points) else "some" if here else ""

    def points_in(self, box: Box) -> list[Point]:
        """Its points that are in a box."""
        left, top, right, bottom = box
        return [p for p in self.points if left <= p[0] <= right and top <= p[1] <= bottom]


def _scale(points: list[Point], about: Point, by: float) -> list[Point]:
    x, y = about
    return [(x + (px - x) * by, y + (py - y) * by) for px, py in points]


def within(inner: Box, outer: Box) -> bool:
    """Does one box hold another?"""
    return inner[0] >= outer[0] and inner[1] >= outer[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def box_of(points: Sequence[Point]) -> Box:
    """The box around points."""
    ys = [y for _, y in points]
    return min(points)[0], min(ys), max(points)[0], max(ys)


def union(boxes: Sequence[Box]) -> Box:
    """The box around boxes."""
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def around(paths: Iterable[Path]) -> Box:
    """The box around paths. Only curves that may reach out of it are looked at point by point."""
    xs: list[float] = []
    ys: list[float] = []
    curved: list[Path] = []
    for path in paths:
        at = path.at
        if "C" not in path.verbs:
            xs += at[::2]
            ys += at[1::2]
        else:
            xs.append(at[0])
            ys.append(at[1])
            curved.append(path)
    box = (min(xs), min(ys), max(xs), max(ys))
    for path in curved:
        if not within(path.hull(), box):
            box = union([box, box_of(path.points)])
    return box

"""What is laid over a drawing: hatch lines, the cross on a wrong leaf."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from .geometry import between
from .path import Path, Point

HATCH = 6.0
ARMS = (8.0, 12.0)
"""The least and the greatest reach of a cross."""


def hatch(path: Path, step: float = HATCH) -> Path:
    """Slanting lines that fill an outline."""
    turned = [(x + y, y - x) for x, y in path.points]  # along a slanting line the first value stays the same
    low, high = min(u for u, _ in turned), max(u for u, _ in turned)
    out = Path()
    line = low + step
    while line < high - step / 2:
        at = sorted(
            v0 + (line - u0) / (u1 - u0) * (v1 - v0)
            for (u0, v0), (u1, v1) in zip(turned, turned[1:] + turned[:1], strict=True)
            if (u0 > line) != (u1 > line)
        )
        for v0, v1 in zip(at[::2], at[1::2], strict=False):
            if v1 - v0 > 3:
                a, b = ((line - v) / 2 for v in (v0, v1))
                out.move((a, a + v0)).line((b, b + v1))
        line += step * 1.4
    return out


def length(path: Path) -> float:
    """How long a path is."""
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(path.points, path.points[1:], strict=False))


def centre(paths: Sequence[Path]) -> Point:
    """The middle of a leaf: between its two edges; of a leaf with leaflets, the middle of them all."""
    blades = [path for path in paths if path.closed]
    if len(blades) == 1:
        points = blades[0].points
        return between(points[len(points) // 4], points[len(points) * 3 // 4], 0.5)
    if not blades:
        points = max(paths, key=length).points
        return points[len(points) // 2]
    xs, ys = [x for path in blades for x, _ in path.points], [y for path in blades for _, y in path.points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def cross(paths: Sequence[Path]) -> tuple[Path, Path]:
    """Two strokes over the middle of a leaf, shorter on a small one so that the leaf stays in sight."""
    x, y = centre(paths)
    xs, ys = [x for path in paths for x, _ in path.points], [y for path in paths for _, y in path.points]
    arm = min(max(ARMS[0], 0.26 * max(max(xs) - min(xs), max(ys) - min(ys))), ARMS[1])
    return (
        Path().move((x - arm, y - arm)).line((x + arm, y + arm)),
        Path().move((x + arm, y - arm)).line((x - arm, y + arm)),
    )

"""Tree leaves made of leaflet pairs and one end leaflet: pecan and walnut."""

from __future__ import annotations

from dataclasses import dataclass

from .aim import Aim
from .geometry import Leaf, arc, cubic, heading, limb, polar, simple, stroke
from .path import Point
from .picture import Picture


@dataclass(frozen=True)
class Kind:
    """How many leaflets, and their shape."""

    pairs: int
    size: float
    wide: float
    shape: str = "lance"
    bend: float = 0.0


KINDS: dict[str, Kind] = {
    "pecan": Kind(pairs=5, size=40, wide=0.3, bend=0.16),
    "walnut": Kind(pairs=3, size=42, wide=0.5, shape="oval"),
    "black-walnut": Kind(pairs=6, size=36, wide=0.32),
}
TARGETS = ("middle-pair", "end-leaflet", "centre-leaflet", "leaf", "new", "mid", "blade", "petiole")
LARGE = 2
"""The place of the leaf in the middle of the shoot."""


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the base of the shoot."""
    return Aim((LARGE,), young=4, old=0)


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """One leaf drawn large in the middle of a new shoot; the others small."""
    kind = KINDS[form]
    p.add("wood", limb(((6.0, 252.0), (24.0, 246.0), (40.0, 250.0), (78.0, 240.0)), 14, 11))
    shoot = arc((40, 246), 96, 214, -8)
    p.add("stem", limb(shoot, 8, 3))
    small = {0: (0.16, 30, 62, 1), 1: (0.3, 164, 34, -1), 3: (0.64, 150, 34, -1), 4: (0.8, 52, 60, 1)}
    small[5] = (0.92, 124, 30, -1)
    for i in p.order(small):
        t, angle, length, side = small[i]
        curve = arc(cubic(*shoot, t), angle, length, -20.0 * side)
        here = "leaf" if p.turn(i) else ""
        _leaf(p, kind, curve, 0.42 if side > 0 else 0.32, "old" if t < 0.3 else "leaf", here)
        p.turn()
    for turn in (26, -20, 4):
        p.leaf(simple(shoot[3], 88 + turn, 18, 5, "lance"), "young", mark="young")
    dark = target if p.turn(LARGE) else ""
    _leaf(p, kind, arc(cubic(*shoot, 0.46), 34, 112, -34), 1.0, "leaf", dark)
    p.turn()
    p.whole = target in ("middle-pair", "end-leaflet", "centre-leaflet")


def _leaf(
    p: Picture, kind: Kind, curve: tuple[Point, Point, Point, Point], size: float, role: str, target: str
) -> None:
    """The stalk, the pairs, the end leaflet; what the target names goes on last and dark."""
    all_dark = target in ("leaf", "new", "mid")
    p.stalk(stroke(curve), target=all_dark or target == "petiole")
    dark: list[tuple[Point, float, float, float]] = []
    middle = kind.pairs // 2
    n = kind.pairs
    for k in range(n):
        t = 0.24 + 0.66 * k / max(1, n - 1) - (0.05 if n < 4 else 0)
        at = cubic(*curve, t)
        along = heading(cubic(*curve, t - 0.06), at)
        long = kind.size * size * (0.82 + 0.18 * min(1.0, k / max(1, n - 2)))
        for side in (1, -1):
            spec = (at, along + side * (62 - 3 * k), long, -kind.bend * side)
            taken = (
                all_dark
                or target == "blade"
                or (k == middle and target == "middle-pair")
                or (k == middle and side < 0 and target == "centre-leaflet")
            )
            if taken:
                dark.append(spec)
            else:
                p.leaf(_leaflet(kind, spec, 0, size), role)
    end = curve[3]
    spec = (end, heading(curve[2], end), kind.size * size * (1.1 if kind.pairs < 4 else 0.9), 0.0)
    if all_dark or target in ("end-leaflet", "blade"):
        dark.append(spec)
    else:
        p.leaf(_leaflet(kind, spec, 0, size), role)
    for spec in dark:
        p.leaf(_leaflet(kind, spec, 5, size), "target")


def _leaflet(kind: Kind, spec: tuple[Point, float, float, float], veins: int, size: float) -> Leaf:
    at, angle, long, bend = spec
    start = polar(at, angle, 2.5 * size)
    return simple(start, angle, long, long * kind.wide, kind.shape, bend=bend, veins=veins, rib=size > 0.5)

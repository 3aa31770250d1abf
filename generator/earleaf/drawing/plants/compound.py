"""Stems with compound leaves: potato and tomato. The stalk of the leaf carries pairs of leaflets and one at its end."""

from __future__ import annotations

from dataclasses import dataclass

from .aim import NOTHING, Aim, from_tip
from .geometry import Leaf, arc, cubic, heading, polar, polyline, simple, stem, stroke, toothed
from .path import Point
from .picture import Picture

X = 100.0
GROUND = 240.0


@dataclass(frozen=True)
class Kind:
    """What makes one plant look like itself."""

    toothed: bool
    length: float = 62
    pairs: int = 3
    nodes: int = 6
    place: int = 4


KINDS: dict[str, Kind] = {
    "potato": Kind(toothed=False),
    "tomato": Kind(toothed=True, length=62),
}
PARTS = ("leaf", "blade", "petiole", "parted", "third", "cluster-leaf", "leaflet")
STRIPPED = 6
"""How many leaves down from the tip the stem is cut."""


def nodes(kind: Kind, target: str) -> int:
    """Leaves on the stem."""
    return STRIPPED + 1 if target == "upper-stem" else kind.nodes


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the ground."""
    kind = KINDS[form]
    n = nodes(kind, target)
    if target == "third":
        return from_tip(n, 3, young=1, old=5, count=3)
    if target == "upper-stem":
        return Aim(counted=tuple(n - k for k in range(1, STRIPPED + 1)))
    return from_tip(n, kind.place, young=kind.place - 2, old=kind.place + 2) if target in PARTS else NOTHING


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one plant at a stage: leafy, bloom or fruit."""
    kind = KINDS[form]
    p.ground(GROUND)
    n, top = nodes(kind, target), 52.0
    ys = [GROUND - 30 - (GROUND - 32 - top) * (i / (n - 1)) ** 0.88 for i in range(n)]
    p.add("stem", stem((X, GROUND), (X, top - 2), 7.5, 3.2))
    if form == "potato" and stage != "young":
        _tubers(p, stage)
    for i in p.order(range(n)):
        if stage in ("bloom", "fruit") and form == "tomato" and i in (n - 4, n - 5):
            _truss(p, (X, ys[i] - 7), -_side(i), stage if i == n - 5 else "bloom")
        _node(p, kind, i, n, ys[i], target if p.turn(i) else "")
        p.turn()
    if form == "potato" and stage in ("bloom", "fruit"):
        _truss(p, (X, top + 3), -1, "bloom", up=True)
    if target == "whole":
        p.band(0, GROUND - 5)
        p.cut(GROUND - 5, 64, 136)
        p.whole = True
    elif target == "upper-stem":
        low = ys[n - STRIPPED]
        p.add("target", stem((X, low), (X, top + 4), 6.8, 4))
        for k in range(9):
            y = low - 7 - k * (low - top - 18) / 8
            p.add("target-rib", polyline([(X - 2.4, y + 2.4), (X + 2.4, y - 2.4)]))
        p.cut(low + 3, X - 26, X + 26)


def _side(i: int) -> int:
    return 1 if i % 2 else -1


def _node(p: Picture, kind: Kind, i: int, n: int, y: float, target: str) -> None:
    """The leaf at node i. Newer leaves near the tip are small and stand up."""
    side, back = _side(i), n - i
    size = {1: 0.34, 2: 0.56, 3: 0.82}.get(back, 1.0 if i > 1 else 0.86) * (1.06 if i in p.aim.right else 1)
    angle = {1: 78.0, 2: 62.0, 3: 44.0}.get(back, 20.0 + 4 * i)
    role = "target" if target and target != "petiole" else "young" if back <= 2 else "old" if i == 0 else "leaf"
    curve = arc((X + side * 2, y), angle if side > 0 else 180 - angle, kind.length * size, -38.0 * side)
    leaf_of(p, kind, curve, size, role, target, side, mark="young" if back == 1 else "")
    p.number(i, polar(curve[3], heading(curve[2], curve[3]), 27 * size))


def leaf_of(
    p: Picture,
    kind: Kind,
    curve: tuple[Point, Point, Point, Point],
    size: float,
    role: str,
    target: str,
    side: int,
    mark: str = "",
) -> None:
    """The stalk, then the leaflets in pairs, the largest at the end."""
    line = target in ("leaf", "petiole", "parted", "third", "cluster-leaf")
    if target != "petiole":
        p.stalk(stroke(curve), target=line)
    fill = "leaf" if target == "petiole" else role
    veins = 2 if fill == "target" else 0
    faded = target == "petiole"
    for k in range(kind.pairs):
        t = 0.36 + 0.22 * k
        at = cubic(*curve, t)
        along = heading(cubic(*curve, t - 0.05), at)
        long = (18 + 3 * k) * size
        for turn in (64, -64):
            out = polar(at, along + turn, 5 * size) if not faded else polar(at, along + turn, 6 * size)
            p.add("target-line" if line and not faded and role == "target" else "stalk", polyline([at, out]))
            p.leaf(_leaflet(kind, out, along + turn * 0.9, long, veins), fill, mark)
        if k and size > 0.7 and p.marked and role != "target" and not kind.toothed:
            between = cubic(*curve, t - 0.11)
            for turn in (70, -70):
                p.leaf(simple(between, along + turn, 8 * size, 6 * size, rib=False), fill)
    end = curve[3]
    p.leaf(_leaflet(kind, end, heading(curve[2], end), 27 * size, veins), fill, mark)
    if faded:
        p.stalk(stroke(curve), target=True)


def _leaflet(kind: Kind, at: Point, angle: float, length: float, veins: int) -> Leaf:
    if kind.toothed and length > 15:
        return toothed(at, angle, length, length * 0.66, teeth=3, depth=0.12, veins=veins)
    return simple(at, angle, length, length * (0.6 if kind.toothed else 0.64), veins=veins)


def _truss(p: Picture, at: Point, side: int, stage: str, up: bool = False) -> None:
    """A cluster of flowers, or of round fruit."""
    curve = arc(at, (60 if up else 10) if side > 0 else (120 if up else 170), 30, (-20.0 if up else -40.0) * side)
    p.add("stalk", stroke(curve))
    for k in range(3):
        where = cubic(*curve, 0.4 + 0.3 * k)
        if stage == "fruit":
            spot = (where[0], where[1] + 3)
            p.add("flower", simple(spot, -90, 17 - 2 * k, 18 - 2 * k, "round", rib=False).outline)
            continue
        spot = polar(where, 70 if up else -80, 5)
        for j in range(5):
            p.add("flower", simple(spot, 90 + 72 * j, 6.5, 4.4, "lance", rib=False).outline)


def _tubers(p: Picture, stage: str) -> None:
    """New tubers under the soil line."""
    for dx, size in ((-34, 1.0), (28, 0.8)):
        p.add("hair", polyline([(X, GROUND + 2), (X + dx * 0.7, GROUND + 9)]))
        p.add("flower", simple((X + dx - 9 * size, GROUND + 11), 4, 19 * size, 11 * size, "oval", rib=False).outline)

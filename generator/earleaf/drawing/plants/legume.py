"""Beans and their kin: soybean, dry and snap bean, peanut, pea. Leaves alternate on the stem."""

from __future__ import annotations

from dataclasses import dataclass

from .aim import NOTHING, Aim
from .geometry import arc, between, heading, limb, polar, polyline, simple, stem, stroke
from .path import Path, Point
from .picture import Picture

X = 100.0


@dataclass(frozen=True)
class Kind:
    """What makes one legume look like itself."""

    leaflet: float = 30
    wide: float = 0.62
    shape: str = "ovate"
    leaf: str = "three"  # three leaflets, four (peanut), or pairs with a tendril (pea)
    nodes: int = 8
    pod: float = 22


KINDS: dict[str, Kind] = {
    "soybean": Kind(),
    "bean": Kind(leaflet=32, wide=0.76, nodes=7, pod=34),
    "peanut": Kind(leaflet=23, wide=0.6, shape="obovate", leaf="four", nodes=6),
    "pea": Kind(leaflet=21, wide=0.62, shape="oval", leaf="pairs", nodes=7, pod=28),
}
GROUND = 240.0
PARTS = ("leaf", "blade", "petiole", "parted", "leaflet")


def nodes(kind: Kind, stage: str) -> int:
    """Leaves on the main stem, the folded one at the tip counted."""
    return 4 if stage == "young" else kind.nodes


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the ground. The last is folded, the one before it small and pale, the next is the right one."""
    if target not in PARTS:
        return NOTHING
    n = nodes(KINDS[form], stage)
    right = max(n - 3, 1)
    return Aim((right,), young=right + 1, old=max(right - 2, 0))


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one of these legumes at a stage: young, leafy, bloom or pods."""
    kind = KINDS[form]
    p.ground(GROUND)
    young = stage == "young"
    n = nodes(kind, stage)
    foot, top = GROUND, 92.0 if young else 112.0 if form == "peanut" else 46.0
    ys = [foot - 44 - (foot - 48 - top) * (i / (n - 1)) ** 0.92 for i in range(n)]
    if form == "peanut":
        _runners(p, kind, target)
    p.add("stem", stem((X, foot), (X, top - 4), 5.2 if not young else 4.4, 2.6))
    _lowest(p, form, foot)
    for i in range(n):
        if i not in p.marked:
            role = "young" if i >= n - 2 else "old" if i == 0 and not young else "leaf"
            _node_leaf(p, kind, i, n, ys[i], role, "")
    if form == "pea":
        for i in range(n - 1):
            for side in (1, -1):
                p.leaf(simple((X, ys[i]), 38 if side > 0 else 142, 15, 11, "heart"), "leaf")
    if stage in ("bloom", "pods", "pegs"):
        for i in range(1, n - 1):
            if i not in p.marked:
                _fruit(p, kind, form, stage, (X, ys[i]), -_side(i), i)
    for i in p.marked:
        p.turn(i)
        _node_leaf(p, kind, i, n, ys[i], "target", target)
    p.turn()
    if target == "whole":
        p.band(0, GROUND - 5)
        p.cut(GROUND - 5, 64, 136)
        p.whole = True
    elif target == "all-leaves":
        p.band(0, GROUND - 12, roles=("leaf", "old", "young"))
        p.whole = True
    elif target == "top":
        p.add("target", stem((X, ys[-2] + 6), (X, top - 4), 3.4, 2.6))
        for i in (n - 2, n - 1):
            _node_leaf(p, kind, i, n, ys[i], "target", "leaf")
        p.cut(ys[-2] + 7, X - 22, X + 22)
        p.whole = True


def _side(i: int) -> int:
    return 1 if i % 2 else -1


def _node_leaf(p: Picture, kind: Kind, i: int, n: int, y: float, role: str, part: str) -> None:
    """The leaf of node i of n. The top one is still folded and pale."""
    side, t = _side(i), i / (n - 1)
    if i == n - 1:
        _folded(p, (X, y), kind, role)
        return
    size = (0.72 if i == n - 2 else 1.0) * (0.92 if t < 0.2 else 1.0) * (1.12 if i in p.aim.right else 1.0)
    length = (40 if n > 4 else 34) * (0.62 if i == n - 2 else 1.0)
    angle = 22 + 26 * t if n > 4 else 26 + 20 * t
    at = angle if side > 0 else 180 - angle
    curve = arc((X + side * 1.6, y), at, length, -18.0 * side)
    dark = part in ("leaf", "petiole", "parted")
    p.stalk(stroke(curve), target=role == "target" and dark)
    end = curve[3]
    if part == "parted":
        end = polar(end, heading(curve[2], curve[3]), 8)
    fill = "leaf" if part in ("petiole", "leaflet") else role
    ahead, long = heading(curve[2], curve[3]), kind.leaflet * size
    leaf_of(p, kind, end, ahead, long, fill, side)
    if part == "leaflet":  # one of them is taken
        pairs = kind.leaf == "pairs"
        foot = polar(end, ahead, long * (0.8 if pairs else 0.22))
        way = ahead + (64 * side if pairs else 0)
        p.leaf(simple(foot, way, long * 0.95, long * kind.wide, kind.shape, veins=4), role)


def leaf_of(p: Picture, kind: Kind, at: Point, angle: float, size: float, role: str, side: int) -> None:
    """The leaflets of one leaf, from the end of its stalk."""
    veins = 4 if role == "target" else 0
    wide = size * kind.wide
    line = "target-line" if role == "target" else "stalk"
    if kind.leaf == "three":
        end = polar(at, angle, size * 0.22)
        p.add(line, polyline([at, end]))
        for turn in (78, -78):
            p.leaf(
                simple(at, angle + turn, size * 0.92, wide, kind.shape, bend=0.1 if turn < 0 else -0.1, veins=veins),
                role,
            )
        p.leaf(simple(end, angle, size * 1.05, wide * 1.05, kind.shape, veins=veins), role)
    elif kind.leaf == "four":
        end = polar(at, angle, size * 0.5)
        p.add(line, polyline([at, end]))
        for where, turns in ((at, (74, -74)), (end, (36, -36))):
            for turn in turns:
                p.leaf(simple(where, angle + turn, size, wide, kind.shape, veins=veins), role)
    else:
        end = polar(at, angle, size * 0.8)
        p.add("stalk", polyline([at, end]))
        for k, where in enumerate((at, end)):
            for turn in (64, -64):
                p.leaf(simple(where, angle + turn, size * (1 - 0.1 * k), wide, kind.shape, veins=veins), role)
        for turn in (30, -26, 2):
            p.add("hair", stroke(arc(end, angle + turn * 0.6, size * 0.9, turn * 4)))


def _folded(p: Picture, at: Point, kind: Kind, role: str) -> None:
    """The newest leaf: small, pale, leaflets still folded together."""
    tip = polar(at, 90, 13)
    p.stalk(polyline([at, tip]), target=role == "target")
    for angle in (112, 68, 90):
        p.leaf(
            simple(tip, angle, kind.leaflet * 0.62, kind.leaflet * 0.2, "lance"),
            role,
            mark="young" if role == "young" else "",
        )


def _lowest(p: Picture, form: str, foot: float) -> None:
    """The pair of single leaves that came first."""
    if form in ("peanut", "pea"):
        return
    for side in (1, -1):
        base = (X + side * 2.0, foot - 26)
        end = polar(base, 22 if side > 0 else 158, 9)
        p.stalk(polyline([base, end]))
        p.leaf(simple(end, -6 if side > 0 else 186, 24, 17, "heart"), "old")


def _runners(p: Picture, kind: Kind, target: str) -> None:
    """Side branches of a peanut, lying near the soil."""
    for side in (1, -1):
        curve = arc((X, GROUND - 8), 34 if side > 0 else 146, 70, -34.0 * side)
        p.stalk(stroke(curve))
        for k, t in enumerate((0.55, 1.0)):
            where = between(between(curve[0], curve[1], t), between(curve[2], curve[3], t), t)
            end = polar(where, 66 if side > 0 else 114, 12)
            p.stalk(polyline([where, end]))
            leaf_of(p, kind, end, 66 + 8 * k if side > 0 else 114 - 8 * k, kind.leaflet * 0.78, "leaf", side)


def _fruit(p: Picture, kind: Kind, form: str, stage: str, at: Point, side: int, i: int) -> None:
    """Flowers in the leaf angles; pods on beans; pegs that grow down on peanut."""
    if form == "peanut" and stage == "pegs":
        if i < 4:
            curve = arc(at, -20 if side > 0 else 200, GROUND + 4 - at[1], -64.0 * side)
            p.add("hair", stroke(curve))
            p.add("flower", limb((curve[3], curve[3], polar(curve[3], -88, 5), polar(curve[3], -88, 9)), 2, 3.5))
        return
    if stage == "pods" and kind.leaf != "four":
        for k in range(2 if form == "soybean" else 1):
            angle = -58 + 34 * k if side > 0 else 238 - 34 * k
            p.add("flower", _pod(at, angle, kind.pod * (1 - 0.12 * k), side))
        return
    for k in range(3):
        turn = 24 + 34 * k
        where = polar(at, turn if side > 0 else 180 - turn, 7)
        p.add("hair", polyline([at, where]))
        for spread in (-38, 38):
            p.add(
                "flower", simple(where, (turn if side > 0 else 180 - turn) + spread, 7.5, 6, "oval", rib=False).outline
            )


def _pod(at: Point, angle: float, length: float, side: int) -> Path:
    start = polar(at, angle, 3)
    return simple(start, angle, length, 7, "oval", bend=0.14 * side, rib=False).outline

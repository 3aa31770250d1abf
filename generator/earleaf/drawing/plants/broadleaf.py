"""Plants with one main stem and single leaves: cotton, sunflower, tobacco, pepper and the plain fallback."""

from __future__ import annotations

from dataclasses import dataclass

from .aim import NOTHING, Aim, from_tip
from .geometry import Leaf, arc, heading, lobed, polar, polyline, simple, stem, stroke
from .path import Path, Point
from .picture import Picture

X = 100.0
GROUND = 240.0


@dataclass(frozen=True)
class Kind:
    """What makes one plant look like itself."""

    leaf: str = "ovate"
    size: float = 54
    wide: float = 0.6
    petiole: float = 24
    nodes: int = 8
    whole: bool = True  # drawn down to the soil; otherwise only the upper part of the stem
    droop: float = 30
    place: int = 3  # the newest full-grown leaf, counted from the tip


KINDS: dict[str, Kind] = {
    "broadleaf": Kind(),
    "cotton": Kind(leaf="cotton", size=40, petiole=28, nodes=8, place=4),
    "sunflower": Kind(leaf="heart", size=42, wide=0.86, petiole=16, nodes=9, place=4),
    "tobacco": Kind(leaf="lance", size=66, wide=0.5, petiole=4, nodes=8, droop=56),
    "canola": Kind(leaf="lance", size=54, wide=0.46, petiole=5, nodes=8),
    "pepper": Kind(leaf="ovate", size=50, wide=0.56, petiole=19, nodes=7),
    "eggplant": Kind(leaf="eggplant", size=50, petiole=26, nodes=6),
    "cassava": Kind(leaf="fingers", size=38, petiole=34, nodes=7, place=4, droop=14),
}
FRUITING = ("cotton", "pepper", "eggplant", "broadleaf")
PARTS = ("leaf", "blade", "petiole", "parted")
# Counted from the tip: right, too young, too old, as good, how far the numbers go.
PLACES = {
    "third": (3, 1, 5, 0, 3),
    "fourth": (4, 1, 6, 0, 4),
    "fifth": (5, 2, 8, 6, 6),
    "youngest-open": (2, 1, 5, 0, 0),
}


def nodes(kind: Kind, stage: str) -> int:
    """Leaves on the stem."""
    return 5 if stage == "young" else kind.nodes


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the ground."""
    kind = KINDS[form]
    n = nodes(kind, stage)
    if target in PARTS:
        return from_tip(n, kind.place, young=kind.place - 2, old=kind.place + 2)
    if target in PLACES:
        place, young, old, either, count = PLACES[target]
        return from_tip(n, place, young=young, old=old, either=either, count=count)
    if target == "harvest":
        return Aim((1,), young=n - 2, old=0)
    return Aim((n - 3, n - 2)) if target == "upper-leaves" else NOTHING


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one plant at a stage: young, leafy, bloom or fruit."""
    kind = KINDS[form]
    p.ground(GROUND)
    young = stage == "young"
    headed = form in ("sunflower", "canola") and stage in ("bloom", "fruit")
    n = nodes(kind, stage)
    top = 120.0 if young else 62.0 if headed else 42.0
    foot = 46 if young and form == "tobacco" else 34
    ys = [GROUND - foot - (GROUND - 36 - top) * (i / (n - 1)) ** 0.9 for i in range(n)]
    p.add("stem", stem((X, GROUND), (X, top - (8 if headed else 2)), 7 if not young else 5, 3))
    for i in p.order(range(n)):
        _node(p, kind, form, i, n, ys[i], target if p.turn(i) else "", headed)
        p.turn()
        if stage in ("square", "bloom", "fruit") and form in FRUITING and 0 < i < n - 2:
            _fruit(p, form, stage, (X, ys[i]), -_side(i), i)
    if headed:
        _head(p, form, top - 8, stage)
    if target == "whole":
        p.band(0, GROUND - 5)
        p.cut(GROUND - 5, 64, 136)
        p.whole = True
    elif target == "all-leaves":
        p.band(0, GROUND - 10, roles=("leaf", "old", "young"))
        p.whole = True


def _side(i: int) -> int:
    return 1 if i % 2 else -1


def make_leaf(kind: Kind, at: Point, angle: float, size: float, veins: int) -> list[Leaf]:
    """The blade of one leaf: one piece, or the fingers of a hand."""
    if kind.leaf == "fingers":
        return [
            simple(at, angle + turn, size * (1 - abs(turn) / 330), size * 0.27, "lance")
            for turn in (112, -112, 76, -76, 38, -38, 0)
        ]
    if kind.leaf in ("cotton", "eggplant"):
        return [lobed(at, angle, size, kind.leaf)]
    return [simple(at, angle, size, size * kind.wide, kind.leaf, veins=veins)]


def _node(p: Picture, kind: Kind, form: str, i: int, n: int, y: float, target: str, headed: bool) -> None:
    """One leaf on its stalk. Leaves near the tip are small and pale."""
    side, back = _side(i), n - i
    size = {1: 0.42, 2: 0.66, 3: 0.86}.get(back, 1.0 if i else 0.86)
    if back == kind.place:
        size = 1.0
    if headed:
        size = {1: 0.5, 2: 0.66, 3: 0.8}.get(back, 1.0)
    if target and i in p.aim.right:
        size *= 1.08
    angle = 30 + 34 * (i / (n - 1)) if back > 1 else 70
    reach = kind.petiole * (size if back > 2 else size * 0.8)
    curve = arc((X + side * 1.8, y), angle if side > 0 else 180 - angle, reach, -14.0 * side)
    p.stalk(
        stroke(curve),
        target=target
        in ("leaf", "petiole", "parted", "third", "fourth", "fifth", "youngest-open", "harvest", "upper-leaves"),
    )
    end, along = curve[3], heading(curve[2], curve[3])
    if target == "parted":
        end = polar(end, along, 9)
    role = (
        "target"
        if target and target != "petiole"
        else "young"
        if back <= 2 and not headed
        else "old"
        if i == 0
        else "leaf"
    )
    tip = end
    for leaf in make_leaf(
        kind, end, along - kind.droop * side * (1 if back > 1 else 0.3), kind.size * size, 5 if role == "target" else 0
    ):
        p.leaf(leaf, role, mark="young" if back == 1 and not headed else "")
        tip = leaf.tip
    p.number(i, tip)


def petal(at: Point, angle: float, length: float, width: float) -> Path:
    """One petal."""
    return simple(at, angle, length, width, "obovate", rib=False).outline


def round_fruit(at: Point, angle: float, length: float, width: float) -> Path:
    """A fruit that hangs or stands at an angle."""
    return simple(at, angle, length, width, "oval", rib=False).outline


def _fruit(p: Picture, form: str, stage: str, at: Point, side: int, i: int) -> None:
    """Squares, flowers and bolls on short fruiting branches; hanging fruit on pepper and eggplant."""
    if form == "cotton":
        end = polar(at, 26 if side > 0 else 154, 20)
        p.add("hair", polyline([at, end]))
        if stage == "fruit" and i < 4:
            p.add("flower", round_fruit(end, 84 if side > 0 else 96, 15, 14))
        elif i == 3 and stage != "square":
            for turn in (-56, -28, 0, 28, 56):
                p.add("flower", petal(end, 80 + turn, 15, 11))
        for turn in (-34, 34, 0):
            p.add("leaf", simple(end, 88 + turn, 9, 7, "heart", rib=False).outline)
        return
    end = polar(at, 14 if side > 0 else 166, 12)
    p.add("hair", stroke(arc(at, 30 if side > 0 else 150, 13, -60.0 * side)))
    if stage == "fruit" and i < 4 and form in ("pepper", "eggplant"):
        p.add("flower", round_fruit(end, -88, 30 if form == "eggplant" else 24, 17 if form == "eggplant" else 14))
    elif stage == "bloom":
        for j in range(5):
            p.add("flower", petal(end, 90 + 72 * j, 7, 5.4))


def _head(p: Picture, form: str, y: float, stage: str) -> None:
    if form == "sunflower":
        at = (X, y - 6)
        for j in range(18):
            p.add("flower", simple(polar(at, 20 * j, 13), 20 * j, 15, 7, "lance", rib=False).outline)
        for r, size in ((15.0, 1.0), (8.5, 0.6)):
            p.add("old" if size == 1.0 else "flower", round_fruit((X, at[1] + r), 90, 2 * r, 2.06 * r))
        return
    p.add("stem", stem((X, y + 6), (X, y - 36), 3, 1.6))
    for k in range(7):  # pods low, flowers and buds at the top
        for side in (1, -1):
            at = (X, y - 5 * k - (2 if side > 0 else 0))
            end = polar(at, 90 - side * 62, 10)
            p.add("hair", polyline([at, end]))
            if k < 3:
                p.add("flower", simple(end, 90 - side * 40, 15, 3, "lance", rib=False).outline)
            else:
                for j in range(4):
                    p.add("flower", petal(end, 45 + 90 * j, 5, 4.4))
    for turn in (-30, 0, 30):
        p.add("flower", round_fruit((X, y - 36), 90 + turn, 7, 4))

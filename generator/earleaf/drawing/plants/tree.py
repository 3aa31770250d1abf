"""New shoots of trees and bushes with single leaves; short spurs; a nut with its hull."""

from __future__ import annotations

from dataclasses import dataclass

from .aim import NOTHING, Aim, from_tip
from .geometry import Leaf, arc, cubic, limb, lobed, polar, polyline, simple, stroke, toothed
from .path import Point
from .picture import Picture


@dataclass(frozen=True)
class Kind:
    """What makes one shoot look like itself."""

    shape: str = "ovate"
    size: float = 42
    wide: float = 0.54
    teeth: bool = False
    petiole: float = 12
    count: int = 11
    opposite: bool = False
    fruit: str = ""


KINDS: dict[str, Kind] = {
    "tree": Kind(),
    "apple": Kind(teeth=True),
    "pear": Kind(wide=0.6, petiole=18),
    "cherry": Kind(shape="oval", size=46, wide=0.44, teeth=True, petiole=13),
    "plum": Kind(shape="oval", size=38, wide=0.5, teeth=True, petiole=8),
    "peach": Kind(shape="lance", size=52, wide=0.28, petiole=5, count=13),
    "almond": Kind(shape="lance", size=44, wide=0.28, petiole=9, count=13, fruit="nut"),
    "apricot": Kind(shape="heart", size=33, wide=0.92, petiole=15),
    "olive": Kind(shape="lance", size=38, wide=0.22, petiole=3, count=9, opposite=True),
    "citrus": Kind(shape="oval", size=42, wide=0.48, petiole=8),
    "avocado": Kind(shape="oval", size=48, wide=0.46, petiole=12, count=10),
    "mango": Kind(shape="lance", size=60, wide=0.24, petiole=8, count=12),
    "guava": Kind(shape="oval", size=42, wide=0.48, petiole=4, count=6, opposite=True),
    "coffee": Kind(shape="ovate", size=50, wide=0.4, petiole=4, count=6, opposite=True, fruit="pinhead"),
    "pomegranate": Kind(shape="lance", size=38, wide=0.3, petiole=4, count=12),
    "sapota": Kind(shape="oval", size=42, wide=0.4, petiole=8, count=13),
    "kiwifruit": Kind(shape="heart", size=36, wide=1.05, petiole=22, count=9),
    "blueberry": Kind(shape="oval", size=36, wide=0.5, petiole=2, count=11, fruit="berries"),
    "blackcurrant": Kind(shape="currant", size=36, petiole=20, count=9),
    "hazelnut": Kind(shape="round", size=38, wide=0.86, teeth=True, petiole=8, count=9),
}
FROM_TIP = {
    "third": 3,
    "third-pair": 3,
    "third-pair-only": 3,
    "eighth": 8,
    "tenth": 10,
    "leaf": 4,
    "blade": 4,
    "petiole": 4,
    "parted": 4,
    "new": 5,
    "youngest-open": 2,
}
COUNTED = {"third": 3, "third-pair": 4, "third-pair-only": 3, "eighth": 8, "tenth": 10}
LAST_YEAR = -1
"""The place of a leaf on last year's wood."""
BEARING, BARREN, LONG = 0, 1, 2
"""Places on an almond branch: a spur with a nut, a spur without one, the long new shoot."""


def nodes(kind: Kind, target: str) -> int:
    """Leaves (or pairs) of the shoot: enough to count them."""
    return max(kind.count, COUNTED.get(target, 0) + 2)


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the base of the shoot."""
    n = nodes(KINDS[form], target)
    if target == "spur":
        return Aim((BARREN,), young=LONG, other=BEARING)
    if target in ("spring-flush", "flush"):
        return Aim((n // 2 - (target == "spring-flush"),), young=n - 2, old=LAST_YEAR)
    if target in FROM_TIP:
        place = FROM_TIP[target]
        either = 4 if target == "third-pair" else 0
        return from_tip(n, place, young=2 if place > 4 else 1, old=n, either=either, count=COUNTED.get(target, 0))
    if target in ("mid", "base"):
        right = n // 2 if target == "mid" else 1
        return Aim((right,), young=n - 1, old=0 if right > 1 else None)
    return NOTHING


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw a shoot at a stage: shoot, young (soft tip), fruit; or a spur or a nut where the target is one."""
    kind = KINDS[form]
    if target == "spur":
        _spurs(p, kind)
    elif target == "hull":
        _nut(p)
    else:
        _shoot(p, kind, stage, target)


def make_leaf(kind: Kind, at: Point, angle: float, size: float, veins: int) -> Leaf:
    """One blade of this kind."""
    if kind.shape == "currant":
        return lobed(at, angle, size, kind.shape)
    if kind.teeth:
        return toothed(at, angle, size, size * kind.wide, kind.shape, teeth=8, depth=0.05, veins=veins)
    return simple(at, angle, size, size * kind.wide, kind.shape, veins=veins)


def _shoot(p: Picture, kind: Kind, stage: str, target: str) -> None:
    """This year's shoot on last year's wood; leaves small and pale at the tip."""
    p.add("wood", limb(((20.0, 252.0), (60.0, 240.0), (120.0, 250.0), (184.0, 226.0)), 15, 11))
    curve = arc((98, 240), 94, 206, -8)
    n = nodes(kind, target)
    flush = target in ("spring-flush", "flush")
    p.add("stem", limb(curve, 7, 2.4))
    for ring in (0.01, 0.025):  # the scars where this year's growth began
        at = cubic(*curve, ring)
        p.add("hair", polyline([(at[0] - 4.6, at[1]), (at[0] + 4.6, at[1])]))
    if kind.fruit == "berries":
        _berries(p, (120.0, 238.0))
    if flush:
        _last_year(p, kind)
    for i in p.order(range(n)):
        here = target if p.turn(i) else ""
        for side in (1, -1) if kind.opposite else (1 if i % 2 else -1,):
            _leaf(p, kind, curve, i, n, side, here, flush)
        p.turn()
        if kind.fruit == "pinhead" and stage == "fruit" and 0 < i < n - 2:
            for side in (-1, 1):
                at = cubic(*curve, 0.1 + 0.86 * i / (n - 1))
                p.add("flower", simple((at[0] + side * 2, at[1] - 4), 90 - side * 70, 6, 6, "round", rib=False).outline)
    tip = curve[3]
    if stage == "young" or flush or target in FROM_TIP or stage == "fruit":
        for turn in (24, -24, 0):
            p.leaf(simple(tip, 86 + turn, 14, 4, "lance"), "young", mark="young")
    else:  # growth has stopped: a firm end bud
        p.add("wood", simple((tip[0], tip[1] + 2), 87, 9, 6, "ovate", rib=False).outline)
    if target in ("top", "upright", "whole"):
        y = cubic(*curve, 0.04)[1]
        p.band(0, y)
        p.cut(y, 70, 130)
        p.whole = True


def _leaf(
    p: Picture,
    kind: Kind,
    curve: tuple[Point, Point, Point, Point],
    i: int,
    n: int,
    side: int,
    target: str,
    flush: bool,
) -> None:
    t = i / (n - 1)
    at = cubic(*curve, 0.1 + 0.86 * t)
    size = 0.78 + 0.22 * min(1.0, t * 3) if t < 0.4 else 1 - 0.62 * max(0.0, t - 0.55) / 0.45
    if i in p.aim.right + p.aim.either:
        size = max(size, 0.9) * 1.08
    angle = 24 + 40 * t
    along = angle if side > 0 else 180 - angle
    reach = kind.petiole * size
    end = polar(at, along, reach + 2)
    p.stalk(polyline([at, end]), target=bool(target) and target != "blade")
    if target == "parted":
        end = polar(end, along, 8)
    role = (
        "target"
        if target and target != "petiole"
        else "young"
        if t > 0.86 or (flush and i > p.aim.right[0] + 2)
        else "old"
        if t < 0.16
        else "leaf"
    )
    mark = "young" if role == "young" else ""
    leaf = make_leaf(kind, end, along - 6 * side, kind.size * size, 5 if role == "target" else 0)
    p.leaf(leaf, role, mark)
    if side > 0 or not kind.opposite:
        p.number(i, leaf.tip)


def _last_year(p: Picture, kind: Kind) -> None:
    """A dull leaf that stayed on the older wood."""
    dark = p.turn(LAST_YEAR)
    end = polar((52, 240), 118, kind.petiole + 2)
    p.stalk(polyline([(52, 243), end]), target=dark)
    p.leaf(make_leaf(kind, end, 124, kind.size * 0.86, 5 if dark else 0), "target" if dark else "old")
    p.turn()


def _berries(p: Picture, at: Point) -> None:
    """A cluster of berries on older wood."""
    for dx, dy in ((0, 0), (13, -3), (24, 2), (7, 11), (19, 13)):
        spot = (at[0] + dx, at[1] + dy - 20)
        p.add("hair", polyline([(at[0] + 4, at[1]), spot]))
        p.add("flower", simple((spot[0] - 6.5, spot[1]), 0, 13, 13, "round", rib=False).outline)
        p.add("rib", polyline([(spot[0] - 2, spot[1] - 2), (spot[0] + 2, spot[1] + 2)]))


def _rosette(p: Picture, kind: Kind, at: Point, dark: bool, turns: tuple[int, ...], size: float) -> None:
    for turn in turns:
        end = polar(at, 90 + turn, kind.petiole)
        p.stalk(polyline([at, end]), target=dark)
        p.leaf(
            make_leaf(kind, end, 90 + turn * 1.1, kind.size * size * (1 - abs(turn) / 500), 4 if dark else 0),
            "target" if dark else "leaf",
        )


def _spurs(p: Picture, kind: Kind) -> None:
    """Two short spurs on old wood: one bears a nut and is left, one bears none and is taken. A long shoot goes on."""
    p.add("wood", limb(((8.0, 214.0), (70.0, 196.0), (130.0, 212.0), (194.0, 186.0)), 18, 12))
    _long_shoot(p, kind)
    for x, y, dark in ((54.0, 198.0, False), (136.0, 196.0, True)):
        top = (x, y - 20)
        p.add("wood", limb(((x, y + 4), (x + 1, y - 6), (x, y - 12), top), 9, 7))
        for k in range(3):
            p.add("hair", polyline([(x - 4, y - 4 - 5 * k), (x + 4, y - 5 - 5 * k)]))
        out = p.turn(BARREN if dark else BEARING)
        _rosette(p, kind, top, out, (-84, 84, -44, 44, 0) if dark else (-80, -36, 4, 78), 1.28 if dark else 1.05)
        p.turn()
        if not dark:
            p.add("hair", polyline([top, (x + 16, y - 32)]))
            p.add("flower", simple((x + 12, y - 28), 48, 36, 23, "ovate").outline)


def _long_shoot(p: Picture, kind: Kind) -> None:
    """A shoot of this year beyond the spurs; its soft leaf near the tip is place LONG."""
    curve = arc((182, 192), 112, 140, -14)
    p.add("stem", limb(curve, 5, 2))
    n = 8
    for i in (*range(n - 2), n - 1, n - 2):  # the one that may stand out lies on top
        dark = i == n - 2 and p.turn(LONG)
        side = 1 if i % 2 else -1
        at, size = cubic(*curve, 0.2 + 0.78 * i / (n - 1)), 0.62 - 0.2 * i / (n - 1)
        along = 90 - side * (60 - 4 * i)
        end = polar(at, along, 4)
        p.stalk(polyline([at, end]), target=dark)
        role = "target" if dark else "young" if i > n - 4 else "leaf"
        p.leaf(make_leaf(kind, end, along, kind.size * size * (1.2 if dark else 1), 0), role)
        p.turn()


def _nut(p: Picture) -> None:
    """A nut whose soft outer hull has split: the hull is taken, the shell is not."""
    p.add("wood", limb(((100.0, 18.0), (101.0, 30.0), (99.0, 40.0), (100.0, 52.0)), 8, 6))
    base = (100.0, 48.0)
    for side in (1, -1):
        p.leaf(simple((100 + side * 2, 30), 12 if side > 0 else 168, 62, 18, "lance"), "leaf")
    for side in (1, -1):
        half = simple(base, -90 + side * 19, 150, 74, "ovate", bend=-0.16 * side, rib=False)
        p.leaf(half, "target")
        p.add(
            "target-rib",
            *(
                stroke(
                    arc(
                        (100 + side * (20.0 + 12 * k), 66 + 6.0 * k),
                        -70 if side > 0 else -110,
                        92 - 18 * k,
                        -24.0 * side,
                    )
                )
                for k in range(3)
            ),
        )
    p.leaf(simple((100, 60), -90, 112, 62, "ovate", rib=False), "flower")
    for k in range(5):
        for j in range(3):
            p.add("rib", polyline([(86 + 12 * j + 3 * (k % 2), 84 + 15 * k), (88 + 12 * j + 3 * (k % 2), 89 + 15 * k)]))

"""Onion, garlic, carrot, and asparagus fern."""

from __future__ import annotations

from .aim import NOTHING, Aim
from .geometry import Leaf, arc, blade, cubic, heading, polar, polyline, simple, stem, stroke
from .path import Path, Point
from .picture import Picture

GROUND = 206.0
PARTS = ("leaf", "blade", "petiole", "parted", "youngest-open", "third")


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the outside; the last is the leaf that still comes out."""
    if target not in PARTS or form == "asparagus":
        return NOTHING
    return Aim((4 if form == "carrot" else 5,), young=6, old=1)


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one plant at a stage: leafy, or bulb where the base swells."""
    if form == "asparagus":
        _asparagus(p, target)
        return
    p.ground(GROUND)
    if form == "carrot":
        _carrot(p, target)
    else:
        _bulb(p, form, stage, target)
    if target == "whole":
        p.band(0, GROUND - (8 if form != "carrot" else 4))
        p.cut(GROUND - (8 if form != "carrot" else 4), 56, 144)
        p.whole = True


def _bulb(p: Picture, form: str, stage: str, target: str) -> None:
    """Round leaves of onion from one neck; flat leaves of garlic in two ranks."""
    wide = 28.0 if stage == "bulb" else 12.0
    y = GROUND + 4
    p.add(
        "flower",
        Path()
        .move((94, y - 16))
        .curve((100 - wide, y - 8), (100 - wide, y + 22), (98, y + 30))
        .line((102, y + 30))
        .curve((100 + wide, y + 22), (100 + wide, y - 8), (106, y - 16))
        .close(),
    )
    for dx in (-6, -2, 3, 7):
        p.add("hair", polyline([(100 + dx * 0.4, y + 30), (100 + dx, y + 42)]))
    garlic = form == "garlic"
    p.add("stem", stem((100, y - 12), (100, 130 if garlic else 178), 11, 8))
    if garlic:
        specs = [(176 - 11 * i, 1 if i % 2 else -1, 60 + 4 * i) for i in range(6)]
        for angle, length in ((97, 62), (86, 70)):
            dark = angle == 86 and p.turn(6)
            p.leaf(blade((100, 138), angle, length, 9, 0, foot=0.9), "target" if dark else "young", mark="young")
            p.turn()
        for i in p.order(range(6)):
            at, side, length = specs[i]
            dark = p.turn(i)
            lean = 34 + 5 * i
            way = lean if side > 0 else 180 - lean
            p.leaf(
                blade((100 + side * 3, float(at)), way, length, 12, -64.0 * side, foot=0.8),
                "target" if dark else "old" if i == 0 else "leaf",
            )
            p.turn()
        return
    tubes = ((146, 118, 50), (36, 122, -50), (128, 140, 30), (53, 146, -32), (112, 152, 8), (70, 160, -8), (92, 104, 0))
    for i in p.order(range(7)):
        angle, length, turn = tubes[i]
        dark = p.turn(i)
        role = "target" if dark else "young" if i == 6 else "old" if i < 2 else "leaf"
        p.leaf(
            blade((100 + (90 - angle) * 0.06, 184), angle, length, 11, turn, rib=dark or target == "whole", foot=0.9),
            role,
            mark="young" if i == 6 else "",
        )
        p.turn()


def _carrot(p: Picture, target: str) -> None:
    p.add(
        "flower",
        Path()
        .move((88, GROUND - 2))
        .curve((86, GROUND + 16), (96, GROUND + 40), (100, GROUND + 50))
        .curve((104, GROUND + 40), (114, GROUND + 16), (112, GROUND - 2))
        .close(),
    )
    specs = ((150, 112, 24), (32, 112, -24), (128, 140, 14), (52, 140, -14), (74, 158, -8), (106, 150, 8), (92, 84, 0))
    for i in p.order(range(7)):
        angle, length, turn = specs[i]
        curve = arc((100 + (90 - angle) * 0.05, GROUND - 2), angle, length, turn)
        here = target if p.turn(i) else ""
        role = "target" if here and here != "petiole" else "young" if i == 6 else "old" if i < 2 else "leaf"
        p.stalk(stroke(curve), target=bool(here) and here != "blade")
        for k in range(4):
            at = cubic(*curve, 0.46 + 0.15 * k)
            along = heading(cubic(*curve, 0.4 + 0.15 * k), at)
            long = (30 - 5 * k) * (0.6 if i == 6 else 1)
            for side in (1, -1):
                p.leaf(_feather(at, along + side * 56, long), role, mark="young" if i == 6 else "")
        p.leaf(_feather(curve[3], heading(curve[2], curve[3]), 22 * (0.6 if i == 6 else 1)), role)
        p.turn()


def _feather(at: Point, angle: float, length: float) -> Leaf:
    """One feathery piece of a carrot leaf."""
    leaf = simple(at, angle, length, length * 0.5, "ovate")
    edge: list[Point] = [at]
    for side in (1, -1):
        for u in (0.3, 0.55, 0.8) if side > 0 else (0.8, 0.55, 0.3):
            tip = polar(polar(at, angle, length * u), angle + side * 48, length * 0.34)
            notch = polar(polar(at, angle, length * (u + 0.1)), angle + side * 60, length * 0.07)
            edge += [tip, notch] if side > 0 else [notch, tip]
        if side > 0:
            edge.append(leaf.tip)
    leaf.outline = polyline(edge, closed=True)
    return leaf


def _asparagus(p: Picture, target: str) -> None:
    """A tall fern beside a stick marked at 17 and 35 inches."""
    ground, inch, x = 244.0, 5.4, 116.0
    p.ground(ground)
    p.add("stem", stem((x, ground), (x, 22), 5, 2))
    for i in range(13):
        y = 206 - 14.5 * i
        side = 1 if i % 2 else -1
        branch = arc((x, y), 28 if side > 0 else 152, 58 - 3.2 * i, 22.0 * side)
        p.add("hair", stroke(branch))
        ahead, tufts = heading(branch[0], branch[3]), Path()
        for k in range(1, 6):
            at = cubic(*branch, k / 5)
            for turn in (60, 22, -22, -60):
                tufts.move(at).line(polar(at, ahead + turn, 11 - k))
        p.add("fern", tufts)
    if target == "fern":
        low, high = ground - 17 * inch, ground - 35 * inch
        p.band(high, low, roles=("stem", "hair", "fern"))
        p.cut(low, x - 62, x + 66)
        p.cut(high, x - 48, x + 52)
        p.ruler(42, ground, inch, ((17, "low", "17 in"), (35, "high", "35 in")), 40, step=5)
    elif target == "whole":
        p.band(0, ground - 6, roles=("stem", "hair", "fern"))
    p.whole = True

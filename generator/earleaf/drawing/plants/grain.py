"""Small grains, rice and pasture grass: several shoots from one foot; also mown turf."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .aim import NOTHING, Aim
from .geometry import arc, blade, cubic, heading, limb, polar, polyline, simple, stroke
from .path import Point
from .picture import Picture


@dataclass(frozen=True)
class Kind:
    """What makes one grain look like itself."""

    head: str = "ear"
    leaf: float = 68
    width: float = 9.5


KINDS: dict[str, Kind] = {
    "wheat": Kind(),
    "rice": Kind(head="panicle", leaf=70, width=8.5),
    "pasture": Kind(head="plume", leaf=70, width=7.5),
    "turf": Kind(),
}
GROUND, FOOT = 236.0, (100.0, 236.0)
# Shoots: where the foot is, which way it leans, how tall. The main shoot is last and in front.
TILLERS = ((-14, 116, 0.84), (14, 66, 0.86), (-7, 102, 0.94), (8, 79, 0.9), (0, 90, 1.0))
CULMS = ((-16, 99, 0.88), (17, 81, 0.9), (0, 90, 1.0))
Curve = tuple[Point, Point, Point, Point]
AIMS: dict[str, Aim] = {
    "top-collar": Aim((1,), young=0, old=3),
    "leaf": Aim((1,), young=0, old=3),
    "flag": Aim((1,), old=2),
    "below-flag": Aim((2,), (3,), young=1, old=4, counted=(2, 3)),
    "third": Aim((3,), young=1, old=4, counted=(1, 2, 3)),
    "upper-leaves": Aim((1, 2)),
    "upper-four": Aim((1, 2, 3, 4), counted=(1, 2, 3, 4)),
}


def aim(form: str, stage: str, target: str) -> Aim:
    """Places on the main shoot from the top: 1 is the newest open leaf, 0 the one still rolled."""
    found = AIMS.get(target, NOTHING)
    return replace(found, young=None) if found.young == 0 and stage in ("boot", "head") else found


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one of these grasses at a stage: tillers, stems, boot or head (turf: lawn)."""
    kind = KINDS[form]
    if form == "turf":
        _turf(p, target)
        return
    p.ground(GROUND)
    if stage == "tillers":
        _tillers(p, kind, target)
    else:
        _culms(p, kind, stage, target)
    if target in ("whole", "row-section"):
        p.band(0, GROUND - 6)
        p.cut(GROUND - 6, 58, 142)
        p.whole = True
    elif _whole(target):
        tall = GROUND - min(y for role, path in p.items if role != "ground" for _, y in path.points)
        y = GROUND - tall * (2 / 3 if target == "top-third" else 0.5)
        p.band(0, y)
        p.cut(y, 10, 190)
        p.whole = True


def _tillers(p: Picture, kind: Kind, target: str) -> None:
    """Leafy shoots before stems rise. Each has older leaves, one newest open leaf, and one still rolled."""
    whole = _whole(target)
    for k, (dx, lean, size) in enumerate(TILLERS):
        main = k == len(TILLERS) - 1
        foot = (FOOT[0] + dx, GROUND)
        curve = arc(foot, lean, 108 * size, 0)
        joints = [cubic(*curve, t) for t in ((0.16, 0.38, 0.62, 0.86) if main else (0.34, 0.6, 0.86))]
        dark = main and p.turn(0)
        thick = kind.width * (0.9 if dark else 0.5)
        rolled = blade(cubic(*curve, 0.8), lean, 86 * size, thick, -4 if lean < 90 else 4, rib=False, foot=1)
        p.leaf(rolled, "target" if dark else "young", mark="young" if main else "")
        p.turn()
        p.add("stem", limb(curve, 7, 4.4))
        for place in p.order(range(len(joints), 0, -1)):
            at, j = joints[-place], 3 - place
            side = 1 if (j + k) % 2 == 0 else -1
            picked = main and p.turn(place)
            angle = lean - side * (34 - 7 * j)
            role = "target" if picked else "old" if place == len(joints) else "leaf"
            leaf = blade(
                at,
                angle,
                kind.leaf * size * (0.8 + 0.14 * j),
                kind.width * (1.3 if picked else 1),
                -side * (82.0 - 14 * j),
                rib=not main or not whole,
            )
            p.leaf(leaf, role)
            p.turn()
            if role != "target":
                p.add("collar", polyline([polar(at, lean + 90, 2), polar(at, lean - 90, 2)]))
            if main:
                p.number(place, leaf.tip)


def _whole(target: str) -> bool:
    return target in ("whole", "row-section", "top-third", "top-half", "grazed")


def _culms(p: Picture, kind: Kind, stage: str, target: str) -> None:
    """Stems with joints; the flag leaf is the last one, right under the head."""
    for k, (dx, lean, size) in enumerate(CULMS):
        main = k == len(CULMS) - 1
        headed = stage == "head"
        tall = (172 if headed else 168 if stage == "boot" else 140) * size
        foot = (FOOT[0] + dx, GROUND)
        curve = arc(foot, lean, tall, 0)
        if stage == "stems":
            dark = main and p.turn(0)
            p.leaf(
                blade(cubic(*curve, 0.9), lean, 74 * size, kind.width * (0.9 if dark else 0.6), 6, rib=False, foot=1),
                "target" if dark else "young",
                mark="young" if main else "",
            )
            p.turn()
        p.add("stem", limb(curve, 7, 3.4))
        if stage == "boot":
            at = cubic(*curve, 0.76)
            p.add("stem", simple(at, heading(foot, curve[3]), tall * 0.27, 14, "oval", rib=False).outline)
        if headed:
            _head(p, kind, curve[3], lean, size)
        for place in p.order(range(1, 5)) if main else range(1, 5):
            _culm_leaf(p, kind, stage, curve, k, place, lean, size, rib=not main or not _whole(target))


def _culm_leaf(
    p: Picture, kind: Kind, stage: str, curve: Curve, k: int, place: int, lean: float, size: float, rib: bool
) -> None:
    """One leaf of shoot k with its collar, and the joint below it."""
    headed, main, j = stage == "head", k == len(CULMS) - 1, place - 1
    t = ((0.84, 0.58, 0.36, 0.18) if headed else (0.92, 0.66, 0.42, 0.2))[j]
    at = cubic(*curve, t)
    side = 1 if (j + k) % 2 == 0 else -1
    picked = main and p.turn(place)
    upright = headed and j == 0 and kind.head == "panicle"  # the flag leaf of rice stands up
    lift = 22 if upright else 40 if j == 0 and headed else 46
    role = "target" if picked else "old" if j == 3 else "leaf"
    length = kind.leaf * size * (0.86, 1.0, 0.9, 0.66)[j]
    turn = -side * (16.0 if upright else 60.0 if j == 0 else 96.0)
    leaf = blade(at, lean - side * lift, length, kind.width * (1.45 if picked else 1), turn, rib=rib)
    p.leaf(leaf, role)
    p.turn()
    if main:
        p.number(place, leaf.tip)
    if role != "target":
        p.add("collar", polyline([polar(at, lean + 90, 2.4), polar(at, lean - 90, 2.4)]))
    if j < 3:
        node = cubic(*curve, t - 0.14)
        p.add("hair", polyline([polar(node, lean + 90, 3.4), polar(node, lean - 90, 3.4)]))


def _head(p: Picture, kind: Kind, at: Point, lean: float, size: float) -> None:
    if kind.head == "ear":
        for row in range(7):
            where = polar(at, lean, 4.5 * row * size)
            for side in (1, -1):
                grain = simple(where, lean - side * 26, 12 * size, 6 * size, "oval", rib=False)
                p.add("hair", stroke(arc(grain.tip, lean - side * 14, 15 * size, side * 4.0)))
                p.add("flower", grain.outline)
        p.add("flower", simple(polar(at, lean, 29 * size), lean, 12 * size, 6 * size, "oval", rib=False).outline)
        return
    if kind.head == "plume":
        p.add("flower", simple(at, lean, 50 * size, 12 * size, "lance").outline)
        for i in range(1, 6):
            for side in (1, -1):
                p.add(
                    "hair",
                    polyline(
                        [polar(at, lean, 7 * i * size), polar(polar(at, lean, (7 * i + 7) * size), lean + side * 60, 4)]
                    ),
                )
        return
    bow = 120.0
    way = -1 if lean < 90 else 1
    axis = arc(at, lean, 46 * size, way * bow)
    p.add("hair", stroke(axis))
    for i in range(6):
        t = 0.12 + 0.15 * i
        where = cubic(*axis, t)
        ahead = heading(where, cubic(*axis, min(1.0, t + 0.05)))
        for side in (1, -1):
            twig = arc(where, ahead + side * 34, (21 - 2 * i) * size, way * bow * 0.5)
            p.add("hair", stroke(twig))
            for u in (0.6, 1.0):
                p.add(
                    "flower",
                    simple(cubic(*twig, u), heading(twig[2], twig[3]), 7 * size, 4 * size, "oval", rib=False).outline,
                )


def _turf(p: Picture, target: str) -> None:
    """Short sward; what the blade of the mower takes is dark."""
    ground, cut = 186.0, 136.0
    p.add("ground", polyline([(8, ground), (192, ground), (192, ground + 34), (8, ground + 34)], closed=True))
    for i in range(16):
        x = 24 + 10.1 * i
        lean = (8, -6, 3, -10, 6)[i % 5]
        tall = (84, 96, 88, 100, 80, 92)[i % 6]
        p.leaf(
            blade((x, ground + 1), 90 + lean, tall, 11, lean * 2.4, foot=0.9),
            "leaf" if i % 3 else "old",
        )
        p.add("hair", stroke(arc((x, ground + 2), -90 + lean, 22, lean * 3)))
    if target == "clip":
        p.band(0, cut)
        p.cut(cut, 6, 194)
        p.whole = True

"""Leaf-collar grasses: corn and sweet corn, sorghum, sugarcane. Leaves alternate in two ranks."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .aim import NOTHING, Aim, from_tip
from .geometry import arc, between, blade, limb, polar, polyline, simple, stem, stroke
from .path import Path, Point
from .picture import Picture

X = 100.0


@dataclass(frozen=True)
class Kind:
    """What makes one grass look like itself."""

    leaf: float = 78
    width: float = 11
    nodes: int = 11
    thick: float = 9
    head: str = "tassel"
    bare: float = 0.06
    turn: float = 112


KINDS: dict[str, Kind] = {
    "corn": Kind(leaf=86, turn=122),
    "sweet-corn": Kind(leaf=80, nodes=9, turn=120),
    "sorghum": Kind(leaf=70, width=11, nodes=8, thick=8, head="panicle", bare=0.12),
    "sugarcane": Kind(leaf=92, width=8, nodes=8, thick=12, head="spindle", bare=0.46, turn=130),
}
# Counted from the top leaf with a collar: right, too young, too old, as good, how far the numbers go.
PLACES: dict[str, tuple[int, int, int, int, int]] = {
    "top-collar": (1, 0, 3, 0, 0),
    "leaf": (1, 0, 3, 0, 0),
    "flag": (1, 1, 2, 0, 0),
    "third": (3, 1, 5, 0, 3),
    "fourth": (4, 1, 6, 0, 4),
    "third-fourth": (3, 1, 6, 4, 4),
}
YOUNG_PLANT = 5
"""Leaves with a collar on a young plant."""


def nodes(kind: Kind, stage: str) -> int:
    """Leaves with a collar at this stage."""
    if stage == "young":
        return YOUNG_PLANT
    headed = stage == "head" and kind.head != "spindle"
    return kind.nodes if headed or kind.head == "spindle" else max(6, kind.nodes - 3)


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the ground, the lowest leaf is 0; the place after the last is the leaf still rolled."""
    kind = KINDS[form]
    n = nodes(kind, stage)
    headed = stage == "head" and kind.head != "spindle"
    ear = n // 2
    if target in ("ear-leaf", "below-ear"):
        right = ear if target == "ear-leaf" else ear - 1
        return Aim((right,), young=right + 2, old=right - 2)
    if target == "below-flag":
        return Aim((n - 2,), (n - 3,), young=n - 1, old=n - 5, counted=(n - 2, n - 3))
    if target == "upper-leaves":
        return Aim((n - 1, n - 2, n - 3))
    if target not in PLACES:
        return NOTHING
    place, young, old, either, count = PLACES[target]
    found = from_tip(n, place, young=1 if headed and not young else young, old=old, either=either, count=count)
    collars = target == "top-collar" and not headed and kind.head != "spindle"
    return replace(found, counted=tuple(range(n))) if collars else found


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one of these grasses at a stage: young, whorl, head or stalk."""
    kind = KINDS[form]
    if stage == "young":
        _young(p, target)
    elif stage == "stalk":
        _stalk(p, target)
    else:
        _tall(p, kind, stage, target)


def _collar(p: Picture, at: Point, side: int) -> None:
    p.add("collar", polyline([(at[0] - side * 1.5, at[1] + 2.2), (at[0] + side * 2.2, at[1] - 2.2)]))


def _young(p: Picture, target: str) -> None:
    """Four leaf collars; the first leaf has a round tip."""
    ground = 222.0
    p.ground(ground)
    whole = target == "whole"
    blades = [
        (196, 1, 30, 30, 9, -60),
        (180, -1, 38, 62, 10, -96),
        (160, 1, 46, 84, 12, -100),
        (140, -1, 54, 96, 13, -92),
        (124, 1, 62, 92, 13, -60),
    ]
    dark = p.turn(len(blades))
    p.leaf(blade((X, 130), 97, 92, 9, -14, foot=0.9), "target" if whole or dark else "young", mark="young")
    p.turn()
    p.add("target" if whole else "stem", stem((X, ground - 1), (X, 118), 11, 8))
    for i in p.order(range(len(blades))):
        y, side, angle, length, width, turn = blades[i]
        base = (X + side * 4, float(y))
        shade = "target" if p.turn(i) or whole else "old" if i == 0 else "leaf"
        way = angle if side > 0 else 180 - angle
        first = simple(base, way, length, width, "oval", bend=-0.3 * side)  # the first leaf has a round tip
        leaf = first if i == 0 else blade(base, way, length, width, turn * side)
        p.leaf(leaf, shade)
        p.turn()
        p.number(i, leaf.tip)
        if shade != "target":
            _collar(p, base, side)
    for y, side, *_ in blades:
        p.add(
            "target-rib" if whole else "hair",
            polyline([(X - side * 4.4, y + 8.0), (X + side * 4.4, y - 1.0)]),
        )
    if whole:
        p.cut(ground - 5, 72, 128)
        p.whole = True


def _tall(p: Picture, kind: Kind, stage: str, target: str) -> None:
    headed = stage == "head" and kind.head != "spindle"
    ground, top = p.height - 16.0, 66.0 if headed else 96.0
    p.ground(ground)
    n = nodes(kind, stage)
    lowest = ground - 16 - (ground - top) * (kind.bare if headed or kind.head == "spindle" else 0.02)
    ys = [lowest + (top - lowest) * i / (n - 1) for i in range(n)]
    ear = n // 2
    if not headed:
        _whorl(p, kind, top, 1 if (n - ear) % 2 == 0 else -1, n)
    for drawn in range(2):  # the target goes over the others
        for i, y in enumerate(ys):
            if (i in p.marked) == bool(drawn):
                _leaf(p, kind, i, n, y, headed, p.turn(i), ear)
                p.turn()
        if not drawn:
            p.add("stem", stem((X, ground), (X, top - 6), kind.thick, kind.thick * 0.55))
            rings = [y + 7 for y in ys] + ([ground - 12 - 11 * i for i in range(7)] if kind.bare > 0.3 else [])
            for y in rings:
                half = kind.thick * (0.28 + 0.22 * (y - top) / (ground - top))
                p.add("hair", polyline([(X - half, y), (X + half, y)]))
    for i, y in enumerate(ys):
        if i not in p.marked:
            side = 1 if (i - ear) % 2 == 0 else -1
            _collar(p, (X + side * kind.thick * 0.36, y), side)
    if headed and kind.head == "tassel":
        _tassel(p, top - 4)
        _ear(p, ys[ear] + 8)
    elif headed:
        _panicle(p, top - 6)
    if target == "whole":
        p.band(0, ground - 6)
        p.cut(ground - 6, 66, 134)
        p.whole = True


def _leaf(p: Picture, kind: Kind, i: int, n: int, y: float, headed: bool, dark: bool, ear: int) -> None:
    """Leaf i of n, counted from the ground; the ear leaf is on the right."""
    t = i / (n - 1)
    side = 1 if (i - ear) % 2 == 0 else -1
    size = 0.62 + 1.5 * t * (1 - t) if headed else 0.58 + 0.42 * min(1.0, t * 1.5)
    angle = 42 + 24 * t if headed else 38 + 26 * t
    turn = -(kind.turn - 30 * t) * side
    base = (X + side * kind.thick * 0.36, y)
    role = "target" if dark else "old" if t < 0.3 else "leaf"
    width = kind.width * (1.22 if dark else 0.8 + 0.3 * size)
    leaf = blade(base, angle if side > 0 else 180 - angle, kind.leaf * size * 1.04, width, turn)
    p.leaf(leaf, role)
    p.number(i, leaf.tip)


def _whorl(p: Picture, kind: Kind, top: float, side: int, n: int) -> None:
    """Leaves still rolled: they stand up and show no collar. The oldest of them, place n, leans out to its side."""
    for angle, length, turn in ((122, 70, 30), (66, 72, -30), (99, 80, 12), (84, 84, -10), (90, 74, 0)):
        long = length * (1.0 if kind.head != "spindle" else 1.05)
        inner, last = angle == 90, angle == (66 if side > 0 else 122)
        dark = last and p.turn(n)
        leaf = blade(
            (X, top + 10), angle, min(long, top - 6), kind.width * (0.5 if inner else 0.8), turn, rib=not inner, foot=1
        )
        p.leaf(leaf, "target" if dark else "young", mark="young" if angle in (66, 84) else "")
        p.turn()


def _tassel(p: Picture, y: float) -> None:
    p.add("stalk", polyline([(X, y), (X, y - 24)]))
    for angle, lift, length, turn in (
        (150, 0, 26, -4),
        (30, 0, 26, 4),
        (132, 4, 30, 6),
        (48, 4, 30, -6),
        (114, 9, 30, 8),
        (66, 9, 30, -8),
        (90, 12, 34, 0),
    ):
        p.add("flower", limb(arc((X, y - 14 - lift), angle, length, turn * 3), 1.4, 2.8))


def _ear(p: Picture, y: float) -> None:
    """The top ear, in the angle between its leaf and the stalk, with fresh silks."""
    base = (X + 3, y)
    tip = polar(base, 73, 37)
    for angle, turn in ((118, 70), (100, 60), (84, -20), (70, -60), (56, -90), (40, -90)):
        p.add("hair", stroke(arc(tip, angle, 15, turn)))
    p.add("flower", simple(base, 73, 41, 12, "lance", rib=False).outline)
    p.ribs(simple(base, 73, 36, 6, "lance", bend=0.02))
    p.add("leaf", simple(base, 80, 27, 7, "lance", bend=0.06, rib=False).outline)


def _panicle(p: Picture, y: float) -> None:
    """A dense sorghum head above the flag leaf."""
    p.add("stem", stem((X, y + 4), (X, y - 10), 4.4, 3))
    p.add("flower", simple((X, y - 8), 90, 48, 25, "oval", rib=False).outline)
    grains = [
        (X + dx, y - 13 - 5.4 * row)
        for row in range(7)
        for dx in ((-7, 0, 7) if row % 2 else (-3.6, 3.6))
        if not (row == 6 and abs(dx) > 4)
    ]
    p.add("flower", *(_bead(g) for g in grains))


def _bead(at: Point, r: float = 2.5) -> Path:
    k = r * 1.33
    return (
        Path()
        .move((at[0] - r, at[1]))
        .curve((at[0] - r, at[1] - k), (at[0] + r, at[1] - k), (at[0] + r, at[1]))
        .curve((at[0] + r, at[1] + k), (at[0] - r, at[1] + k), (at[0] - r, at[1]))
        .close()
    )


def _stalk(p: Picture, target: str) -> None:
    """The foot of a ripe stalk beside a stick marked at 6 and 14 inches."""
    ground, inch, x = 222.0, 12.0, 112.0
    p.ground(ground)
    for side in (-1, 1):
        for k, reach in enumerate((20, 30, 13)):
            p.add(
                "hair",
                stroke(arc((x + side * 9, ground - 13 + k * 2.0), -20 if side > 0 else 200, reach, -50.0 * side)),
            )
    nodes = [ground - 4, ground - 22, ground - 58, ground - 104, ground - 152]
    foot, end = 25.0, 19.0

    def half(y: float) -> float:
        return (foot + (end - foot) * (ground - y) / 200) / 2

    p.add("stem", stem((x, ground), (x, 14), foot, end))
    for y, side in zip(nodes[2:], (1, -1, 1), strict=True):  # dry leaves, peeled away or hanging
        p.leaf(blade((x + side * half(y), y + 1), 20 if side > 0 else 160, 52, 11, -95.0 * side), "old")
    top, bottom = ground - 14 * inch, ground - 6 * inch
    if target == "stalk":
        p.add(
            "target",
            polyline(
                [(x - half(bottom), bottom), (x - half(top), top), (x + half(top), top), (x + half(bottom), bottom)],
                closed=True,
            ),
        )
    for y in nodes:
        dark = target == "stalk" and top < y < bottom
        p.add(
            "target-rib" if dark else "collar",
            polyline([(x - half(y) - (0 if dark else 1.4), y), between((x - half(y), y), (x + half(y), y), 1.0)]),
        )
    if target == "stalk":
        for i in range(1, 9):
            y = bottom - i * (bottom - top) / 9
            p.add("target-rib", polyline([(x - half(y) + 3, y + 4), (x + half(y) - 3, y - 4)]))
        p.cut(top, x - 30, x + 30)
        p.cut(bottom, x - 30, x + 30)
    p.ruler(62, ground, inch, ((6, "low", "6 in"), (14, "high", "14 in")), 16)

"""A grape shoot: leaves alternate, and clusters or tendrils sit across from leaves."""

from __future__ import annotations

from .aim import NOTHING, Aim
from .geometry import arc, cubic, heading, limb, lobed, polyline, simple, stroke
from .path import Point
from .picture import Picture

N = 8
CLUSTERS = (1, 2)
BUNCH = 100
"""Added to the place of a leaf: the cluster across from it."""
ONLY = ("opposite-petiole", "shoot-petiole", "petiole")


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the base of the shoot."""
    if target not in (*ONLY, "opposite-leaf", "leaf", "blade"):
        return NOTHING
    if target == "opposite-petiole":
        first, second = CLUSTERS
        return Aim((first,), (second,), young=N - 2, old=0, counted=(BUNCH + first, BUNCH + second))
    if target == "opposite-leaf":
        return Aim((CLUSTERS[0],), young=N - 2, old=0, counted=(BUNCH + CLUSTERS[0],))
    return Aim((N - 4,), young=N - 2, old=0)


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw a shoot at a stage: bloom, or fruit (veraison)."""
    p.add("wood", limb(((10.0, 254.0), (60.0, 246.0), (130.0, 254.0), (192.0, 244.0)), 14, 12))
    curve = arc((100, 246), 92, 218, -4)
    p.add("stem", limb(curve, 6.5, 2.4))
    for i in range(3, N - 1):
        if i % 3:
            _tendril(p, _node(curve, i), -_side(i))
    plain = [i for i in range(N) if i not in p.marked]
    for i in plain:
        _leaf(p, curve, i, "")
    for i in CLUSTERS:
        p.number(BUNCH + i, _cluster(p, _node(curve, i), -_side(i), stage))
    for i in p.marked:
        p.turn(i)
        _leaf(p, curve, i, target)
        p.turn()
    tip = curve[3]
    for turn in (34, -26, 4):
        p.leaf(simple(tip, 88 + turn, 12, 5, "lance"), "young", mark="young")


def _node(curve: tuple[Point, Point, Point, Point], i: int) -> Point:
    return cubic(*curve, 0.1 + 0.84 * i / (N - 1))


def _side(i: int) -> int:
    return 1 if i % 2 else -1


def _leaf(p: Picture, curve: tuple[Point, Point, Point, Point], i: int, target: str) -> None:
    side, back = _side(i), N - i
    at = _node(curve, i)
    size = {1: 0.34, 2: 0.54, 3: 0.76}.get(back, 1.0 if i else 0.84) * (1.06 if i in p.aim.right else 1)
    angle = 30 + 5 * i
    reach = arc(at, angle if side > 0 else 180 - angle, 32 * size, -20.0 * side)
    only = target in ONLY
    role = "target" if target and not only else "young" if back <= 2 else "old" if i == 0 else "leaf"
    droop = 26 if back > 2 else 4
    whole = target in ("opposite-leaf", "leaf")
    p.stalk(stroke(reach), target=whole)
    p.leaf(
        lobed(reach[3], heading(reach[2], reach[3]) - droop * side, 36 * size, "grape"),
        role,
        mark="young" if back == 1 else "",
    )
    if only:
        p.stalk(stroke(reach), target=True)


def _tendril(p: Picture, at: Point, side: int) -> None:
    for turn, length in ((150.0, 34), (-70.0, 22)):
        p.add("hair", stroke(arc(at, 56 if side > 0 else 124, length, turn * side)))


def _cluster(p: Picture, at: Point, side: int, stage: str) -> Point:
    """A flower cluster, or a bunch of berries, across from the leaf. Its lower end."""
    hang = arc(at, 16 if side > 0 else 164, 22, -50.0 * side)
    p.add("stalk", stroke(hang))
    top = hang[3]
    if stage == "fruit":
        for row, count in enumerate((3, 4, 3, 2, 1)):
            for k in range(count):
                spot = (top[0] + (k - (count - 1) / 2) * 8.4 + side * row, top[1] + 4 + row * 7.4)
                p.add("flower", simple((spot[0] - 4.6, spot[1]), 0, 9.2, 9.2, "round", rib=False).outline)
        return top[0], top[1] + 38
    for row in range(6):
        y = top[1] + 1 + row * 5.4
        for k in (-1, 1):
            reach = 11 - 1.5 * row
            spot = (top[0] + k * reach + side * row * 0.8, y + 2)
            p.add("hair", polyline([(top[0] + side * row * 0.8, y - 2), spot]))
            p.add("flower", simple((spot[0] - 2.4, spot[1]), 0, 4.8, 4.8, "round", rib=False).outline)
    return top[0], top[1] + 32

"""Banana and papaya: a trunk with large leaves; the stalk of one leaf is taken."""

from __future__ import annotations

from .aim import NOTHING, Aim
from .geometry import arc, cubic, heading, limb, lobed, polar, polyline, simple, stroke
from .path import Point
from .picture import Picture

KINDS = {"banana": 3, "papaya": 6}
# Angle, length and bend of each leaf, the oldest first.
SPECS: dict[str, tuple[tuple[int, int, float], ...]] = {
    "banana": ((168, 80, 86), (14, 84, -90), (146, 88, 76), (38, 92, -80), (116, 94, 50), (66, 94, -52)),
    "papaya": (
        (190, 62, 0),
        (-10, 62, 0),
        (164, 66, 0),
        (18, 66, 0),
        (136, 62, 0),
        (46, 62, 0),
        (112, 56, 0),
        (70, 52, 0),
    ),
}
LEAVES = {form: len(leaves) for form, leaves in SPECS.items()}


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the oldest leaf."""
    n = LEAVES[form]
    if target not in ("petiole", "leaf", "blade", "third"):
        return NOTHING
    return Aim((n - KINDS[form],), young=n - 1, old=0, counted=tuple(n - k for k in range(1, KINDS[form] + 1)))


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one plant. The newest fully open leaf is number one."""
    ground = 246.0
    p.ground(ground)
    top = (100.0, 138.0 if form == "banana" else 104.0)
    trunk = ((100.0, ground), (100.0, ground - 40), (100.0, top[1] + 30), top)
    p.add("stem", limb(trunk, 24 if form == "banana" else 15, 11))
    if form == "banana":
        for k, side in enumerate((1, -1, 1)):
            p.add("rib", stroke(arc((100 - side * 8.0, ground - 24.0 * k - 10), 90 - side * 4, 56, side * 8.0)))
    else:
        for k in range(9):
            p.add("hair", polyline([(94, ground - 12.0 * k - 14), (99, ground - 12.0 * k - 17)]))
    for i in p.order(range(LEAVES[form])):
        angle, reach, turn = SPECS[form][i]
        here = target if p.turn(i) else ""
        crossed = form == "banana" and bool(p.wrong)  # its stalk is too short for a cross
        role = "target" if here and (here != "petiole" or crossed) else "old" if i < 2 else "leaf"
        if form == "banana":
            p.number(i, _banana(p, top, angle, reach, turn, role, here))
        else:
            stalk = arc(top, angle, reach, 0)
            size = 36 * (1 if i < 6 else 0.74)
            if not here or here == "blade":
                p.stalk(stroke(stalk))
            p.leaf(lobed(stalk[3], heading(top, stalk[3]), size, "papaya"), role)
            p.number(i, polar(stalk[3], angle, size * 0.8))
            if here and here != "blade":
                p.stalk(stroke(stalk), target=True)
        p.turn()
    if form == "banana":
        p.leaf(simple(polar(top, 90, -4), 91, 104, 9, "lance"), "young", mark="young")
    else:
        for turn in (-16, 10):
            p.stalk(polyline([top, polar(top, 90 + turn, 30)]))
            p.leaf(lobed(polar(top, 90 + turn, 30), 90 + turn, 17, "papaya"), "young", mark="young")


def _banana(p: Picture, top: Point, angle: float, reach: float, turn: float, role: str, here: str) -> Point:
    """A long blade on a short thick stalk, torn here and there. Its tip."""
    curve = arc(top, angle, reach * 1.1, turn)
    stalk = (curve[0], cubic(*curve, 0.1), cubic(*curve, 0.2), cubic(*curve, 0.3))
    start = stalk[3]
    ahead = heading(stalk[2], stalk[3])
    if here not in ("petiole", "leaf", "third"):
        p.add("stem", limb(stalk, 7, 4))
    leaf = simple(start, ahead, reach * 0.86, 27, "oval", bend=turn / 230, veins=6 if role == "target" else 4)
    p.leaf(leaf, role)
    if here in ("petiole", "leaf", "third"):
        p.add("target", limb(stalk, 7, 5))
        p.add("target-rib", polyline([cubic(*curve, 0.06), cubic(*curve, 0.26)]))
    return leaf.tip

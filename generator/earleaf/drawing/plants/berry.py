"""Strawberry crown, blackberry and raspberry canes, cranberry uprights."""

from __future__ import annotations

from .aim import NOTHING, Aim, from_tip
from .geometry import arc, cubic, heading, limb, polar, polyline, simple, stroke, toothed
from .path import Point
from .picture import Picture

PARTS = ("leaf", "blade", "petiole", "parted", "youngest-open", "centre-leaf")
CANE = 7
"""Leaves on a new cane."""


def aim(form: str, stage: str, target: str) -> Aim:
    """Places: of a strawberry from the outer ring to the heart, of a cane from its base."""
    if target not in (*PARTS, "cane-leaf"):
        return NOTHING
    if form == "strawberry":
        return Aim((5,), young=7, old=1)
    return from_tip(CANE, 4, young=2, old=CANE)


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one plant at a stage: leafy, bloom, fruit."""
    if form == "strawberry":
        _strawberry(p, stage, target)
    elif form == "cranberry":
        _cranberry(p, target)
    else:
        _canes(p, form, stage, target)


def _three(p: Picture, at: Point, angle: float, size: float, role: str, mark: str = "", five: bool = False) -> None:
    veins = 4 if role == "target" else 0
    for turn in (128, -128) if five else ():
        p.leaf(toothed(at, angle + turn, size * 0.62, size * 0.42, teeth=4, depth=0.1, veins=0), role, mark)
    for turn in (72, -72, 0):
        start = polar(at, angle + turn, 2)
        p.leaf(
            toothed(
                start,
                angle + turn,
                size,
                size * (0.78 if not five else 0.58),
                "obovate" if not five else "ovate",
                teeth=5,
                depth=0.11,
                veins=veins,
            ),
            role,
            mark,
        )


def _strawberry(p: Picture, stage: str, target: str) -> None:
    ground, crown = 222.0, (100.0, 220.0)
    p.ground(ground)
    p.add("wood", simple((100, 228), 90, 20, 26, "oval", rib=False).outline)
    leaves = (
        (164, 84, "old"),
        (20, 86, "old"),
        (144, 104, "leaf"),
        (40, 106, "leaf"),
        (122, 122, "leaf"),
        (63, 122, "leaf"),
        (100, 104, "young"),
        (86, 84, "young"),
    )
    if stage in ("bloom", "fruit"):
        _truss(p, crown, stage)
    for i in p.order(range(8)):
        angle, reach, role = leaves[i]
        side = 1 if angle < 90 else -1
        curve = arc(crown, angle + (90 - angle) * 0.2, reach, -abs(90 - angle) * 0.3 * side)
        here = target if p.turn(i) else ""
        end, along = curve[3], heading(curve[2], curve[3])
        if here != "petiole":
            p.stalk(stroke(curve), target=bool(here) and here != "blade")
        if here == "parted":
            end = polar(end, along, 10)
        fill = "target" if here and here != "petiole" else role
        if role == "young":
            for turn in (26, -26, 0):
                p.leaf(simple(end, along + turn, 30, 12, "oval"), fill, mark="young")
        else:
            _three(p, end, along, 33, fill)
        if here == "petiole":
            p.stalk(stroke(curve), target=True)
        p.turn()
    if target == "whole":
        p.band(0, 218)
        p.whole = True


def _truss(p: Picture, crown: Point, stage: str) -> None:
    for angle, reach, turn in ((152, 62, 40.0), (30, 56, -40.0)):
        curve = arc(crown, angle, reach, turn)
        p.add("hair", stroke(curve))
        at = curve[3]
        if stage == "fruit":
            p.add("flower", simple((at[0], at[1] - 2), -90, 24, 20, "heart", rib=False).outline)
            for k in range(3):
                p.add("rib", polyline([(at[0] - 5 + 5 * k, at[1] + 6), (at[0] - 5 + 5 * k, at[1] + 8.5)]))
            for t in (150, 90, 30):
                p.add("leaf", simple(at, t, 8, 4, "lance", rib=False).outline)
        else:
            for j in range(5):
                p.add("flower", simple(at, 90 + 72 * j, 10, 9, "obovate", rib=False).outline)


def _canes(p: Picture, form: str, stage: str, target: str) -> None:
    """A first-year cane on the right; last year's cane, with fruit, on the left and pale."""
    ground = 244.0
    p.ground(ground)
    old = arc((78, ground), 100, 150, 30)
    p.add("wood", limb(old, 7, 4))
    for t, side in ((0.45, 1), (0.66, -1), (0.9, 1)):
        at = cubic(*old, t)
        twig = arc(at, 118 if side > 0 else 164, 30, 40.0)
        p.add("stalk", stroke(twig))
        if stage in ("fruit", "bloom"):
            _berry(p, twig[3], form)
    new = arc((106, ground), 84, 224, -16)
    p.add("stem", limb(new, 7, 2.6))
    n = CANE
    for i in p.order(range(n)):
        back, side = n - i, 1 if i % 2 else -1
        at = cubic(*new, 0.22 + 0.74 * i / (n - 1))
        size = {1: 0.4, 2: 0.62, 3: 0.84}.get(back, 1.0 if i else 0.8)
        angle = 20 + 6 * i
        curve = arc(at, angle if side > 0 else 180 - angle, 24 * size, -20.0 * side)
        here = target if p.turn(i) else ""
        end, along = curve[3], heading(curve[2], curve[3])
        if here != "petiole":
            p.stalk(stroke(curve), target=bool(here) and here != "blade")
        role = "target" if here and here != "petiole" else "young" if back <= 2 else "leaf"
        _three(
            p,
            end,
            along - 14 * side,
            29 * size,
            role,
            "young" if back <= 2 else "",
            five=form == "raspberry" and back > 2,
        )
        if here == "petiole":
            p.stalk(stroke(curve), target=True)
        p.turn()


def _berry(p: Picture, at: Point, form: str) -> None:
    for row, count in enumerate((3, 2, 1)):
        for k in range(count):
            x, y = at[0] + (k - (count - 1) / 2) * 7, at[1] + 3 + row * 6
            p.add("flower", simple((x - 4, y), 0, 8, 8, "round", rib=False).outline)


def _cranberry(p: Picture, target: str) -> None:
    """Uprights on a runner; this season's part is the greener tip."""
    ground = 228.0
    p.ground(ground)
    p.add("wood", limb(((14.0, 222.0), (70.0, 214.0), (130.0, 226.0), (188.0, 216.0)), 6, 5))
    change = 124.0
    for x, tall in ((54.0, 168), (102.0, 184), (150.0, 162)):
        foot = (x, 219.0)
        tip = (x + (x - 100) * 0.08, 219.0 - tall)
        p.add("wood", limb((foot, foot, (x, change + 10), (x, change)), 4, 3.6))
        p.add("stem", limb(((x, change), (x, change - 20), tip, tip), 3.6, 2.4))
        n = 13
        for i in range(n):
            y = 206 - (206 - tip[1] - 4) * i / (n - 1)
            fresh = y < change
            for side in (1, -1):
                p.leaf(
                    simple(
                        (x + (tip[0] - x) * max(0, change - y) / 80, y),
                        90 - side * (62 - 2 * i),
                        18 if fresh else 15,
                        7,
                        "oval",
                        rib=False,
                    ),
                    "leaf" if fresh else "old",
                )
        if x != 102.0:
            p.add("hair", stroke(arc((x, change + 14), 20 if x > 100 else 160, 17, -100.0 if x > 100 else 100.0)))
            p.add("flower", simple((x + (7 if x > 100 else -25), change + 24), 0, 18, 18, "round", rib=False).outline)
    if target in ("upright", "whole"):
        p.band(0, change, roles=("leaf", "old", "stem"))
        p.cut(change, 22, 178)
        p.whole = True

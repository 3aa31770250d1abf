"""Alfalfa and clover: shoots with leaves of three small leaflets."""

from __future__ import annotations

from .aim import NOTHING, Aim
from .geometry import arc, cubic, heading, limb, polar, polyline, simple, stroke
from .path import Point
from .picture import Picture

GROUND = 240.0
FOLDED = 7


def aim(form: str, stage: str, target: str) -> Aim:
    """Places of clover leaves; the folded one is new, the low one at the back is old."""
    return Aim((4,), young=FOLDED, old=5) if target in ("leaf", "youngest-open") else NOTHING


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw a stand at a stage: leafy, bud or bloom."""
    p.ground(GROUND)
    if form == "alfalfa":
        _alfalfa(p, stage)
    else:
        _clover(p, stage)
    if target == "whole":
        p.band(0, GROUND - 6)
        p.cut(GROUND - 6, 44, 156)
    elif target in CUTS[form]:
        top, bottom, roles = CUTS[form][target]
        p.band(top, bottom, roles=roles)
        p.cut(bottom, 16, 184)
        if top:
            p.cut(top, 16, 184)
    p.whole = target != "leaf" and target != "youngest-open"


ALL = ("leaf", "old", "young", "stem", "flower", "stalk")
CUTS: dict[str, dict[str, tuple[float, float, tuple[str, ...]]]] = {
    "alfalfa": {"top": (0, 114, ALL), "top-third": (0, 102, ALL), "middle-third": (100, 168, ("stem",))},
    "clover": {"top": (0, 172, ALL), "top-third": (0, 150, ALL)},
}


def _three(p: Picture, at: Point, angle: float, size: float, form: str, role: str, rib: bool = True) -> None:
    wide = 0.46 if form == "alfalfa" else 0.86
    for turn in (58, -58, 0) if form == "alfalfa" else (100, -100, 0):
        p.leaf(
            simple(
                at,
                angle + turn,
                size * (1 if turn else 1.06),
                size * wide,
                "obovate",
                veins=3 if role == "target" else 0,
                rib=rib,
            ),
            role,
        )
        if form == "clover" and role != "target":  # the pale arrow on a clover leaflet
            tip = polar(at, angle + turn, size * 0.62)
            p.add(
                "rib",
                polyline(
                    [polar(tip, angle + turn + 128, size * 0.34), tip, polar(tip, angle + turn - 128, size * 0.34)]
                ),
            )


def _alfalfa(p: Picture, stage: str) -> None:
    for dx, lean, tall in ((-12, 107, 0.86), (12, 73, 0.9), (0, 90, 1.0)):
        curve = arc((100.0 + dx, GROUND), lean, 204 * tall, 0)
        p.add("stem", limb(curve, 5.2, 3.2))
        n = 6
        for i in range(n):
            at = cubic(*curve, 0.16 + 0.8 * i / (n - 1))
            side = 1 if (i + (dx > 0)) % 2 else -1
            reach = 15 * (1 - 0.07 * i)
            end = polar(at, lean - side * 52, reach)
            p.stalk(polyline([at, end]))
            _three(p, end, lean - side * 62, 19.5 - 0.5 * i, "alfalfa", "old" if i == 0 else "leaf", rib=False)
            if stage == "bloom" and i in (3, 4):
                other = polar(at, lean + side * 46, 12)
                p.add("hair", polyline([at, other]))
                for k in range(4):
                    p.add(
                        "flower",
                        simple(
                            polar(other, lean + side * 30, 4 * k),
                            lean + side * (30 + (60, -60)[k % 2]),
                            7,
                            4,
                            "oval",
                            rib=False,
                        ).outline,
                    )
        for turn in (-30, 30, 0):
            p.leaf(simple(curve[3], lean + turn, 13, 4.5, "lance"), "young")
        if stage in ("bud", "bloom"):
            p.add("flower", simple(polar(curve[3], lean, 1), lean, 9, 7, "oval", rib=False).outline)


def _clover(p: Picture, stage: str) -> None:
    p.add("stem", limb(arc((30, GROUND - 3), 4, 142, -6), 6, 4))
    leaves = ((52, 108, 92), (66, 96, 128), (118, 82, 120), (142, 70, 96), (92, 92, 152), (108, 60, 60), (76, 124, 66))
    for i in p.order(range(len(leaves))):
        x, lean, tall = leaves[i]
        curve = arc((x, GROUND - 5.0), lean, tall, (90 - lean) * 0.8)
        dark = p.turn(i)
        p.stalk(stroke(curve), target=dark)
        _three(
            p,
            curve[3],
            heading(curve[2], curve[3]),
            25 if i < 5 else 20,
            "clover",
            "target" if dark else "old" if i > 4 else "leaf",
        )
        p.turn()
    curve = arc((104.0, GROUND - 5.0), 86, 128, -6)
    dark = p.turn(FOLDED)
    p.stalk(stroke(curve), target=dark)
    for turn in (-24, 24, 0):
        p.leaf(simple(curve[3], 84 + turn, 14, 6, "lance"), "target" if dark else "young", mark="young")
    p.turn()
    if stage == "bloom":
        for x, lean, tall in ((60, 103, 152), (130, 77, 146)):
            curve = arc((float(x), GROUND - 5.0), lean, tall, 0)
            p.add("hair", stroke(curve))
            for k in range(7):
                p.add("flower", simple(curve[3], 90 + (k - 3) * 36, 15, 6, "lance", rib=False).outline)

"""Runners on the ground: cucumber, melons, squash, sweet potato. Leaves are counted back from the tip."""

from __future__ import annotations

from .aim import NOTHING, Aim, from_tip
from .geometry import arc, cubic, heading, limb, lobed, polar, simple, stroke
from .path import Point
from .picture import Picture

KINDS = {
    "cucumber": "cucurbit",
    "cantaloupe": "melon",
    "squash": "cucurbit",
    "watermelon": "watermelon",
    "sweet-potato": "sweet-potato",
}
PLACES = {"fifth": 5, "leaf": 4, "blade": 4, "petiole": 4, "parted": 4, "third": 3, "base": 8, "youngest-open": 2}
N = 8


def aim(form: str, stage: str, target: str) -> Aim:
    """Places from the crown."""
    if target not in PLACES:
        return NOTHING
    place = PLACES[target]
    return from_tip(
        N, place, young=2 if place > 2 else 1, old=min(place + 3, N), count=place if target in ("fifth", "third") else 0
    )


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one runner at a stage: leafy, bloom or fruit. The tip is at the top right."""
    p.ground(236)
    vine = ((22.0, 236.0), (62.0, 170.0), (96.0, 140.0), (176.0, 38.0))
    p.add("stem", limb(vine, 6.5, 2.6))
    for i in range(N):
        at = _node(vine, i)
        if form != "sweet-potato" and 1 < i < N - 1:
            for turn, length in ((120.0, 20), (-90.0, 13)):
                p.add("hair", stroke(arc(at, heading(at, vine[3]) + 40 * _side(i + 1), length, turn * -_side(i))))
        if stage in ("bloom", "fruit") and i in (2, 4) and form != "sweet-potato":
            _flower(p, form, at, _side(i + 1), stage == "fruit" and i == 2)
    for i in p.order(range(N)):
        _leaf(p, KINDS[form], vine, i, target if p.turn(i) else "")
        p.turn()
    for turn in (30, -24, 0):
        p.leaf(simple(vine[3], 62 + turn, 12, 5, "lance"), "young", mark="young")
    if target == "whole":
        p.band(0, 230)
        p.whole = True


def _node(vine: tuple[Point, Point, Point, Point], i: int) -> Point:
    return cubic(*vine, 0.1 + 0.85 * i / (N - 1))


def _side(i: int) -> int:
    return 1 if i % 2 else -1


def _leaf(p: Picture, shape: str, vine: tuple[Point, Point, Point, Point], i: int, target: str) -> None:
    at, side, back = _node(vine, i), _side(i), N - i
    along = heading(at, cubic(*vine, 0.16 + 0.84 * i / (N - 1)))
    size = {1: 0.34, 2: 0.56, 3: 0.8}.get(back, 1.0) * (1.08 if i in p.aim.right else 1)
    curve = arc(at, along - side * 58, 25 * size, -16.0 * side)
    only = target == "petiole"
    role = "target" if target and not only else "young" if back <= 2 else "old" if i == 0 else "leaf"
    end, ahead = curve[3], heading(curve[2], curve[3])
    if not only:
        p.stalk(stroke(curve), target=bool(target) and target != "blade")
    if target == "parted":
        end = polar(end, ahead, 8)
    leaf = lobed(end, ahead, 37 * size, shape)
    p.leaf(leaf, role, mark="young" if back == 1 else "")
    p.number(i, leaf.tip)
    if only:
        p.stalk(stroke(curve), target=True)


def _flower(p: Picture, form: str, at: Point, side: int, fruit: bool) -> None:
    end = polar(at, 50 - side * 62, 17)
    p.add("hair", stroke((at, at, end, end)))
    if fruit:
        long, wide = {"cucumber": (34, 12), "squash": (30, 22), "cantaloupe": (26, 26)}.get(form, (34, 25))
        p.add("flower", simple(end, 50 - side * 62, long, wide, "oval", rib=False).outline)
        return
    for j in range(5):
        p.add("flower", simple(end, 90 + 72 * j, 9, 7, "ovate", rib=False).outline)

"""Plants whose leaves come from one crown at the soil: beet, spinach, lettuce, cabbage, broccoli, celery, radish."""

from __future__ import annotations

from dataclasses import dataclass

from .aim import NOTHING, Aim
from .geometry import Leaf, arc, heading, lobed, polar, polyline, simple, smooth, stroke, toothed
from .path import Path, Point
from .picture import Picture

GROUND = 214.0
CROWN = (100.0, GROUND)
PARTS = ("leaf", "blade", "petiole", "parted", "third", "middle-ring", "youngest-open", "first-from-centre")


@dataclass(frozen=True)
class Kind:
    """What makes one rosette look like itself."""

    shape: str = "oval"
    size: float = 66
    wide: float = 0.5
    petiole: float = 44
    root: str = ""
    head: str = ""


KINDS: dict[str, Kind] = {
    "rosette": Kind(),
    "sugar-beet": Kind(shape="oval", size=66, wide=0.54, petiole=54, root="beet"),
    "spinach": Kind(shape="ovate", size=52, wide=0.64, petiole=40),
    "radish": Kind(shape="canola", size=80, petiole=26, root="radish"),
    "canola-rosette": Kind(shape="canola", size=86, petiole=26),
    "celery": Kind(shape="celery", size=26, petiole=84),
    "lettuce": Kind(shape="frill", size=84, wide=0.74, petiole=8, head="lettuce"),
    "cabbage": Kind(shape="round", size=74, wide=0.82, petiole=16, head="cabbage"),
    "broccoli": Kind(shape="oval", size=74, wide=0.52, petiole=34, head="curd"),
    "cauliflower": Kind(shape="oval", size=82, wide=0.46, petiole=22, head="curd"),
}
# The ring of leaves, oldest and flattest first: direction, size, role.
RING = (
    (168, 0.92, "old"),
    (12, 0.92, "old"),
    (152, 1.0, "leaf"),
    (28, 1.0, "leaf"),
    (134, 1.02, "leaf"),
    (46, 1.02, "leaf"),
    (117, 0.98, "leaf"),
    (64, 1.0, "leaf"),
    (102, 0.66, "young"),
    (80, 0.6, "young"),
    (91, 0.46, "young"),
)
HUGGING = 20
"""The place of the leaf that hugs the head."""


def ring(kind: Kind, headed: bool) -> int:
    """How many leaves of the ring are drawn."""
    return len(RING) if not headed else 8 if kind.head == "curd" else 6


def aim(form: str, stage: str, target: str) -> Aim:
    """Places in the ring, the oldest first."""
    kind = KINDS[form]
    headed = stage == "head" and bool(kind.head)
    if target == "wrapper":
        return Aim((HUGGING,), old=1)
    if target not in PARTS:
        return NOTHING
    if headed:
        return Aim((ring(kind, headed) - 1,), old=1)
    right = {"third": 5, "middle-ring": 5, "youngest-open": 8}.get(target, 7)
    return Aim((right,), young=10 if right == 8 else 9, old=1)


def draw(p: Picture, form: str, stage: str, target: str) -> None:
    """Draw one plant at a stage: leafy, or head where it makes one."""
    kind = KINDS[form]
    p.ground(GROUND + 1)
    _root(p, kind)
    headed = stage == "head" and bool(kind.head)
    leaves = list(enumerate(RING[: ring(kind, headed)]))
    if kind.head == "curd":
        p.add("stem", polyline([(94, GROUND), (95, GROUND - 26), (105, GROUND - 26), (106, GROUND)], closed=True))
    # A row is drawn from the middle outward, so that older leaves lie in front.
    for i, (angle, size, role) in reversed(leaves):
        if i not in p.marked:
            _leaf(p, kind, angle, size, role, "", i)
    if headed:
        _head(p, kind, p.turn(HUGGING))
    for i, (angle, size, role) in leaves:
        if p.turn(i):
            _leaf(p, kind, angle, size * (1.06 if i in p.aim.right else 1), role, target, i)
    p.turn()
    if target == "whole":
        p.band(0, GROUND + 30, roles=("leaf", "old", "young", "stalk"))
        p.cut(GROUND + 1, 70, 130)
        p.whole = True


def make_leaf(kind: Kind, at: Point, angle: float, size: float, veins: int) -> list[Leaf]:
    """The blade, or the leaflets of celery."""
    if kind.shape == "celery":
        out = [toothed(at, angle, size * 1.2, size, "obovate", teeth=3, depth=0.14, veins=veins)]
        back = polar(at, angle + 180, size * 0.7)
        return [
            *(
                toothed(back, angle + t, size, size * 0.8, "obovate", teeth=3, depth=0.14, veins=veins)
                for t in (62, -62)
            ),
            *out,
        ]
    if kind.shape == "canola":
        return [lobed(at, angle, size, "canola")]
    if kind.shape == "frill":
        return [_frill(at, angle, size, size * kind.wide, veins)]
    return [simple(at, angle, size, size * kind.wide, kind.shape, veins=veins)]


def _frill(at: Point, angle: float, length: float, width: float, veins: int) -> Leaf:
    """A soft leaf with a wavy edge."""
    body = simple(at, angle, length, width, "obovate", veins=veins)
    points = body.outline.points
    centre = polar(at, angle, length * 0.6)
    wavy = [
        (*(polar(p, heading(centre, p), 2.6 if i % 2 else -1.6) if 2 < i < len(points) - 3 else p), False)
        for i, p in enumerate(points[:-1])
    ]
    return Leaf(smooth(wavy), body.ribs, body.tip)


def _leaf(p: Picture, kind: Kind, angle: float, size: float, role: str, target: str, i: int) -> None:
    side = 1 if angle < 90 else -1
    start = (CROWN[0] + (angle - 90) * -0.12, GROUND - 2 - (24 if kind.head == "curd" else 0))
    turn = (90 - angle) * 0.34 if angle != 91 else 0
    lift = angle + (90 - angle) * 0.18
    curve = arc(start, lift, kind.petiole * size, -abs(turn) * side * 0.6)
    dark = bool(target) and target != "blade"
    end, along = curve[3], heading(curve[2], curve[3])
    if target == "parted":
        end = polar(end, along, 8)
    fill = "target" if target and target != "petiole" else role
    if target != "petiole":
        p.stalk(stroke(curve), target=dark)
    for leaf in make_leaf(kind, end, along - abs(turn) * side * 0.5, kind.size * size, 5 if fill == "target" else 0):
        p.leaf(leaf, fill, mark="young" if role == "young" else "")
    if target == "petiole":
        p.stalk(stroke(curve), target=True)


def _root(p: Picture, kind: Kind) -> None:
    if kind.root == "beet":
        p.add(
            "flower",
            Path()
            .move((82, GROUND - 4))
            .curve((78, GROUND + 12), (90, GROUND + 34), (100, GROUND + 42))
            .curve((110, GROUND + 34), (122, GROUND + 12), (118, GROUND - 4))
            .close(),
        )
    elif kind.root == "radish":
        p.add(
            "flower",
            Path()
            .move((90, GROUND - 3))
            .curve((72, GROUND + 8), (90, GROUND + 24), (100, GROUND + 40))
            .curve((110, GROUND + 24), (128, GROUND + 8), (110, GROUND - 3))
            .close(),
        )


def _head(p: Picture, kind: Kind, wrap: bool) -> None:
    """A head in the middle; the wrapper leaf is the first that hugs it."""
    if kind.head == "curd":
        for dx, dy, r in ((-24, -84, 15), (24, -84, 15), (-12, -96, 16), (12, -96, 16), (0, -82, 17)):
            x, y = 100.0 + dx, GROUND + dy
            bumps = [(*polar((x, y), 36 * k, r + (2.4 if k % 2 else -1.2)), False) for k in range(10)]
            p.add("flower", smooth(bumps))
        return
    y = GROUND - 50
    p.add("leaf", simple((58, y), 0, 84, 86, "round", rib=False).outline)
    p.add(
        "rib",
        stroke(((84, y + 38), (70, y + 6), (78, y - 26), (110, y - 34))),
        stroke(((104, y + 40), (92, y + 8), (100, y - 12), (130, y - 18))),
    )
    for side in (-1, 1):  # the leaves that hug the head

        def at(dx: float, up: float, side: int = side) -> tuple[float, float]:
            return 100 + side * dx, GROUND - up

        outline = (
            Path()
            .move(at(4, 2))
            .curve(at(50, 4), at(76, 62), at(40, 104))
            .curve(at(12, 92), at(12, 44), at(4, 2))
            .close()
        )
        ribs = stroke((at(6, 6), at(32, 20), at(42, 60), at(39, 96)))
        for k in range(4):
            ribs.move(at(20 + 5 * k, 18 + 17 * k)).line(at(35 + 5 * k, 24 + 19 * k))
        p.leaf(Leaf(outline, ribs, at(40, 104)), "target" if wrap and side > 0 else "leaf")

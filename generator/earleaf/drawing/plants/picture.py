"""One picture: what is drawn in which role, the two labels, and the SVG text. Same input, same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import copy
from html import escape

from .aim import NOTHING, Aim
from .geometry import Box, Leaf, Path, Point, between, box_of, number, polyline, tidy, union
from .labels import (
    CELL,
    LETTER,
    LINE_HEIGHT,
    MARK,
    SIZES,
    SMALL_MARK,
    WIDTH,
    Grid,
    beside,
    covered,
    edge,
    gap,
    nearest,
    place,
)
from .marks import cross, hatch, length, thicker
from .roles import BAND, CORE, FONT, HALO, HEAVY, INK, INSIDE, LINE, NO_INK, PAD, PAGE, ROLES, SMALL


class Picture:
    """Collects paths in drawing order. `mark` names a path that a label speaks about ("young").

    `aim` says which leaves stand out; with `wrong` ("young", "old", "other") it is the wrong leaf, and it gets a cross.
    `bare` is set where the leaf stalk alone is taken: it is drawn thicker.
    """

    def __init__(self, ident: str, height: int = 260, aim: Aim = NOTHING, wrong: str = "", bare: bool = False) -> None:
        self.ident, self.height, self.bare = ident, height, bare
        self.aim, self.wrong, self.voice = aim, wrong, ""
        self.marked = aim.marked(wrong)
        self.items: list[tuple[str, Path]] = []
        self.marks: dict[str, list[Point]] = {"target": [], "either": [], "wrong": [], "young": []}
        self.extra: list[tuple[Point, str, str]] = []
        self.counts: list[tuple[int, Point]] = []
        self.boxes: list[Box] = []
        self.whole = False

    def fresh(self, ident: str) -> Picture:
        """The same strokes under another name, with nothing placed beside them yet."""
        other = copy(self)
        other.ident, other.boxes = ident, []
        return other

    def turn(self, place: int | None = None) -> bool:
        """What follows is the leaf at this place: does it stand out?"""
        out = place in self.marked
        self.voice = "" if not out else "wrong" if self.wrong else "either" if place in self.aim.either else ""
        return out

    def number(self, place: int, at: Point) -> None:
        """Give a counted place its number."""
        if place in self.aim.counted and not self.wrong:
            self.counts.append((self.aim.counted.index(place) + 1, at))

    def order(self, places: Iterable[int]) -> list[int]:
        """The same places; those that stand out come last and so lie on top."""
        return sorted(places, key=self.marked.__contains__)

    def add(self, role: str, *paths: Path, mark: str = "") -> None:
        """Draw paths in a role."""
        if self.voice and role.startswith("target"):
            role = role.replace("target", self.voice)
        for path in paths:
            self.items.append((role, path))
            if role.split("-")[0] in ("target", "either", "wrong") and not role.endswith(("rib", "hatch")):
                self.marks[role.split("-")[0]] += path.points
                if role == "either":
                    self.items.append(("either-hatch", hatch(path)))
            elif mark:
                self.marks[mark] += path.points

    def leaf(self, leaf: Leaf, role: str = "leaf", mark: str = "") -> None:
        """Draw a leaf with its ribs."""
        self.add(role, leaf.outline, mark=mark)
        if leaf.ribs:
            ribs = Path("".join(rib.d for rib in leaf.ribs), [p for rib in leaf.ribs for p in rib.points])
            self.add("target-rib" if role == "target" else "rib", ribs)

    def stalk(self, path: Path, target: bool = False) -> None:
        """Draw a leaf stalk as a line."""
        self.add(("target-stalk" if self.bare else "target-line") if target else "stalk", path)

    def ground(self, y: float, left: float = 14, right: float = 186) -> None:
        """A strip of soil."""
        top = [(left, y), (left + (right - left) * 0.3, y - 1.5), (left + (right - left) * 0.7, y + 1), (right, y)]
        self.add("ground", polyline([*top, (right - 6, y + 9), (left + 6, y + 9)], closed=True))

    def cut(self, y: float, left: float, right: float) -> None:
        """A dashed line where the scout cuts."""
        self.add("cut", polyline([(left, y), (right, y)]))

    def band(
        self, top: float, bottom: float, left: float = -100, right: float = 300, roles: tuple[str, ...] = BAND
    ) -> None:
        """Make dark what is drawn so far between two heights."""
        clip = Path("clip", [(left, top), (right, bottom)])
        dark = {"stalk": "band-line", "hair": "band-hair", "fern": "band-hair"}
        before, self.items = self.items, [clipped for clipped in self.items if not self._all_in(clipped, clip, roles)]
        self.items.append(("clip", clip))
        for role, path in before:
            if role in roles:
                inside = [p for p in path.points if top <= p[1] <= bottom and left <= p[0] <= right]
                if inside:
                    self.items.append((dark.get(role, "band"), path))
                    self.marks["target"] += inside
        ribs: list[tuple[str, Path]] = []
        if "leaf" in roles:
            ribs = [("band-rib", path) for role, path in before if role == "rib" and self._touches(path, clip)]
        if not ribs:  # a part without ribs is hatched
            ribs = [
                ("band-hatch", hatch(path, 7)) for role, path in before if role == "stem" and self._touches(path, clip)
            ]
        self.items += [*ribs, ("clip-end", clip)]

    @staticmethod
    def _touches(path: Path, clip: Path) -> bool:
        """Is some of this path between the heights of a band?"""
        (left, top), (right, bottom) = clip.points
        return any(top <= y <= bottom and left <= x <= right for x, y in path.points)

    @staticmethod
    def _all_in(item: tuple[str, Path], clip: Path, roles: tuple[str, ...]) -> bool:
        """Would this be hidden under its dark copy?"""
        (left, top), (right, bottom) = clip.points
        return item[0] in (*roles, "rib") and all(top <= y <= bottom and left <= x <= right for x, y in item[1].points)

    def ruler(
        self, x: float, zero: float, inch: float, marks: Iterable[tuple[int, str, str]], last: int, step: int = 1
    ) -> None:
        """A stick with ticks, and words at the marks that matter."""
        self.add("ruler", polyline([(x, zero), (x, zero - last * inch)]))
        self.add(
            "ruler", *(polyline([(x, zero - i * inch), (x + 5, zero - i * inch)]) for i in range(0, last + 1, step))
        )
        for at, key, text in marks:
            self.extra.append(((x - 3, zero - at * inch), key, text))

    def finish(self) -> None:
        """Cross out what is wrong; make the plant narrower where it would run over the sides."""
        self.turn()
        if self.wrong:
            self.add(
                "cross", *cross([path for role, path in self.items if role in ("wrong", "wrong-line", "wrong-stalk")])
            )
        left, _, right, bottom = self.bounds()
        reach = max(right - 100, 100 - left)
        if reach > 96:
            about = (100.0, bottom)
            self.items = [(role, path.scaled(about, 96 / reach)) for role, path in self.items]
            self.marks = {key: [between(about, p, 96 / reach) for p in ps] for key, ps in self.marks.items()}
            self.extra = [(between(about, p, 96 / reach), key, text) for p, key, text in self.extra]
            self.counts = [(k, between(about, p, 96 / reach)) for k, p in self.counts]

    def bounds(self) -> Box:
        """The box around everything drawn, without labels."""
        return union([box_of(path.points) for role, path in self.items if role not in NO_INK and path.points])

    def svg(self, title: str, description: str, labels: Mapping[str, str], frame: Box | None = None) -> str:
        """The finished picture. See `draw` for the words; `frame` is the box that a small picture must hold."""
        ident, small = escape(self.ident, quote=True), frame is not None
        body = self._body(ident, small)
        self.boxes = []
        text = self._labels({key: text for key, text in labels.items() if not small or key not in SIZES}, small)
        view = " ".join(map(str, self.view(frame)))
        font = f' font-family="{FONT}"' if text else ""
        line = f' stroke-width="{number(SMALL)}"' if small else ""
        return (
            f'<svg class="el-plant{" el-small" if small else ""}" xmlns="http://www.w3.org/2000/svg" '
            f'viewBox="{view}" role="img" aria-labelledby="{ident}-t {ident}-d" '
            f'fill="none" stroke="{LINE}" stroke-linejoin="round" stroke-linecap="round"{font}{line}>'
            f'<title id="{ident}-t">{escape(title)}</title><desc id="{ident}-d">{escape(description)}</desc>'
            f"{body}{text}</svg>"
        )

    def extent(self) -> Box:
        """The box around the plant and the large numbers of a small picture."""
        self.boxes = []
        self._labels({}, small=True)
        return union([self.bounds(), *self.boxes])

    def window(self) -> tuple[int, int]:
        """Top and height of the page view: empty space is cut off, down to a height of 200."""
        _, low, _, high = self.bounds()
        ys = [low, high, *(y for b in self.boxes for y in (b[1], b[3]))]
        top, bottom = int(min(ys)) - 6, int(max(ys)) + 7
        if bottom - top < 200:
            top = (top + bottom) // 2 - 100
            bottom = top + 200
        return top, min(bottom - top, 260)

    def view(self, frame: Box | None) -> tuple[int, int, int, int]:
        """The four numbers of the view box: the page view, or tight around a frame."""
        if frame is None:
            page = self.window()
            return 0, page[0], WIDTH, page[1]
        left, top, right, bottom = union([frame, *self.boxes])
        x0, y0 = int(left) - PAD, int(top) - PAD
        return x0, y0, int(right) + PAD + 1 - x0, int(bottom) + PAD + 1 - y0

    def _body(self, ident: str, small: bool = False) -> str:
        out: list[str] = []
        open_role = ""
        for role, path in self.items:
            if role in NO_INK:
                out += ["</g>" * bool(open_role), self._clip(ident, path) if role == "clip" else "</g>"]
                open_role = ""
                continue
            if not path.d or (small and role in ("rib", "either-rib")):
                continue
            fine = not small or (role.split("-")[0] in HEAVY and role != "band-rib")
            role = {"band-line": "target-line", "band-rib": "target-rib", "band-hatch": "target-rib"}.get(role, role)
            look = ROLES[role] if fine else thicker(ROLES[role], SMALL)
            if (role, open_role) in INSIDE:
                out.append(f'<path {look} d="{path.d}"/>')  # a rib inside its leaf's group
                continue
            if role != open_role:
                out.append(f"{'</g>' * bool(open_role)}<g {look}>")
                open_role = role
            out.append(self._stroke(role, path))
        out.append("</g>" if open_role else "")
        return tidy("".join(out))

    @staticmethod
    def _stroke(role: str, path: Path) -> str:
        """A path; where it stands out with its white edge, and with the line inside a stalk."""
        edge = f'<path class="el-halo" fill="none" stroke="{PAGE}" stroke-width="{HALO.get(role)}" d="{path.d}"/>'
        core = f'<path {CORE.get(role)} d="{path.d}"/>'
        return f'{edge * (role in HALO)}<path d="{path.d}"/>{core * (role in CORE and length(path) > 12)}'

    @staticmethod
    def _clip(ident: str, clip: Path) -> str:
        (left, top), (right, bottom) = clip.points
        return (
            f'<clipPath id="{ident}-c"><rect x="{number(left)}" y="{number(top)}" '
            f'width="{number(right - left)}" height="{number(bottom - top)}"/></clipPath>'
            f'<g clip-path="url(#{ident}-c)">'
        )

    # -- labels ---------------------------------------------------------------------------------

    def _labels(self, labels: Mapping[str, str], small: bool = False) -> str:
        size = SMALL_MARK if small else MARK
        out = [self._fixed(p, labels.get(key) or text, size) for p, key, text in self.extra]
        if not self.counts and not labels:
            return "".join(out)
        plant, target = self._cells()
        out += [self._number(k, p, plant, target, size) for k, p in self.counts]
        for key in ("wrong",) if self.wrong else ("target",) if self.whole else ("target", "young"):
            text, about = labels.get(key, "").strip(), self.marks[key]
            if text and about:
                out.append(self._place(key, text, about, plant, target))
        return "".join(out)

    def _number(self, k: int, at: Point, plant: Grid, target: Grid, size: float) -> str:
        """The number of a counted leaf, beside it."""
        box = beside(str(k), size, at, plant, target, self.boxes)
        self.boxes.append(box)
        return _text(
            "el-plant-label el-mark", [str(k)], (box[0] + box[2]) / 2, box[3] - size * 0.14, size, "middle", INK, "700"
        )

    def _fixed(self, at: Point, text: str, size: float) -> str:
        width = len(text) * size * LETTER
        self.boxes.append((at[0] - width, at[1] - size / 2, at[0], at[1] + size / 2))
        return _text("el-plant-label el-mark", [text], at[0], at[1] + size * 0.35, size, "end", INK, "600")

    def _cells(self) -> tuple[Grid, Grid]:
        """Grid cells under the plant, and under the target."""
        plant: set[tuple[int, int]] = set()
        target = {(int(x // CELL), int(y // CELL)) for x, y in self.marks["target"]}
        for role, path in self.items:
            if role in NO_INK or role.endswith(("rib", "hatch")):
                continue
            cells = covered(path)
            plant |= cells
            if role in HALO:
                target |= cells
            elif role in ("band", "band-line", "band-hair"):
                (_, top), (_, bottom) = next(p for r, p in self.items if r == "clip").points
                target |= {c for c in cells if top - CELL <= c[1] * CELL <= bottom}
        return Grid(plant, self.height), Grid(target, self.height)

    def _place(self, key: str, text: str, about: list[Point], plant: Grid, target: Grid) -> str:
        """One label with its line."""
        size, weight = SIZES[key], "600" if key == "young" else "700"
        found = place(text, size, about, plant, target, self.boxes, self.height, clear=16 if key == "young" else 4)
        if found is None:
            return ""
        box, lines = found
        self.boxes.append(box)
        near = nearest(box, about)
        lead = ""
        if gap(box, near) > 4:
            d = polyline([edge(box, near), near]).d
            lead = (
                f'<path class="el-halo" fill="none" stroke="{PAGE}" stroke-width="3.4" d="{d}"/>'
                f'<path class="el-lead" fill="none" stroke="{INK}" stroke-width="1.1" d="{d}"/>'
            )
        middle = (box[0] + box[2]) / 2
        return lead + _text(
            f"el-plant-label el-label-{key}",
            lines,
            middle,
            box[1] + 10.5,
            size,
            "middle",
            "#4A544E" if key == "young" else INK,
            weight,
        )


def _text(name: str, lines: list[str], x: float, y: float, size: float, anchor: str, fill: str, weight: str) -> str:
    rows = "".join(
        f'<text x="{number(x)}" y="{number(y + LINE_HEIGHT * i)}">{escape(line)}</text>' for i, line in enumerate(lines)
    )
    return (
        f'<g class="{name}" font-size="{number(size)}" font-weight="{weight}" text-anchor="{anchor}" fill="{fill}" '
        f'stroke="{PAGE}" stroke-width="3" paint-order="stroke">{rows}</g>'
    )

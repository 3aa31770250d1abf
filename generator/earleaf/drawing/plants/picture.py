"""One picture: what is drawn in which role, the two labels, and the SVG text. Same input, same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape

from .geometry import Box, Leaf, Path, Point, between, number, polyline
from .labels import CELL, LETTER, LINE_HEIGHT, SIZES, WIDTH, Grid, covered, edge, gap, nearest, place

TARGET, PLANT, LINE, OLD, GROUND = "#17324D", "#DDEBCF", "#3E6B33", "#EEF1DF", "#E8DECB"
YOUNG, FLOWER, PAGE, INK, QUIET = "#F4F8EC", "#FBFAF4", "#FFFFFF", "#16211C", "#6B746F"

ROLES: dict[str, str] = {
    "leaf": f'class="el-plant-leaf" fill="{PLANT}" stroke="{LINE}"',
    "old": f'class="el-plant-leaf el-old" fill="{OLD}" stroke="{LINE}"',
    "young": f'class="el-plant-leaf el-young" fill="{YOUNG}" stroke="{LINE}"',
    "rib": f'class="el-plant-rib" fill="none" stroke="{LINE}" stroke-width=".6"',
    "stem": f'class="el-plant-stem" fill="{PLANT}" stroke="{LINE}"',
    "stalk": f'class="el-plant-stalk" fill="none" stroke="{LINE}" stroke-width="2"',
    "hair": f'class="el-plant-stalk" fill="none" stroke="{LINE}" stroke-width=".9"',
    "fern": f'class="el-plant-stalk" fill="none" stroke="{LINE}" stroke-width=".8"',
    "band-hair": f'class="el-target el-target-line" fill="none" stroke="{TARGET}" stroke-width="1.9"',
    "collar": f'class="el-plant-collar" fill="none" stroke="{LINE}" stroke-width="2.4"',
    "wood": f'class="el-wood" fill="{GROUND}" stroke="{QUIET}"',
    "flower": f'class="el-flower" fill="{FLOWER}" stroke="{LINE}" stroke-width=".9"',
    "ground": f'class="el-ground" fill="{GROUND}"',
    "cut": f'class="el-cut" fill="none" stroke="{INK}" stroke-width="1.6" stroke-dasharray="5 3"',
    "ruler": f'class="el-ruler" fill="none" stroke="{INK}" stroke-width="1"',
    "target": f'class="el-target" fill="{TARGET}" stroke="{TARGET}" stroke-width="2.4"',
    "band": f'class="el-target el-target-each" fill="{TARGET}" stroke="{PAGE}" stroke-width=".8"',
    "target-line": f'class="el-target el-target-line" fill="none" stroke="{TARGET}" stroke-width="4.4"',
    "target-rib": f'class="el-target-rib" fill="none" stroke="{PAGE}" stroke-width="1.1"',
}
BAND = ("leaf", "old", "young", "stem", "flower", "stalk")
INSIDE = {("rib", "leaf"), ("rib", "old"), ("rib", "young"), ("target-rib", "target")}


class Picture:
    """Collects paths in drawing order. `mark` names a path that a label speaks about ("young")."""

    def __init__(self, ident: str, height: int = 260) -> None:
        self.ident, self.height = ident, height
        self.items: list[tuple[str, Path]] = []
        self.marks: dict[str, list[Point]] = {"target": [], "young": []}
        self.extra: list[tuple[Point, str, str]] = []
        self.boxes: list[Box] = []
        self.whole = False

    def add(self, role: str, *paths: Path, mark: str = "") -> None:
        """Draw paths in a role."""
        for path in paths:
            self.items.append((role, path))
            if role in ("target", "target-line"):
                self.marks["target"] += path.points
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
        self.add("target-line" if target else "stalk", path)

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
        for role, path in before:
            if role == "rib" and any(top <= p[1] <= bottom and left <= p[0] <= right for p in path.points):
                self.items.append(("band-rib", path))
        self.items.append(("clip-end", clip))

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

    def fit(self) -> None:
        """Make the plant narrower where it would run over the sides."""
        reach = max(
            abs(x - 100) for role, path in self.items if role not in ("clip", "clip-end") for x, _ in path.points
        )
        if reach > 96:
            about = (
                100.0,
                max(y for role, path in self.items if role not in ("clip", "clip-end") for _, y in path.points),
            )
            self.items = [(role, path.scaled(about, 96 / reach)) for role, path in self.items]
            self.marks = {key: [between(about, p, 96 / reach) for p in ps] for key, ps in self.marks.items()}
            self.extra = [(between(about, p, 96 / reach), key, text) for p, key, text in self.extra]

    def svg(self, title: str, description: str, labels: Mapping[str, str]) -> str:
        """The finished picture."""
        ident = escape(self.ident, quote=True)
        out = [
            f'<svg class="el-plant" xmlns="http://www.w3.org/2000/svg" viewBox="VIEW" '
            f'role="img" aria-labelledby="{ident}-t {ident}-d" stroke-linejoin="round" stroke-linecap="round">'
            f'<title id="{ident}-t">{escape(title)}</title><desc id="{ident}-d">{escape(description)}</desc>'
        ]
        out.append(self._body(ident))
        out.append(self._labels(labels))
        out.append("</svg>")
        top, height = self.window()
        return "".join(out).replace("VIEW", f"0 {top} {WIDTH} {height}", 1)

    def window(self) -> tuple[int, int]:
        """Top and height of the view: empty space is cut off, down to a height of 200."""
        ys = [y for role, path in self.items if role not in ("clip", "clip-end") for _, y in path.points]
        ys += [y for b in self.boxes for y in (b[1], b[3])]
        top, bottom = int(min(ys)) - 6, int(max(ys)) + 7
        if bottom - top < 200:
            top = (top + bottom) // 2 - 100
            bottom = top + 200
        return top, min(bottom - top, 260)

    def _body(self, ident: str) -> str:
        out: list[str] = []
        open_role = ""
        for role, path in self.items:
            if role == "clip":
                (left, top), (right, bottom) = path.points
                out.append("</g>" if open_role else "")
                out.append(
                    f'<clipPath id="{ident}-c"><rect x="{number(left)}" y="{number(top)}" '
                    f'width="{number(right - left)}" height="{number(bottom - top)}"/></clipPath>'
                    f'<g clip-path="url(#{ident}-c)">'
                )
                open_role = ""
                continue
            if role == "clip-end":
                out.append("</g>" if open_role else "")
                out.append("</g>")
                open_role = ""
                continue
            role = {"band-line": "target-line", "band-rib": "target-rib"}.get(role, role)
            if (role, open_role) in INSIDE:
                out.append(f'<path {ROLES[role]} d="{path.d}"/>')  # a rib inside its leaf's group
                continue
            if role != open_role:
                out.append(("</g>" if open_role else "") + f"<g {ROLES[role]}>")
                open_role = role
            if role in ("target", "target-line"):
                wide = 5.6 if role == "target" else 8
                out.append(f'<path class="el-halo" fill="none" stroke="{PAGE}" stroke-width="{wide}" d="{path.d}"/>')
            out.append(f'<path d="{path.d}"/>')
        out.append("</g>" if open_role else "")
        return "".join(out)

    # -- labels ---------------------------------------------------------------------------------

    def _labels(self, labels: Mapping[str, str]) -> str:
        plant, target = self._cells()
        out = [self._fixed(p, labels.get(key) or text) for p, key, text in self.extra]
        for key in ("target",) if self.whole else ("target", "young"):
            text, about = labels.get(key, "").strip(), self.marks[key]
            if text and about:
                out.append(self._place(key, text, about, plant, target))
        return "".join(out)

    def _fixed(self, at: Point, text: str) -> str:
        width = len(text) * 11.5 * LETTER
        self.boxes.append((at[0] - width, at[1] - 6, at[0], at[1] + 6))
        return _text("el-label el-mark", [text], at[0], at[1] + 4, 11.5, "end", INK, "600")

    def _cells(self) -> tuple[Grid, Grid]:
        """Grid cells under the plant, and under the target."""
        plant: set[tuple[int, int]] = set()
        target = {(int(x // CELL), int(y // CELL)) for x, y in self.marks["target"]}
        for role, path in self.items:
            if role in ("clip", "clip-end", "rib", "target-rib", "band-rib"):
                continue
            cells = covered(path)
            plant |= cells
            if role in ("target", "target-line"):
                target |= cells
            elif role in ("band", "band-line", "band-hair"):
                (_, top), (_, bottom) = next(p for r, p in self.items if r == "clip").points
                target |= {c for c in cells if top - CELL <= c[1] * CELL <= bottom}
        return Grid(plant, self.height), Grid(target, self.height)

    def _place(self, key: str, text: str, about: list[Point], plant: Grid, target: Grid) -> str:
        """One label with its line."""
        size, weight = SIZES[key], "700" if key == "target" else "600"
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
            f"el-label el-label-{key}",
            lines,
            middle,
            box[1] + 10.5,
            size,
            "middle",
            INK if key == "target" else "#4A544E",
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

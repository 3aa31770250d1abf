"""One picture: what is drawn in which role, the two labels, and the SVG text. Same input, same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import copy
from html import escape

from .aim import NOTHING, Aim
from .geometry import Leaf, between, polyline
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
from .marks import cross, hatch, length
from .path import Box, Path, Point, around, number, tidy, union
from .roles import (
    BAND,
    BANDED,
    CORE,
    FONT,
    HALO,
    INK,
    INSIDE,
    LINE,
    MARKS,
    NO_INK,
    PAD,
    PAGE,
    ROLES,
    SMALL,
    SMALL_LOOKS,
)


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
        self.about: dict[str, list[tuple[Path, Path | None]]] = {"target": [], "either": [], "wrong": [], "young": []}
        self.extra: list[tuple[Point, str, str]] = []
        self.counts: list[tuple[int, Point]] = []
        self.boxes: list[Box] = []
        self.bounds: Box = (0, 0, 0, 0)
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
        key = MARKS.get(role, mark)
        for path in paths:
            self.items.append((role, path))
            if key:
                self.about[key].append((path, None))
            if role == "either":
                self.items.append(("either-hatch", hatch(path)))

    def leaf(self, leaf: Leaf, role: str = "leaf", mark: str = "") -> None:
        """Draw a leaf with its ribs."""
        self.add(role, leaf.outline, mark=mark)
        self.ribs(leaf, "target-rib" if role == "target" else "rib")

    def ribs(self, leaf: Leaf, role: str = "rib") -> None:
        """Draw the ribs of a leaf alone."""
        if leaf.ribs:
            self.add(role, leaf.ribs)

    def outline(self, key: str) -> list[Point]:
        """Points of what a label speaks about: whole paths, or what of them is between the heights of a band."""
        out: list[Point] = []
        for path, clip in self.about[key]:
            out += path.points if clip is None else path.points_in(clip.hull())
        return out

    @property
    def marks(self) -> dict[str, list[Point]]:
        """Points of everything that a label may speak about."""
        return {key: self.outline(key) for key in self.about}

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
        clip, box = Path().move((left, top)).move((right, bottom)), (left, top, right, bottom)
        dark = {"stalk": "band-line", "hair": "band-hair", "fern": "band-hair"}
        before, self.items = self.items, []
        copies: list[tuple[str, Path]] = []
        ribs: list[tuple[str, Path]] = []
        hatched: list[tuple[str, Path]] = []
        for role, path in before:
            own = role in roles
            share = path.share(box) if own or role in ("rib", "stem") else ""
            if share != "all" or not (own or role == "rib"):  # all would be hidden under the dark copy
                self.items.append((role, path))
            if own and share:
                copies.append((dark.get(role, "band"), path))
                self.about["target"].append((path, clip))
            if share and role == "rib" and "leaf" in roles:
                ribs.append(("band-rib", path))
            elif share and role == "stem":
                hatched.append(("band-hatch", path))
        if not ribs:  # a part without ribs is hatched
            ribs = [(role, hatch(path, 7)) for role, path in hatched]
        self.items += [("clip", clip), *copies, *ribs, ("clip-end", clip)]

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
        self.bounds = around(path for role, path in self.items if role not in NO_INK and path.at)
        left, top, right, bottom = self.bounds
        reach = max(right - 100, 100 - left)
        if reach > 96:
            about, by = (100.0, bottom), 96 / reach
            for path in {id(path): path for _, path in self.items}.values():
                path.scale(about, by)
            (left, top), (right, bottom) = between(about, (left, top), by), between(about, (right, bottom), by)
            self.bounds = (left, top, right, bottom)
            self.extra = [(between(about, p, by), key, text) for p, key, text in self.extra]
            self.counts = [(k, between(about, p, by)) for k, p in self.counts]

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

    def extent(self, marks: Mapping[str, str]) -> Box:
        """The box around the plant, the large numbers of a small picture and the marks of its ruler."""
        self.boxes = []
        self._labels(marks, small=True)
        return union([self.bounds, *self.boxes])

    def window(self) -> tuple[int, int]:
        """Top and height of the page view: empty space is cut off, down to a height of 200."""
        _, low, _, high = self.bounds
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
        run, looks = "", SMALL_LOOKS if small else ROLES
        strokes: list[tuple[str, str]] = []
        for role, path in self.items:
            if role in NO_INK:
                out += [_group(looks.get(run, ""), strokes), self._clip(ident, path) if role == "clip" else "</g>"]
                run, strokes = "", []
                continue
            if not path.at or (small and role in ("rib", "either-rib")):
                continue
            if (role, run) in INSIDE:  # a rib stays with its leaf
                strokes.append((looks[role], path.d))
                continue
            if role != run:
                out.append(_group(looks.get(run, ""), strokes))
                run, strokes = role, []
            d = path.d
            if role in HALO:
                strokes.append((HALO[role], d))
            strokes.append(("", d))
            if role in CORE and length(path) > 12:
                strokes.append((CORE[role], d))
        out.append(_group(looks.get(run, ""), strokes))
        return tidy("".join(out))

    @staticmethod
    def _clip(ident: str, clip: Path) -> str:
        left, top, right, bottom = clip.at
        return (
            f'<clipPath id="{ident}-c"><rect x="{number(left)}" y="{number(top)}" '
            f'width="{number(right - left)}" height="{number(bottom - top)}"/></clipPath>'
            f'<g clip-path="url(#{ident}-c)">'
        )

    # -- labels ---------------------------------------------------------------------------------

    def _labels(self, labels: Mapping[str, str], small: bool = False) -> str:
        size = SMALL_MARK if small else MARK
        marks = [row for one in self.extra for row in self._fixed(*one, labels, size)]
        out = [_words("el-mark", size, "600", "end", INK, marks)]
        if not self.counts and not labels:
            return out[0]
        plant, target = self._cells()
        numbers = [self._number(k, p, plant, target, size) for k, p in self.counts]
        out.append(_words("el-mark", size, "700", "middle", INK, numbers))
        for key in ("wrong",) if self.wrong else ("target",) if self.whole else ("target", "young"):
            text, about = labels.get(key, "").strip(), self.outline(key)
            if text and about:
                out.append(self._place(key, text, about, plant, target))
        return "".join(out)

    def _number(self, k: int, at: Point, plant: Grid, target: Grid, size: float) -> str:
        """The number of a counted leaf, beside it."""
        box = beside(str(k), size, at, plant, target, self.boxes)
        self.boxes.append(box)
        return _row(str(k), (box[0] + box[2]) / 2, box[3] - size * 0.14)

    def _fixed(self, at: Point, key: str, text: str, labels: Mapping[str, str], size: float) -> list[str]:
        """Words at a mark of a ruler, in one row or two."""
        lines = (labels.get(key) or text).split("\n")
        rows = []
        for n, line in enumerate(lines):
            y = at[1] + (n - (len(lines) - 1) / 2) * size
            self.boxes.append((at[0] - len(line) * size * LETTER, y - size / 2, at[0], y + size / 2))
            rows.append(_row(line, at[0], y + size * 0.35))
        return rows

    def _cells(self) -> tuple[Grid, Grid]:
        """Grid cells under the plant, and under the target."""
        plant, target = Grid(self.height), Grid(self.height)
        target.dot(self.outline("target"))
        heights = (0.0, 0.0)
        for role, path in self.items:
            if role == "clip":
                heights = (path.at[1] - CELL, path.at[3])
            if role in NO_INK or role.endswith(("rib", "hatch")):
                continue
            cells = covered(path)
            plant.add(cells)
            if role in BANDED:
                target.add(cells, *heights)
            elif role in HALO:
                target.add(cells)
        return plant, target

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
                f'<path class="el-halo" stroke="{PAGE}" stroke-width="3.4" d="{d}"/>'
                f'<path class="el-lead" stroke="{INK}" stroke-width="1.1" d="{d}"/>'
            )
        rows = [_row(line, (box[0] + box[2]) / 2, box[1] + 10.5 + LINE_HEIGHT * i) for i, line in enumerate(lines)]
        fill = "#4A544E" if key == "young" else INK
        return lead + _words(f"el-label-{key}", size, weight, "middle", fill, rows)


def _group(look: str, strokes: list[tuple[str, str]]) -> str:
    """Strokes of one role, each with its own look or ("") that of the role. A single one needs no group."""
    if len([own for own, _ in strokes if not own]) <= 1:
        return "".join([f'<path {own or look} d="{d}"/>' for own, d in strokes])
    bare = ' fill="none"' if "fill" in look else ""
    paths = [f'<path {own}{bare} d="{d}"/>' if own else f'<path d="{d}"/>' for own, d in strokes]
    return f"<g {look}>{''.join(paths)}</g>"


def _row(text: str, x: float, y: float) -> str:
    return f'<text x="{number(x)}" y="{number(y)}">{escape(text)}</text>'


def _words(name: str, size: float, weight: str, anchor: str, fill: str, rows: list[str]) -> str:
    """Rows of text with a white edge."""
    if not rows:
        return ""
    return (
        f'<g class="el-plant-label {name}" font-size="{number(size)}" font-weight="{weight}" text-anchor="{anchor}" '
        f'fill="{fill}" stroke="{PAGE}" stroke-width="3" style="paint-order:stroke">{"".join(rows)}</g>'
    )

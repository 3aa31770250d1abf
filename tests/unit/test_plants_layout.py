"""What makes the drawings quick must not change them: boxes, cells and places are as a plain search finds them."""

from __future__ import annotations

from math import inf

import pytest
from test_plants import LONG, SHORT, USED

from earleaf.drawing.plants import PlantSpec, compose, draw
from earleaf.drawing.plants.geometry import arc, polyline, stroke
from earleaf.drawing.plants.labels import CELL, SIZES, _cheapest, _spots, covered, place
from earleaf.drawing.plants.path import Path, around, box_of, tidy, union
from earleaf.drawing.plants.roles import NO_INK

NAMES = {"ids": lambda s: f"{s.form}-{s.stage}-{s.target}"}


def plain_cells(path: Path) -> set[tuple[int, int]]:
    """Cells that a path runs through, or whose middle line it holds between two crossings."""
    points = path.points
    cells = {(int(x // CELL), int(y // CELL)) for x, y in points}
    for row in range(-5, 80) if path.closed else ():
        y = row * CELL + CELL / 2
        edges = zip(points, points[1:] + points[:1], strict=True)
        xs = sorted(a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) for a, b in edges if (a[1] > y) != (b[1] > y))
        for x0, x1 in zip(xs[::2], xs[1::2], strict=True):
            cells |= {(column, row) for column in range(int(x0 // CELL), int(x1 // CELL) + 1)}
    return cells


@pytest.mark.parametrize("spec", USED[::5], **NAMES)
def test_the_box_and_the_cells_of_a_drawing(spec: PlantSpec) -> None:
    picture = compose(spec.form, spec.stage, spec.target, ident="x")
    paths = [path for role, path in picture.items if role not in NO_INK and path.at]
    assert around(paths) == union([box_of(path.points) for path in paths]) == pytest.approx(picture.bounds)
    for path in paths:
        first, rows = covered(path)
        found = {(c, first + i) for i, bits in enumerate(rows) for c in range(bits.bit_length()) if bits >> c & 1}
        assert found == plain_cells(path)


@pytest.mark.parametrize("spec", USED[::5], **NAMES)
@pytest.mark.parametrize("labels", [SHORT, LONG], ids=["short", "long"])
def test_a_label_stands_where_a_search_of_all_places_puts_it(spec: PlantSpec, labels: dict[str, str]) -> None:
    picture = compose(spec.form, spec.stage, spec.target, ident="x")
    about, (plant, target) = picture.outline("target"), picture._cells()
    text, size, few = labels["target"], SIZES["target"], about[:: max(1, len(about) // 24)]
    everywhere = _spots(text, size, box_of(few), target, 260, -1, inf)
    assert all(target.count(box, 4) == 0 for _, box, _ in everywhere)
    found = _cheapest(everywhere, None, few, plant, target, [], 4)
    assert found and place(text, size, about, plant, target, [], 260, 4) == found[1:]


def test_a_scaled_path_keeps_its_points() -> None:
    for asked_before in (True, False):
        path = stroke(arc((40.0, 60.0), 30, 90, 40)).line((150.0, 20.0))
        plain = stroke(arc((40.0, 60.0), 30, 90, 40)).line((150.0, 20.0))
        assert not asked_before or path.points
        path.scale((100.0, 200.0), 0.5)
        assert path.points == [(100 + (x - 100) * 0.5, 200 + (y - 200) * 0.5) for x, y in plain.points]
        assert path.d.startswith("M70.0 130.0C")


def test_numbers_are_written_short() -> None:
    assert tidy(polyline([(10.0, 100.0), (0.04, 20.05), (30.0, 4.5)], closed=True).d) == "M10 100L0 20.1L30 4.5Z"


def test_drawings_stay_light() -> None:
    """On average, without labels: half of what a general plotting library writes for the same outlines."""
    sizes = [
        len(draw(s.form, s.stage, s.target, title="", description="", ident="p", labels={}).encode()) for s in USED
    ]
    assert sum(sizes) / len(sizes) <= 8_800

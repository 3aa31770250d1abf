"""The leaves that scouts take by mistake: told from the right one without colour, and in the right place."""

from __future__ import annotations

import re
from math import hypot

import pytest
from test_plants import TARGET, USES, labelled, lightness, meet

from earleaf.drawing.plants import FORMS, PlantSpec, compose, describe, draw, wrong
from earleaf.drawing.plants.path import Point

CROPS = {
    "corn",
    "sweet-corn",
    "soybean",
    "wheat",
    "small-grains",
    "rice",
    "cotton",
    "potato",
    "sorghum",
    "dry-bean",
    "tomato",
    "strawberry",
    "apple",
    "grape",
    "almond",
    "citrus",
    "sugar-beet",
    "canola",
}
NOT_ONE_LEAF = {
    "whole",
    "row-section",
    "top-third",
    "top-half",
    "grazed",
    "top",
    "all-leaves",
    "stalk",
    "upper-stem",
    "upper-leaves",
    "middle-third",
    "hull",
    "clip",
    "fern",
    "upright",
}
NO_YOUNGER = {("wheat", "flag"), ("rice", "flag"), ("sorghum", "leaf")}
"""The top leaf of a headed plant: nothing is younger."""
RIGHT = list(dict.fromkeys(spec for *_, spec in USES if spec is not None))
WRONG = [other for spec in RIGHT for other in wrong(spec).values()]
BY_NAME = {"ids": lambda s: f"{s.form}-{s.stage}-{s.target}{'-' * bool(s.wrong)}{s.wrong}"}


def svg(spec: PlantSpec, small: bool = False) -> str:
    return draw(
        spec.form,
        spec.stage,
        spec.target,
        title="A",
        description="B",
        ident="w1",
        labels={"wrong": "demasiado vieja", "target": "take this"},
        wrong=spec.wrong,
        small=small,
    )


def marked(spec: PlantSpec) -> list[Point]:
    """The outline of what stands out."""
    return compose(spec.form, spec.stage, spec.target, ident="w1", wrong=spec.wrong).marks[
        "wrong" if spec.wrong else "target"
    ]


def middle(points: list[Point]) -> Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def test_every_single_leaf_of_the_main_crops_has_its_wrong_leaves() -> None:
    seen = set()
    for crop, _, _, spec in USES:
        if crop not in CROPS or spec is None or spec.target in NOT_ONE_LEAF:
            continue
        seen.add(crop)
        found = wrong(spec)
        if spec.target == "spur":
            assert set(found) == {"young", "other"}
        elif (spec.form, spec.target) in NO_YOUNGER:
            assert set(found) == {"old"}, spec
        else:
            assert set(found) == {"young", "old"}, spec
    assert seen == CROPS


def test_a_whole_plant_has_no_wrong_leaf() -> None:
    for spec in RIGHT:
        if spec.target in NOT_ONE_LEAF:
            assert wrong(spec) == {}, spec


def test_wrong_keeps_plant_stage_and_part() -> None:
    assert wrong(PlantSpec("corn", "head", "ear-leaf")) == {
        "young": PlantSpec("corn", "head", "ear-leaf", "young"),
        "old": PlantSpec("corn", "head", "ear-leaf", "old"),
    }


def test_a_wrong_leaf_that_is_not_there_is_refused() -> None:
    with pytest.raises(ValueError, match="no 'old' leaf"):
        compose("corn", "young", "whole", ident="x", wrong="old")


@pytest.mark.parametrize("spec", WRONG, **BY_NAME)
def test_a_wrong_leaf_is_crossed_out_and_nothing_is_dark(spec: PlantSpec) -> None:
    text = svg(spec)
    assert text == svg(spec) and len(text.encode()) <= 25_000
    assert "el-target" not in text and TARGET not in text
    cross = re.search(r'<g class="el-cross" stroke="(#\w+)" stroke-width="([\d.]+)">(.*?)</g>', text)
    assert cross and lightness(cross[1]) < 20 and float(cross[2]) >= 3
    assert cross[3].count('<path d="') == 2 and cross[3].count('class="el-halo"') == 2
    assert re.findall(r'class="el-plant-wrong[ "][^>]*stroke-width="([\d.]+)"', text)
    for fill, width in re.findall(r'class="el-plant-wrong"[^>]*fill="(#\w+)"[^>]*stroke-width="([\d.]+)"', text):
        assert lightness(fill) > 90 and float(width) >= 2
    assert len(re.findall(r'class="el-plant-label', text)) == 1
    assert "demasiado" in text


@pytest.mark.parametrize("spec", WRONG, **BY_NAME)
def test_the_label_of_a_wrong_leaf_stays_inside_and_clear(spec: PlantSpec) -> None:
    picture = compose(spec.form, spec.stage, spec.target, ident="w1", wrong=spec.wrong)
    picture.svg("t", "d", {"wrong": "demasiado vieja"})
    (box,) = picture.boxes
    top, high = picture.window()
    assert box[0] >= 0 and box[2] <= 200 and top <= box[1] and box[3] <= top + high
    assert not any(box[0] <= x <= box[2] and box[1] <= y <= box[3] for x, y in picture.marks["wrong"])


@pytest.mark.parametrize("spec", WRONG, **BY_NAME)
def test_a_wrong_leaf_is_another_leaf_than_the_right_one(spec: PlantSpec) -> None:
    right, other = marked(PlantSpec(spec.form, spec.stage, spec.target)), marked(spec)
    assert len(set(right) & set(other)) <= 2  # stalks may start at one crown
    assert hypot(*(a - b for a, b in zip(middle(right), middle(other), strict=True))) > 10
    ends = [PlantSpec(spec.form, spec.stage, spec.target, key) for key in wrong(spec) if key != spec.wrong]
    assert all(set(marked(end)) != set(other) for end in ends)


@pytest.mark.parametrize(
    "spec", [s for s in RIGHT if FORMS[s.form].draw.__module__.endswith(("corn", "legume", "broadleaf", "compound"))]
)
def test_the_younger_leaf_is_higher_and_the_older_one_lower(spec: PlantSpec) -> None:
    top = min(y for _, y in marked(spec))
    for key, other in wrong(spec).items():
        assert (min(y for _, y in marked(other)) < top) == (key == "young"), (spec, key)


@pytest.mark.parametrize("key", ["young", "old"])
def test_beside_the_ear_leaf_the_wrong_leaves_are_two_joints_away_on_its_side(key: str) -> None:
    spec = PlantSpec("corn", "head", "ear-leaf")
    aim = FORMS["corn"].aim("corn", "head", "ear-leaf")
    assert aim.wrong()[key] - aim.right[0] == (2 if key == "young" else -2)
    assert min(x for x, _ in marked(wrong(spec)[key])) > 100


def test_too_young_on_a_plant_with_a_whorl_is_the_leaf_without_a_collar() -> None:
    picture = compose("corn", "whorl", "top-collar", ident="x", wrong="young")
    collars = [path for role, path in picture.items if role == "collar"]
    assert len(collars) == 8 and "rolled" in describe(
        PlantSpec("corn", "whorl", "top-collar", "young"), lambda s, **v: s.format(**v)
    )
    lowest = max(y for _, y in picture.marks["wrong"])
    assert lowest < max(y for path in collars for _, y in path.points)


@pytest.mark.parametrize("spec", [s for s in RIGHT if wrong(s)], **BY_NAME)
def test_right_and_wrong_stand_in_the_same_view(spec: PlantSpec) -> None:
    views = {re.search(r'viewBox="([^"]+)"', svg(other, small=True))[1] for other in wrong(spec).values()}  # type: ignore[index]
    picture = draw(
        spec.form,
        spec.stage,
        spec.target,
        title="",
        description="",
        ident="w1",
        labels={},
        small=True,
    )
    views.add(re.search(r'viewBox="([^"]+)"', picture)[1])  # type: ignore[index]
    assert len(views) == 1


def test_the_right_picture_has_no_cross() -> None:
    assert not any("el-cross" in svg(spec) or "el-plant-wrong" in svg(spec) for spec in RIGHT)


def test_labels_of_the_right_picture_do_not_use_the_wrong_slot() -> None:
    picture = labelled(PlantSpec("corn", "head", "ear-leaf"), {"target": "a", "young": "b", "wrong": "c"})
    assert not any(meet(a, b) for i, a in enumerate(picture.boxes) for b in picture.boxes[:i])
    assert "demasiado" not in svg(PlantSpec("corn", "head", "ear-leaf"))

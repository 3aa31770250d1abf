"""Counting, leaves that are as good, hatching, small pictures and descriptions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import hypot
from xml.etree import ElementTree

import pytest
from test_plants import LONG, USES, labelled, lightness, meet

from earleaf.drawing.plants import FORMS, PlantSpec, compose, describe, draw, wrong

SPECS = list(dict.fromkeys(spec for *_, spec in USES if spec is not None))
COUNT = {"third": 3, "fourth": 4, "fifth": 5, "eighth": 8, "tenth": 10, "third-pair": 3, "third-pair-only": 3}
"""The number of the leaf to take, as its part says it."""
OR = {"third-fourth": (3, 4), "below-flag": (1, 2), "fifth": (5, 6), "third-pair": (3, 4), "opposite-petiole": (1, 2)}
PARTS = {
    "third-leaf-from-top": 3,
    "fourth-collared-leaf": 4,
    "fifth-leaf-from-tip": 5,
    "eighth-leaf-from-tip": 8,
    "tenth-leaf-from-tip": 10,
    "third-leaf-pair": 4,
    "fifth-leaf-below-head": 6,
    "leaf-below-flag": 2,
    "upper-stem": 6,
    "petiole-opposite-cluster": 2,
}
"""How far the scout counts, by part."""
NAMES = {"ids": lambda s: f"{s.form}-{s.stage}-{s.target}"}


def say(sentence: str, **values: object) -> str:
    return sentence.format(**values) if values else sentence


def svg(spec: PlantSpec, **how: object) -> str:
    return draw(
        spec.form, spec.stage, spec.target, title="A", description="B", ident="n1", labels={}, wrong=spec.wrong, **how
    )  # type: ignore[arg-type]


def numbers(text: str) -> list[str]:
    space = "{http://www.w3.org/2000/svg}"
    groups = ElementTree.fromstring(text).iter(f"{space}g")
    return [t.text or "" for g in groups if g.get("class") == "el-plant-label el-mark" for t in g.iter(f"{space}text")]


def counted() -> Iterator[PlantSpec]:
    yield from (s for s in SPECS if compose(s.form, s.stage, s.target, ident="n1").counts)


def test_every_part_that_is_counted_has_its_numbers() -> None:
    seen = set()
    for _, _, part, spec in USES:
        if part in PARTS and spec is not None:
            seen.add(part)
            assert numbers(svg(spec)) and sorted(map(int, numbers(svg(spec)))) == list(range(1, PARTS[part] + 1)), spec
    assert seen == set(PARTS)


def test_four_top_leaves_are_four_dark_leaves_with_numbers() -> None:
    for stage in ("tillers", "stems", "boot", "head"):
        picture = compose("wheat", stage, "upper-four", ident="n1")
        assert len([role for role, _ in picture.items if role == "target"]) == 4
        assert sorted(k for k, _ in picture.counts) == [1, 2, 3, 4]


@pytest.mark.parametrize("spec", list(counted()), **NAMES)
def test_the_right_leaf_has_the_number_of_its_part(spec: PlantSpec) -> None:
    aim = FORMS[spec.form].aim(spec.form, spec.stage, spec.target)
    picture = compose(spec.form, spec.stage, spec.target, ident="n1")
    at = dict(picture.counts)
    assert sorted(at) == list(range(1, len(at) + 1))
    if spec.target in COUNT and (spec.form, spec.target) != ("banana", "petiole"):
        k = COUNT[spec.target]
        assert aim.counted.index(aim.right[0]) + 1 == k
        gaps = {n: min(hypot(x - p[0], y - p[1]) for x, y in picture.marks["target"]) for n, p in at.items()}
        assert min(gaps, key=lambda n: gaps[n]) == k
    if spec.target in OR and spec.form != "cucumber" and aim.either:
        places = [c % 100 for c in aim.counted]  # a cluster has the place of the leaf across from it
        assert (places.index(aim.right[0]) + 1, places.index(aim.either[0]) + 1) == OR[spec.target]


@pytest.mark.parametrize("spec", list(counted()), **NAMES)
def test_counted_leaves_follow_each_other_along_the_plant(spec: PlantSpec) -> None:
    """Numbers on one side of the stem run one way: down from the tip, or up from the ground."""
    at = [p for _, p in sorted(compose(spec.form, spec.stage, spec.target, ident="n1").counts)]
    up = spec.target in ("top-collar", "opposite-petiole", "opposite-leaf")
    if spec.form in ("cucumber", "cantaloupe", "banana", "papaya"):
        return  # a vine lies, banana and papaya spread
    for a, b in zip(at, at[2:], strict=False):
        assert (b[1] < a[1]) == up, spec


def test_a_plant_with_a_whorl_counts_each_collar_once_from_the_lowest() -> None:
    for form, stage in (("corn", "whorl"), ("sweet-corn", "whorl"), ("corn", "young")):
        picture = compose(form, stage, "top-collar", ident="n1")
        collars = [path for role, path in picture.items if role == "collar"]
        assert len(picture.counts) == len(collars) + 1  # the collar of the dark leaf is dark
        top = max(picture.counts)
        assert min(hypot(x - top[1][0], y - top[1][1]) for x, y in picture.marks["target"]) < 1


@pytest.mark.parametrize("spec", list(counted()), **NAMES)
def test_numbers_are_large_and_clear(spec: PlantSpec) -> None:
    text = svg(spec)
    for group in re.findall(r'<g class="el-plant-label el-mark"[^>]*>', text):
        size = float(re.search(r'font-size="([\d.]+)"', group)[1])  # type: ignore[index]
        assert size >= 10 and 'stroke="#FFF"' in group and "paint-order" in group
    picture = labelled(spec, LONG)
    boxes, n = picture.boxes, len(picture.counts)
    assert not any(meet(a, b) for i, a in enumerate(boxes) for b in boxes[:i])
    outline = picture.marks["target"] + picture.marks["either"]
    assert not any(box[0] <= x <= box[2] and box[1] <= y <= box[3] for box in boxes for x, y in outline)
    for (_, own), box in zip(picture.counts, boxes[:n], strict=True):
        middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        away = [hypot(middle[0] - p[0], middle[1] - p[1]) for _, p in picture.counts]
        assert min(away) == hypot(middle[0] - own[0], middle[1] - own[1]) < 34, spec


def test_wrong_pictures_have_no_numbers() -> None:
    spec = PlantSpec("sorghum", "head", "fourth")
    assert not numbers(svg(wrong(spec)["young"]))


@pytest.mark.parametrize("spec", [s for s in SPECS if FORMS[s.form].aim(s.form, s.stage, s.target).either], **NAMES)
def test_a_leaf_that_is_as_good_is_pale_with_a_dark_outline_and_hatched(spec: PlantSpec) -> None:
    text = svg(spec)
    assert re.search(r'class="el-target(?: el-target-line)?"', text)
    if spec.target == "opposite-petiole":
        assert re.search(r'class="el-core"[^>]*stroke-dasharray', text)
        return
    fill, width = re.findall(r'class="el-either" fill="(#\w+)" stroke="#17324D" stroke-width="([\d.]+)"', text)[0]
    assert lightness(fill) > 90 and float(width) >= 2
    assert len(re.findall(r"M", re.search(r'el-hatch"[^>]* d="([^"]+)"', text)[1])) >= 3  # type: ignore[index]


@pytest.mark.parametrize("spec", SPECS, **NAMES)
def test_every_dark_part_has_a_white_line_that_prints_at_60_mm(spec: PlantSpec) -> None:
    lines = re.findall(r'class="el-target-rib"[^>]*stroke="#FFF" stroke-width="([\d.]+)"', svg(spec))
    assert lines and min(map(float, lines)) * 60 / 200 >= 0.25  # mm


@pytest.mark.parametrize("spec", SPECS, **NAMES)
def test_small_pictures(spec: PlantSpec) -> None:
    text = svg(spec, small=True)
    assert text == svg(spec, small=True) and len(text.encode()) <= 25_000
    left, top, width, height = map(int, re.search(r'viewBox="([^"]+)"', text)[1].split())  # type: ignore[index]
    picture = compose(spec.form, spec.stage, spec.target, ident="n1")
    dark = picture.marks["target"]
    assert all(left <= x <= left + width and top <= y <= top + height for x, y in dark)
    if sizes := [float(size) for size in re.findall(r'font-size="([0-9.]+)"', text)]:
        scale = 9 * 25.4 / 72 / min(sizes)  # mm a unit at which the numbers are 9 pt
        assert width * scale <= 33 and height * scale <= 44
    lines = [float(w) for w in re.findall(r'stroke-width="([\d.]+)"', text)]
    assert min(lines) * 34 / width >= 0.12  # mm, two dots of an office printer
    across = max(max(x for x, _ in dark) - min(x for x, _ in dark), max(y for _, y in dark) - min(y for _, y in dark))
    assert across * 34 / max(width, height) >= 2.5  # mm


def test_a_small_picture_keeps_the_words_of_a_ruler_and_drops_the_labels() -> None:
    words = {"low": "15 cm", "high": "35 cm", "target": "take this", "young": "too young"}
    text = draw("corn", "head", "stalk", title="A", description="B", ident="n1", labels=words, small=True)
    assert numbers(text) == ["15 cm", "35 cm"] and "take this" not in text


@pytest.mark.parametrize("spec", [*SPECS, *(w for s in SPECS for w in wrong(s).values())])
def test_a_description_is_plain_and_says_what_stands_out(spec: PlantSpec) -> None:
    said: list[str] = []

    def note(sentence: str, **values: object) -> str:
        said.append(sentence)
        return say(sentence, **values)

    text = describe(spec, note)
    assert "{" not in text and text.endswith(".") and 30 < len(text) < 330
    assert ("crossed out" in text) == bool(spec.wrong)
    assert spec.wrong or "dark" in text
    assert all(len(sentence.split()) <= 20 for sentence in re.split(r"[.:] ", text))
    assert all(s[0].isupper() or s[0] == "{" for s in said)


def test_a_description_counts_as_the_picture_does() -> None:
    assert "Leaf four" in describe(PlantSpec("sorghum", "head", "fourth"), say)
    assert "from 1 to 8" in describe(PlantSpec("pomegranate", "shoot", "eighth"), say)
    assert "number 8" in describe(PlantSpec("corn", "whorl", "top-collar"), say)
    assert "2 places above" in describe(PlantSpec("corn", "head", "ear-leaf", "young"), say)
    assert "hatched" in describe(PlantSpec("sunflower", "bloom", "fifth"), say)


def test_every_target_and_form_can_be_described() -> None:
    for name, form in FORMS.items():
        for target in form.targets:
            assert describe(PlantSpec(name, form.nearest("", target), target), say)

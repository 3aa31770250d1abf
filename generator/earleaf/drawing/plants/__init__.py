"""Drawings that show a scout which leaf to take. Own geometry, clean SVG text, same input same bytes.

Everything is pale except the part to take. Classes for a style sheet: `el-plant` (the picture, with `el-small`),
`el-leaf` (with `el-old`, `el-young`), `el-rib`, `el-stem`, `el-stalk`, `el-collar`, `el-flower`, `el-wood`,
`el-ground`, `el-target` (with `el-target-line`, `el-target-each`), `el-target-rib`, `el-either` (as good as the target;
with `el-either-line`), `el-either-rib` (with `el-hatch`), `el-plant-wrong` (with `el-wrong-line`), `el-wrong-rib`,
`el-cross`, `el-core` (the pale line inside a marked stalk), `el-halo` (page colour around what stands out), `el-cut`,
`el-ruler`, `el-lead`, `el-plant-label` (with `el-label-target`, `el-label-young`, `el-label-wrong`, `el-mark`). A class
stands on one path, or on the group of paths that share it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from .describe import describe, ruler_labels
from .forms import FORMS
from .match import PlantSpec, resolve
from .path import Box, union
from .picture import Picture

__all__ = ["FORMS", "PlantSpec", "compose", "describe", "draw", "resolve", "ruler_labels", "wrong"]


def wrong(spec: PlantSpec) -> dict[str, PlantSpec]:
    """The same plant with the leaf that scouts take by mistake: `young`, `old`; `other` is an almond spur with a nut.

    Empty where no leaf can be too young or too old, such as a whole plant.
    """
    aim = FORMS[spec.form].aim(spec.form, spec.stage, spec.target)
    return {key: replace(spec, wrong=key) for key in aim.wrong()}


def compose(form: str, stage: str, target: str, *, ident: str, wrong: str = "") -> Picture:
    """The picture before it is text, without labels. ValueError for words that FORMS does not know."""
    return _composed(form, stage, target, wrong).fresh(ident)


@lru_cache(maxsize=1_000)
def _composed(form: str, stage: str, target: str, wrong: str) -> Picture:
    """The strokes of a picture, made once for the page, the card and the pictures beside it."""
    known = FORMS.get(form)
    if known is None or not known.shows(stage, target):
        raise ValueError(f"no drawing of {target!r} on {form!r} at {stage!r}")
    aim = known.aim(form, stage, target)
    if wrong and wrong not in aim.wrong():
        raise ValueError(f"no {wrong!r} leaf beside {target!r} on {form!r} at {stage!r}")
    picture = Picture("", aim=aim, wrong=wrong, bare="petiole" in target)
    known.draw(picture, form, "stalk" if target == "stalk" else stage, target)
    picture.finish()
    return picture


def draw(
    form: str,
    stage: str,
    target: str,
    *,
    title: str,
    description: str,
    ident: str,
    labels: Mapping[str, str],
    wrong: str = "",
    small: bool = False,
) -> str:
    """One plant as SVG text.

    `form`, `stage` and `target` are words of FORMS (`resolve` finds them). `labels` may hold `target` ("take this"),
    `young` ("too young") and, with a wrong leaf, `wrong`; a missing one is left out. Marks of a ruler can be set in
    other words or units with `low` and `high`. `ident` starts every id, so that several pictures can stand on one page.

    `wrong` is a key of `wrong(spec)`: that leaf is crossed out, the right one is pale. The picture is 200 units wide
    and 200 to 260 high. A `small` one, for some 34 mm of print or 110 pixels, is cut tight around the plant; it has no
    labels, larger numbers, thicker lines and fewer of them. Right and wrong pictures then have the same view.
    """
    picture = compose(form, stage, target, ident=ident, wrong=wrong)
    frame = None
    if small:
        marks = tuple((key, labels[key]) for key in ("low", "high") if key in labels)
        frame = union([_extent(form, stage, target, key, marks) for key in ("", *picture.aim.wrong())])
    return picture.svg(title, description, labels, frame)


@lru_cache(maxsize=1_000)
def _extent(form: str, stage: str, target: str, wrong: str, marks: tuple[tuple[str, str], ...]) -> Box:
    """The box that one small picture of a plant needs; asked for by each picture beside it."""
    return compose(form, stage, target, ident="p", wrong=wrong).extent(dict(marks))

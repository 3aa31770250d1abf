"""Drawings that show a scout which leaf to take. Own geometry, clean SVG text, same input same bytes.

Everything is pale except the part to take. Classes for a style sheet: `el-plant` (the picture), `el-plant-leaf`
(with `el-old`, `el-young`), `el-plant-rib`, `el-plant-stem`, `el-plant-stalk`, `el-plant-collar`, `el-flower`,
`el-wood`, `el-ground`, `el-target` (with `el-target-line`, `el-target-each`), `el-target-rib`, `el-halo` (page colour
around dark parts), `el-cut`, `el-ruler`, `el-lead`, `el-label` (with `el-label-target`, `el-label-young`, `el-mark`).
"""

from __future__ import annotations

from collections.abc import Mapping

from .forms import FORMS
from .match import PlantSpec, resolve
from .picture import Picture

__all__ = ["FORMS", "PlantSpec", "compose", "draw", "resolve"]


def compose(form: str, stage: str, target: str, *, ident: str) -> Picture:
    """The picture before it is text, without labels. ValueError for words that FORMS does not know."""
    known = FORMS.get(form)
    if known is None or not known.shows(stage, target):
        raise ValueError(f"no drawing of {target!r} on {form!r} at {stage!r}")
    picture = Picture(ident)
    known.draw(picture, form, "stalk" if target == "stalk" else stage, target)
    picture.fit()
    return picture


def draw(
    form: str, stage: str, target: str, *, title: str, description: str, ident: str, labels: Mapping[str, str]
) -> str:
    """One plant as SVG text, 200 units wide and 200 to 260 high.

    `form`, `stage` and `target` are words of FORMS (`resolve` finds them). `labels` may hold `target` ("take this") and
    `young` ("too young"); a missing one is left out. Marks of a ruler can be set in other words or units with `low` and
    `high`. `ident` starts every id, so that several pictures can stand on one page.
    """
    return compose(form, stage, target, ident=ident).svg(title, description, labels)

"""From the words of a protocol (crop, stages, part) to a form, a stage and a target. Pure tables, no drawing."""

from __future__ import annotations

import re
from dataclasses import dataclass

from .forms import FORMS


@dataclass(frozen=True)
class PlantSpec:
    """What to draw: see FORMS for the words. `wrong` names a wrong leaf to show instead of the right one."""

    form: str
    stage: str
    target: str
    wrong: str = ""


# Crops whose form has another name than the crop itself.
CROPS = {
    "small-grains": "wheat",
    "grass-forage": "pasture",
    "dry-bean": "bean",
    "snap-bean": "bean",
    "pumpkin-squash": "squash",
}
# A crop that is not drawn by name: by its stage system, then by the form the crop file states.
SYSTEMS = {
    "corn-leaf-collar": "corn",
    "sorghum-0-9": "sorghum",
    "sugarcane": "sugarcane",
    "small-grain-feekes": "wheat",
    "rice-collars": "rice",
    "forage-grass": "pasture",
    "turf": "turf",
    "soybean-nodes": "soybean",
    "dry-bean-nodes": "bean",
    "pea-and-bean": "bean",
    "peanut-boote": "peanut",
    "alfalfa-kalu-fick": "alfalfa",
    "clover": "clover",
    "cotton-field": "cotton",
    "potato-five": "potato",
    "sunflower-vr": "sunflower",
    "tobacco": "tobacco",
    "canola-harper": "canola",
    "grape-season": "grape",
    "strawberry-season": "strawberry",
    "vine-vegetable": "cucumber",
    "leaf-vegetable": "rosette",
    "head-vegetable": "lettuce",
    "sugar-beet-leaves": "sugar-beet",
    "tree-fruit-season": "tree",
    "nut-tree-season": "tree",
    "warm-climate-tree-season": "tree",
    "bush-and-cane-season": "blueberry",
    "bulb-vegetable": "onion",
    "asparagus-fern": "asparagus",
    "root-vegetable": "rosette",
}
WORDS = {"grass": "pasture", "rosette": "rosette", "vine": "cucumber", "tree": "tree", "bush": "tree", "turf": "turf"}

TARGETS = {
    "whole-tops": "whole",
    "biomass-row-section": "row-section",
    "upper-third": "top-third",
    "upper-half": "top-half",
    "top-15cm": "top",
    "top-tuft": "top",
    "midstem-third": "middle-third",
    "upper-stem": "upper-stem",
    "lower-stalk-section": "stalk",
    "grazed-growth": "grazed",
    "all-leaves": "all-leaves",
    "uppermost-collared-leaf": "top-collar",
    "tvd-leaf": "top-collar",
    "y-leaf": "top-collar",
    "yeb": "top-collar",
    "ear-leaf": "ear-leaf",
    "leaf-below-opposite-ear": "below-ear",
    "flag-leaf": "flag",
    "leaf-below-flag": "below-flag",
    "third-leaf-from-top": "third",
    "third-node-leaf": "third",
    "fourth-collared-leaf": "fourth",
    "third-or-fourth-leaf": "third-fourth",
    "third-leaf-petiole": "petiole",
    "sixth-leaf-petiole": "petiole",
    "third-pair-leaf": "third-pair-only",
    "upper-leaves": "upper-leaves",
    "upper-four-leaves": "upper-four",
    "trifoliate-leaf": "leaf",
    "mrml": "leaf",
    "mrml-blade": "blade",
    "mrml-blade-plus-petiole": "parted",
    "petiole-mrml": "petiole",
    "harvest-leaf": "harvest",
    "recent-leaflet": "leaflet",
    "youngest-open-leaf": "youngest-open",
    "wrapper-leaf": "wrapper",
    "first-mature-whorl-leaf": "first-from-centre",
    "middle-whorl-leaf": "middle-ring",
    "centre-mature-leaf": "leaf",
    "fifth-leaf-from-tip": "fifth",
    "base-mature-leaf": "base",
    "leaf-next-to-cluster": "cluster-leaf",
    "fern-section": "fern",
    "cane-leaf": "cane-leaf",
    "midshoot-leaf": "mid",
    "base-shoot-or-spur-leaf": "base",
    "new-growth-mature-leaf": "new",
    "nonfruiting-spur-leaf": "spur",
    "nonfruiting-twig-leaf": "spring-flush",
    "spring-flush-terminal-leaf": "spring-flush",
    "flush-leaf": "flush",
    "third-leaf-pair": "third-pair",
    "eighth-leaf-from-tip": "eighth",
    "tenth-leaf-from-tip": "tenth",
    "middle-leaflet-pair": "middle-pair",
    "terminal-leaflet": "end-leaflet",
    "centre-leaflet": "centre-leaflet",
    "petiole-opposite-cluster": "opposite-petiole",
    "petiole-mrml-shoot": "shoot-petiole",
    "leaf-opposite-cluster": "opposite-leaf",
    "turf-clippings": "clip",
    "current-season-upright": "upright",
    "fifth-leaf-below-head": "fifth",
    "nut-hull": "hull",
}
PETIOLE = {"keep": "leaf", "remove": "blade", "part": "parted", "only": "petiole"}

_FLOWERING = {
    "bloom": "bloom",
    "first bloom": "bloom",
    "early bloom": "bloom",
    "full bloom": "bloom",
    "end of bloom": "bloom",
    "buds": "bloom",
    "squaring": "square",
    "cutout": "bloom",
}
_EARLY = {
    "seedling",
    "young plants",
    "young vines",
    "running vines",
    "half grown",
    "leafy",
    "growing plants",
    "bud break",
    "shoot growth",
    "spring growth",
    "after harvest",
    "renovation",
    "after renovation",
    "autumn",
    "leaf fall",
    "rest",
    "spring flush",
    "growing",
    "button",
    "topped",
    "set",
    "lower leaves ripen",
    "upper leaves ripen",
    "mid-growth",
    "8 leaves",
    "4 leaves",
    "2 leaves",
}


def resolve(
    crop: str,
    system: str,
    first: str,
    last: str,
    part: str | None,
    *,
    petiole: str | None = None,
    form: str = "broadleaf",
) -> PlantSpec | None:
    """The drawing of a protocol; None where no part is named, or where no form can show that part of this plant.

    `crop` is a crop id, `form` the form its file states (for crops not drawn by name), `system`, `first` and `last`
    a stage system with the ends of the window, `part` a plant part, `petiole` what happens to the leaf stalk.
    """
    target = TARGETS.get(part or "")
    if target is None:
        return None
    name = _form(crop, system, form)
    if name == "canola" and first in ("1", "2"):
        name = "canola-rosette"
    if target in ("leaf", "blade", "parted") and petiole in PETIOLE:
        target = PETIOLE[petiole]
    stage = _stage(system, first, last)
    known = FORMS[name]
    if target == "top-collar" and target not in known.targets:
        target = "leaf"
    if target not in known.targets:
        return None
    return PlantSpec(name, known.nearest(stage, target), target)


def _form(crop: str, system: str, form: str) -> str:
    name = CROPS.get(crop, crop)
    if name in FORMS:
        return name
    return SYSTEMS.get(system, WORDS.get(form, "broadleaf"))


def _count(code: str) -> int:
    """The number in a code such as V6; 0 for VE and VC."""
    found = re.search(r"\d+", code)
    return int(found[0]) if found else 0


def _stage(system: str, first: str, last: str) -> str:
    """How far the plant has grown, in the words of its form."""
    if system == "corn-leaf-collar":
        return "head" if last == "VT" or last[0] == "R" else "young" if _count(last) <= 5 else "whorl"
    if system == "sorghum-0-9":
        return "young" if _count(last) <= 2 else "whorl" if _count(last) <= 4 else "head"
    if system == "sugarcane":
        return "young" if last == "sprouting" else "whorl"
    if system == "small-grain-feekes":
        at = tuple(int(n) for n in last.split("."))
        return "tillers" if at < (6,) else "stems" if at < (10,) else "boot" if at == (10,) else "head"
    if system == "rice-collars":
        if first[0] in "VS":
            return "tillers"
        return {"R0": "stems", "R1": "stems", "R2": "boot"}.get(first, "head")
    if system == "forage-grass":
        return {"leafy": "tillers", "jointing": "stems", "boot": "boot"}.get(first, "head")
    if system in ("soybean-nodes", "dry-bean-nodes"):
        if last.startswith("V"):
            return "young" if _count(last) <= 3 else "leafy"
        return "bloom" if first in ("R1", "R2") or first.startswith("V") else "pods"
    if system == "peanut-boote":
        if last.startswith("V") and _count(last) <= 5:
            return "young"
        return "bloom" if first[0] == "V" or first == "R1" else "pegs"
    if system in ("sunflower-vr", "canola-harper"):
        return "young" if first.startswith("V") else "leafy" if first[0] in "12" else "bloom"
    if system == "alfalfa-kalu-fick":
        return "leafy" if _count(last) < 3 else "bud" if _count(first) < 5 else "bloom"
    if system == "potato-five":
        return "leafy" if first in ("I", "II") else "bloom"
    if system == "tobacco":
        return "young" if last in ("seedling", "set") else "leafy"
    if system == "head-vegetable":
        return "leafy" if last in _EARLY else "head"
    if system == "bulb-vegetable":
        return "leafy" if last in ("seedling", "young plants", "mid-growth") else "bulb"
    if system in ("tree-fruit-season", "nut-tree-season"):
        return "shoot" if first in ("midsummer", "late summer", "hull split", "harvest", "leaf fall") else "young"
    code = first if system in ("cotton-field", "grape-season", "bush-and-cane-season") else last
    if code in _FLOWERING:
        return _FLOWERING[code]
    return "leafy" if code in _EARLY else "pods" if system == "pea-and-bean" else "fruit"

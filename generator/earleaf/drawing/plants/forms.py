"""Which module draws a form, at which stages, with which targets."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from . import (
    berry,
    broadleaf,
    bulb,
    compound,
    corn,
    forage,
    grain,
    grape,
    legume,
    nut,
    rosette,
    tree,
    tropical,
    vine,
)
from .aim import Aim
from .picture import Picture


@dataclass(frozen=True)
class Form:
    """One plant form: how it is drawn, and what it can show."""

    draw: Callable[[Picture, str, str, str], None]
    aim: Callable[[str, str, str], Aim]
    stages: tuple[str, ...]
    targets: frozenset[str]
    only: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # targets that some stages do not have

    def shows(self, stage: str, target: str) -> bool:
        """Can this target be shown at this stage?"""
        return stage in self.stages and target in self.targets and stage in self.only.get(target, self.stages)

    def nearest(self, stage: str, target: str) -> str:
        """The stage asked for, or the first that has this target."""
        if self.shows(stage, target):
            return stage
        return self.only.get(target, self.stages)[0]


def _of(words: str) -> frozenset[str]:
    return frozenset(words.split())


_PARTS = "leaf blade petiole parted "
_STEM = _of(_PARTS + "whole all-leaves third fourth fifth youngest-open harvest upper-leaves")
_CORN = _of("whole top-collar leaf flag third fourth third-fourth below-flag upper-leaves")
_GRAIN = _of(
    "whole row-section top-third top-half grazed top-collar leaf flag below-flag third upper-leaves upper-four"
)
_SHOOT = _of(_PARTS + "mid base new third third-pair third-pair-only eighth tenth spring-flush flush youngest-open")

_HEAD, _TALL = ("head",), ("whorl", "head")
_CORN_ONLY = {
    "ear-leaf": _HEAD,
    "below-ear": _HEAD,
    "stalk": _HEAD,
    "flag": _HEAD,
    "below-flag": _HEAD,
    "leaf": _TALL,
    "third": _TALL,
    "fourth": _TALL,
    "third-fourth": _TALL,
    "upper-leaves": _TALL,
}
_GRAIN_ONLY = {"flag": ("head", "boot"), "below-flag": ("head", "boot")}

FORMS: dict[str, Form] = {}
for _name in corn.KINDS:
    _extra = _of("ear-leaf below-ear stalk") if "corn" in _name else frozenset()
    FORMS[_name] = Form(corn.draw, corn.aim, ("young", "whorl", "head"), _CORN | _extra, _CORN_ONLY)
for _name in grain.KINDS:
    FORMS[_name] = Form(grain.draw, grain.aim, ("tillers", "stems", "boot", "head"), _GRAIN, _GRAIN_ONLY)
FORMS["turf"] = Form(grain.draw, grain.aim, ("lawn",), _of("clip"))
for _name in legume.KINDS:
    FORMS[_name] = Form(
        legume.draw,
        legume.aim,
        ("young", "leafy", "bloom", "pods", "pegs"),
        _of(_PARTS + "leaflet whole all-leaves top"),
    )
for _name in broadleaf.KINDS:
    FORMS[_name] = Form(broadleaf.draw, broadleaf.aim, ("young", "leafy", "square", "bloom", "fruit"), _STEM)
for _name in compound.KINDS:
    FORMS[_name] = Form(
        compound.draw,
        compound.aim,
        ("leafy", "bloom", "fruit"),
        _of(_PARTS + "leaflet third cluster-leaf whole upper-stem"),
        {"cluster-leaf": ("bloom", "fruit")},
    )
FORMS["alfalfa"] = Form(forage.draw, forage.aim, ("leafy", "bud", "bloom"), _of("whole top top-third middle-third"))
FORMS["clover"] = Form(
    forage.draw, forage.aim, ("leafy", "bud", "bloom"), _of("whole top top-third leaf youngest-open")
)
for _name in tree.KINDS:
    FORMS[_name] = Form(tree.draw, tree.aim, ("shoot", "young", "fruit"), _SHOOT)
FORMS["almond"] = Form(tree.draw, tree.aim, ("shoot", "young", "fruit"), _SHOOT | _of("spur hull"))
for _name in nut.KINDS:
    FORMS[_name] = Form(nut.draw, nut.aim, ("shoot",), frozenset(nut.TARGETS))
FORMS["grape"] = Form(
    grape.draw, grape.aim, ("bloom", "fruit"), _of("opposite-petiole opposite-leaf shoot-petiole petiole leaf blade")
)
for _name, _kind in rosette.KINDS.items():
    _extra = _of("wrapper") if _kind.head in ("lettuce", "cabbage") else frozenset()
    FORMS[_name] = Form(
        rosette.draw,
        rosette.aim,
        ("leafy", "head") if _kind.head else ("leafy",),
        _of(_PARTS + "third middle-ring youngest-open first-from-centre whole") | _extra,
        {"wrapper": _HEAD, "youngest-open": ("leafy",), "third": ("leafy",)},
    )
for _name in vine.KINDS:
    FORMS[_name] = Form(
        vine.draw, vine.aim, ("leafy", "bloom", "fruit"), _of(_PARTS + "fifth third base youngest-open whole")
    )
FORMS["strawberry"] = Form(
    berry.draw, berry.aim, ("leafy", "bloom", "fruit"), _of(_PARTS + "youngest-open centre-leaf whole")
)
for _name in ("raspberry", "blackberry"):
    FORMS[_name] = Form(berry.draw, berry.aim, ("leafy", "bloom", "fruit"), _of(_PARTS + "cane-leaf"))
FORMS["cranberry"] = Form(berry.draw, berry.aim, ("leafy", "fruit"), _of("upright whole"))
for _name in ("onion", "garlic", "carrot"):
    FORMS[_name] = Form(bulb.draw, bulb.aim, ("leafy", "bulb"), _of("leaf blade youngest-open third whole"))
FORMS["asparagus"] = Form(bulb.draw, bulb.aim, ("fern",), _of("fern whole"))
for _name in tropical.KINDS:
    FORMS[_name] = Form(tropical.draw, tropical.aim, ("leafy",), _of("petiole leaf blade third"))

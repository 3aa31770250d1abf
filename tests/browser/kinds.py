"""One page of each kind, and the languages of the demo manual: what the tests of accessibility go through."""

from __future__ import annotations

from pathlib import Path

import pytest
from _pytest.mark import ParameterSet

from earleaf.database.languages import subtag
from earleaf.database.manual import load_manual

ROOT = Path(__file__).resolve().parents[2]
MANUAL = ROOT / "demo_scenario/manual.yml"

KINDS = {
    "home": "",
    "crop list": "crops/",
    "crop": "crops/corn/",
    "handout": "crops/corn/tassel-to-silk/",
    "handout, two bags": "crops/wheat/gs30-nitrogen/",
    "lab handout": "labs/pebblecross/corn/tassel-to-silk/",
    "lab": "labs/larkmoor/",
    "labs": "labs/",
    "stages list": "stages/",
    "stage guide": "stages/corn-leaf-collar/",
    "cards": "cards/",
    "cards of a lab": "cards/larkmoor/",
    "calendars": "calendars/",
    "calendar": "calendars/corn/",
    "cool hours": "calendars/cool-hours/",
    "drawings": "drawings/",
    "sources": "sources/",
    "guide": "guide/",
    "chapter": "drying-and-mailing/",
    "for your site": "embed/",
    "search": "search/?q=corn",
}
EMBEDS = {
    "embedded handout": "embed/corn/tassel-to-silk/",
    "embedded calendar": "embed/calendars/corn/",
    "embedded card": "embed/cards/corn-tassel-to-silk/",
}
NOT_IN_THE_THEME = {"search"}  # the theme has a search box of its own, on every page


def prefixes() -> dict[str, str]:
    """Language of each edition of the demo manual, and the folder it stands in: "" for the first, then "es/"."""
    manual, _ = load_manual(MANUAL)
    assert manual is not None
    return {tag: "" if tag == manual.languages[0] else f"{subtag(tag)}/" for tag in manual.languages}


PREFIXES = prefixes()
USUAL = {"home", "handout", "calendar", "cards", "chapter"}
"""Kinds that the usual run looks at in each language; the slow run looks at all."""
DENSE = {"handout", "calendar"}
"""Kinds with most on them: the usual run looks at them in every width, in the dark and under the theme, too."""


def slow(value: object) -> ParameterSet:
    """A case for the slow run only."""
    return pytest.param(value, marks=pytest.mark.slow)


def _places(kinds: dict[str, str], first: set[str], others: set[str]) -> list[ParameterSet]:
    """Each kind in each language; slow but for some in the first language, and some in the others."""
    return [
        pytest.param(kind, prefix + place, marks=[pytest.mark.slow] * (kind not in (others if prefix else first)))
        for prefix in PREFIXES.values()
        for kind, place in kinds.items()
    ]


PLAIN = _places({**KINDS, **EMBEDS}, {*KINDS, *EMBEDS}, USUAL)
OFTEN = _places({**KINDS, **EMBEDS}, DENSE, DENSE)
THEME = _places({kind: place for kind, place in KINDS.items() if kind not in NOT_IN_THE_THEME}, USUAL, DENSE)

"""Pairs of measures cut down to one system; the pairs of the shipped texts beside the exact factors of the units."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from earleaf.database.load import Database, Loader
from earleaf.model.language import Language, Measures, UnitSystem
from earleaf.site.catalogue import database_strings
from earleaf.views.measures import NUMBER, one_system
from earleaf.views.words import Words

FACTORS = {"in": 25.4, "ft": 304.8, "inch": 25.4, "acres": 4046.8564224, "acre": 4046.8564224}
"""Exact: NIST Special Publication 811 (2008), appendix B.8; the acre of the international foot."""
METRIC = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "km": 1e6, "ha": 10_000.0}
"""Lengths in millimetres; areas in square metres."""


def shipped(root: Path, code: str) -> Measures:
    language, _ = Loader(root).read(root / f"protocols/languages/{code}/language.yml", Language)
    assert language is not None
    return language.measures


CUTS = [
    ("en", "Cut 6 to 8 in (15 to 20 cm) up.", "Cut 6 to 8 in up.", "Cut 15 to 20 cm up."),
    ("en", "Cut half an inch (12 mm) up.", "Cut half an inch up.", "Cut 12 mm up."),
    ("en", "Keep it at 55 °C (131 °F).", "Keep it at 131 °F.", "Keep it at 55 °C."),
    ("en", "Up to 4 ha (10 acres), 2 in (5 cm) deep.", "Up to 10 acres, 2 in deep.", "Up to 4 ha, 5 cm deep."),
    ("en", "A 0.8 in (2 cm) bud, 1/2 in (12 mm) off.", "A 0.8 in bud, 1/2 in off.", "A 2 cm bud, 12 mm off."),
    ("en", "Counted above -1.3 °C (30 °F).", "Counted above 30 °F.", "Counted above -1.3 °C."),
    ("en", "Keep 1 pint (half a litre).", "Keep 1 pint.", "Keep half a litre."),
    ("es", "Corte de 6 a 8 pulg (15 a 20 cm).", "Corte de 6 a 8 pulg.", "Corte de 15 a 20 cm."),
    ("es", "Corte a media pulgada (12 mm).", "Corte a media pulgada.", "Corte a 12 mm."),
]


@pytest.mark.parametrize(("code", "text", "us", "metric"), CUTS)
def test_pairs_are_cut_to_one_system(root: Path, code: str, text: str, us: str, metric: str) -> None:
    measures = shipped(root, code)
    assert one_system(text, measures, "us") == us
    assert one_system(text, measures, "metric") == metric
    assert one_system(text, measures, "both") == text


@pytest.mark.parametrize(
    "text",
    [
        "Put 10 in the bag (20 in all).",
        "Take 20 leaves (4 at each spot).",
        "Cut it 6 in up.",
        "Cut it 15 cm up.",
        "Dry it (55 °C) for a day.",
        "Send 10 in (a bag).",
    ],
)
@pytest.mark.parametrize("system", ["us", "metric"])
def test_what_is_no_pair_stays(root: Path, text: str, system: UnitSystem) -> None:
    assert one_system(text, shipped(root, "en"), system) == text


def test_a_language_without_measures_shows_both() -> None:
    assert one_system("Cut 6 in (15 cm) up.", Measures(), "us") == "Cut 6 in (15 cm) up."


def test_words_hand_on_the_system_of_the_manual(root: Path) -> None:
    english = Language(language="en", name="English", measures=shipped(root, "en"))
    assert Words(about=english, system="metric").say("{n} in 6 in (15 cm)", n=3) == "3 in 15 cm"
    assert Words(about=english).say("{n} in 6 in (15 cm)", n=3) == "3 in 6 in (15 cm)"


def pairs(database: Database, root: Path) -> list[tuple[str, str, str, str, str]]:
    """(text, figure, US unit, figure, metric unit) of every single pair in the shipped texts."""
    us, metric = "|".join(FACTORS), "|".join(METRIC)
    texts = {*database_strings(database), *(p.read_text("utf-8") for p in (root / "docs").glob("*.md"))}
    pattern = re.compile(rf"({NUMBER}) ({us}) \(({NUMBER}) ({metric})\)")
    return [(text[max(0, m.start() - 40) : m.end()], *m.groups()) for text in texts for m in pattern.finditer(text)]


def test_both_sides_of_a_shipped_pair_are_the_same_length(database: Database, root: Path) -> None:
    """A scout who reads one side must cut where the other scout cuts; rounding may be 15 per cent."""
    found = pairs(database, root)
    assert len(found) > 30
    wrong = []
    for text, n, unit, m, metric in found:
        if (unit in ("acre", "acres")) != (metric == "ha") or "/" in n:
            continue
        ratio = float(n) * FACTORS[unit] / (float(m) * METRIC[metric])
        if not 1 / 1.15 < ratio < 1.15:
            wrong.append(f"{text}: {ratio:.2f}")
    assert not wrong


def test_every_shipped_pair_is_known_as_one(database: Database, root: Path) -> None:
    measures = shipped(root, "en")
    for text, *_ in pairs(database, root):
        assert one_system(text, measures, "us") != text
        assert one_system(text, measures, "metric") != text

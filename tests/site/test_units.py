"""A manual in one system of units: no page, card or drawing of ours speaks in the other, in any language.

The rule: what we say goes through the pairs of views/measures.py. Exempt is what a source printed: a published row
keeps the unit of its source, and so does a sum of degree-days. Exempt too is the list of terms, which is about words.
Outside authority for the words of units: NIST Special Publication 811 (2008), appendix B.8, and the SI Brochure.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from lxml import html
from site_tree import report

from earleaf.database.manual import ManualDatabase
from earleaf.model.crop import Count
from earleaf.model.language import UnitSystem
from earleaf.planning.localise import localise
from earleaf.site.build import Prepared, grow
from earleaf.site.editions import Edition, words_of
from earleaf.site.tree import Tree, without
from earleaf.views.beside import rule_figure
from earleaf.views.card import card
from earleaf.views.common import count_text

FIGURE = r"(?:\d[\d.,/]*|half an?|quarter of an?|six|media|medio|un cuarto de)"
US = re.compile(
    rf"{FIGURE}[ -](?:in(?! the\b| all\b| doubt\b)|ft|lb|oz|pulg)\b"
    r"|\b(?:inch(?:es)?|(?<!wet )feet|yards?|miles?|acres?|pounds?|ounces?|gallons?|quarts?|pints?"
    r"|pulgadas?|yardas?|millas?|libras?|onzas?|galones|pintas?)\b"
    rf"|{FIGURE} (?:pies?|foot)\b|°\s?F\b|\d F\b"
)
METRIC = re.compile(
    rf"{FIGURE}[ -](?:mm|cm|m|km|ha|kg|g|ml|l)\b"
    r"|\b(?:metres?|hectares?|litres?|grams?|metros?|hectáreas?|litros?|gramos?)\b|°\s?C\b|\d C\b"
)
OTHER: dict[UnitSystem, re.Pattern[str]] = {"metric": US, "us": METRIC}
MEASURED = ("corn", "asparagus", "turf", "wheat", "alfalfa", "raspberry")
"""Crops whose texts hold each kind of measure."""


def whole(prepared: Prepared, system: UnitSystem, crops: tuple[str, ...] | None) -> list[tuple[Edition, Tree]]:
    """All editions of the demo manual in one system of units; of a few crops, or of all."""
    assert prepared.manual is not None
    manual = prepared.manual.model_copy(update={"units": system})
    db = without(prepared.db, prepared.db.crops.keys() - set(crops)) if crops else prepared.db
    return grow(replace(prepared, manual=manual, db=db))


def said(body: str) -> Iterator[str]:
    """Every text of a page and every attribute that is read out, without published rows, citations and code."""
    page = html.fromstring(body)
    for element in page.xpath(
        "//tr[@data-row]|//script|//style|//textarea|//code|//pre"
        "|//*[contains(@class, 'el-sourcelist')]|//ol[contains(@class, 'el-sources')]"
    ):
        element.drop_tree()
    yield from map(str, page.xpath("//text()"))
    for name in ("alt", "aria-label", "title", "content", "label"):
        yield from map(str, page.xpath(f"//@{name}"))


def printed(edition: Edition) -> tuple[str, ...]:
    """The published rules on handling, as this edition says them."""
    rows = edition.db.handling_rows.values()
    return tuple(edition.words.say(row.rule) + rule_figure(edition.words, row) for row in rows)


def strays(edition: Edition, tree: Tree, system: UnitSystem) -> Iterator[tuple[str, str]]:
    """Where an edition speaks in the other system: on a page, in a drawing, on a card."""
    exempt = printed(edition)
    texts = [(a, t) for a, page in tree.pages.items() if a != "terms/" for t in said(page.body)]
    svgs = {n: b.decode("utf-8") for n, b in tree.files.items() if n.endswith(".svg")}
    texts += [(n, t) for n, svg in svgs.items() for t in re.findall(r">([^<>]+)<", svg)]
    for crop in edition.db.crops.values():
        for protocol in crop.protocols:
            local = localise(edition.db, crop, protocol)
            texts.append((f"card {crop.crop}", str(card(edition.db, edition.words, edition.manual, local))))
    for where, text in texts:
        ours = text
        for rule in exempt:
            ours = ours.replace(rule, "")
        if found := OTHER[system].search(re.sub(r"degree-days [CF]", "", ours)):
            yield where, f"{found.group()!r} in {' '.join(text.split())[:120]}"


@pytest.mark.parametrize("system", ["metric", "us"])
def test_a_manual_speaks_in_its_own_units_only(demo: Prepared, system: UnitSystem) -> None:
    found = [stray for edition, tree in whole(demo, system, MEASURED) for stray in strays(edition, tree, system)]
    assert not found, report(found)


@pytest.mark.slow
@pytest.mark.parametrize("system", ["metric", "us"])
def test_no_crop_at_all_speaks_in_other_units(demo: Prepared, system: UnitSystem) -> None:
    found = [stray for edition, tree in whole(demo, system, None) for stray in strays(edition, tree, system)]
    assert not found, report(found)


def test_a_manual_of_both_shows_both_and_the_search_finds_them(demo: Prepared) -> None:
    for edition, tree in whole(demo, "both", ("corn", "turf")):
        for system in OTHER:
            assert {where for where, _ in strays(edition, tree, system)} >= {"crops/corn/stalk-nitrate/", "card corn"}


@pytest.mark.parametrize(
    ("language", "system", "text"),
    [
        ("en", "both", "at least 1 pint (half a litre)"),
        ("en", "us", "at least 1 pint"),
        ("en", "metric", "at least half a litre"),
        ("es-US", "metric", "al menos medio litro"),
    ],
)
def test_a_pint_of_clippings_is_said_in_litres(demo: Prepared, language: str, system: UnitSystem, text: str) -> None:
    """A US pint is 0.473 litres (NIST SP 811, B.8): half a litre is a little more, and more does no harm."""
    assert demo.manual is not None
    words = words_of(demo.manual.model_copy(update={"units": system}), demo.db, language)
    assert count_text(words, Count(min=1, unit="pints")) == text


@pytest.mark.parametrize(
    ("row", "english", "spanish"),
    [
        (("1", "day min"), " (at least 1 day)", " (al menos 1 día)"),
        (("20", "acres max"), " (at most 20 acres)", " (no más de 20 acres)"),
        (("10-15", "acres"), " (10 to 15 acres)", " (10 a 15 acres)"),
        (("55", "deg C max"), " (at most 55 °C)", " (no más de 55 °C)"),
    ],
)
def test_a_printed_figure_is_said_in_words(demo: Prepared, row: tuple[str, str], english: str, spanish: str) -> None:
    """A published row keeps its figure and its unit; its bounds are words."""
    assert demo.manual is not None and isinstance(demo.db, ManualDatabase)
    (real, *_) = [r for r in demo.db.handling_rows.values() if (r.value, r.unit) == row]
    assert rule_figure(words_of(demo.manual, demo.db, "en"), real) == english
    assert rule_figure(words_of(demo.manual, demo.db, "es-US"), real) == spanish

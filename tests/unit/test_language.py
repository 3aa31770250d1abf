"""Sentences, what is not read as prose, and what the lint sees. The cases are sentences a field manual could print."""

from __future__ import annotations

import pytest

from earleaf.language.lint import RULES, deep_headings, lint
from earleaf.language.readability import Counts, count
from earleaf.language.sentences import THING, sentences, words

FAULTS = [
    ("en", "double-negative", "Take no fewer than 20 leaves.", "Take at least 20 leaves."),
    ("en", "double-negative", "Do not go in without gloves.", "Wear gloves before you go in."),
    ("en", "double-negative", "It is not uncommon.", "It is common."),
    ("en", "double-negative", "Don't send it unless it is dry.", "If it is dry, send it."),
    ("en", "arithmetic", "Divide the leaves by the plants.", "Take 4 leaves from each plant."),
    ("en", "arithmetic", "Add up all the leaves.", "Take 20 leaves in all."),
    (
        "en",
        "many-conditions",
        "If it rained, wait until it dries unless you must go when asked.",
        "If it rained, wait.",
    ),
    ("en", "condition-last", "Take both if the lab reads both.", "If the lab reads both, take both."),
    ("es", "double-negative", "Tome no menos de 20 hojas.", "Tome al menos 20 hojas."),
    ("es", "double-negative", "No entre sin guantes.", "Use guantes antes de entrar."),
    ("es", "arithmetic", "Divida las hojas entre las plantas.", "Tome 4 hojas de cada planta."),
    ("es", "arithmetic", "Multiplique por dos.", "Tome 40 hojas."),
    ("es", "many-conditions", "Si llueve, espere hasta que seque cuando pueda.", "Si llueve, espere."),
    (
        "es",
        "condition-last",
        "Tome las dos si el laboratorio lee las dos.",
        "Si el laboratorio lee las dos, tome las dos.",
    ),
]
FINE = [
    ("en", "Ask your lab if it wants the blade or the stalk."),
    ("en", "No roots and no soil in the bag."),
    ("en", "Do not freeze it."),
    ("en", "Take all leaves only if your lab asks for them."),
    ("en", "Come back even if it is late."),
    ("en", "Part the stem into three equal lengths."),
    ("es", "Pregunte a su laboratorio si quiere el limbo o el peciolo."),
    ("es", "Sin raíces ni tierra en la bolsa."),
    ("es", "La cabeza tiene más o menos la mitad de su tamaño."),
    ("es", "No congele la muestra."),
    ("en", "Divide a large field."),
    ("es", "En un campo grande, divida el campo."),
]


def found(text: str, language: str) -> set[str]:
    return {remark.rule for remark in lint(text, language)}


@pytest.mark.parametrize(("language", "rule", "bad", "good"), FAULTS)
def test_the_lint_sees_it_and_takes_the_cure(language: str, rule: str, bad: str, good: str) -> None:
    assert rule in found(bad, language)
    assert rule not in found(good, language)


@pytest.mark.parametrize(("language", "text"), FINE)
def test_the_lint_is_quiet(language: str, text: str) -> None:
    assert found(text, language) == set()


def test_every_rule_has_a_case() -> None:
    assert {(rule.language, rule.name) for rule in RULES} <= {(language, rule) for language, rule, _, _ in FAULTS}


def test_twenty_words_are_the_most() -> None:
    assert found(" ".join(["leaf"] * 20) + ".", "en") == set()
    assert found(" ".join(["leaf"] * 21) + ".", "en") == {"long-sentence"}
    assert found(" ".join(["hoja"] * 21) + ".", "es") == {"long-sentence"}


def test_headings_of_the_fourth_level_are_seen() -> None:
    assert deep_headings("# A\n\n### B\n\n#### C\n") == [(5, "#### C")]
    assert deep_headings("<h3>a</h3>\n<h4 class='x'>b</h4>") == [(2, "<h4")]


@pytest.mark.parametrize(
    ("text", "want"),
    [
        ("Cut it. Shake it! Is it clean? Then bag it.", ["Cut it.", "Shake it!", "Is it clean?", "Then bag it."]),
        ("the ear leaf", ["the ear leaf"]),
        ("Cut for grain: a dark layer shows.", ["Cut for grain", "a dark layer shows."]),
        ("One source wants it on; another wants it off.", ["One source wants it on; another wants it off."]),
        ("Take 5.5 in. Then stop.", ["Take 5.5 in.", "Then stop."]),
        ("¿Llovió? Espere. Vuelva mañana.", ["¿Llovió?", "Espere.", "Vuelva mañana."]),
        ("Is it “the” leaf? “Yes.” Take it.", ["Is it “the” leaf?", "“Yes.", "Take it."]),
    ],
)
def test_sentences(text: str, want: list[str]) -> None:
    assert sentences(text) == want


@pytest.mark.parametrize(
    ("text", "want"),
    [
        ("Under 12 in (30 cm) tall.", ["Under", THING, THING, "tall"]),
        ("Put 10 in the bag.", ["Put", THING, "in", "the", "bag"]),
        ("From V6 to VT–R1, at GS 30.", ["From", THING, "to", THING, "at", THING]),
        ("Go on 15 July 2026.", ["Go", "on", THING]),
        ("Vaya el 15 de julio.", ["Vaya", "el", THING]),
        ("Dry at 55–60 °C.", ["Dry", "at", THING]),
        ("See [the labs](labs/) first [@uga-plant; @cca].", ["See", "the", "labs", "first"]),
        ("**Take** full-grown leaves.", ["Take", "full-grown", "leaves"]),
        ("A leaf of Zea mays.", ["A", "leaf", "of", THING]),
        ("I see a leaf.", ["I", "see", "a", "leaf"]),
    ],
)
def test_what_counts_as_a_word(text: str, want: list[str]) -> None:
    assert words(text, ["Zea mays"]) == want


def test_a_figure_is_one_word_of_one_syllable_in_both_languages() -> None:
    assert count(["Take 20 leaves."], "en") == Counts(3, 1, 3)
    assert count(["Tome 20 hojas."], "es") == Counts(3, 1, 5)

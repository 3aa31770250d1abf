"""Numbers, units, lists and dates in words; and the same by another catalogue."""

from __future__ import annotations

from datetime import date

import pytest

from earleaf.model.vocabulary import Unit
from earleaf.views.words import Words, capital

UNITS = {"leaves": Unit(id="leaves", one="leaf", many="leaves")}
WORDS = Words(units=UNITS)


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (20, 30, "20 to 30"),
        (20, 20, "20"),
        (20, None, "at least 20"),
        (2.5, 3.0, "2.5 to 3"),
        (1000, 1500, "1000 to 1500"),
    ],
)
def test_span(low: float, high: float | None, said: str) -> None:
    assert WORDS.span(low, high) == said


@pytest.mark.parametrize(("count", "said"), [(1, "1 leaf"), (4, "4 leaves"), (0, "0 leaves"), (1.5, "1.5 leaves")])
def test_counted(count: float, said: str) -> None:
    assert WORDS.counted(count, "leaves") == said


def test_a_unit_without_a_count_is_many() -> None:
    assert WORDS.unit("leaves") == "leaves" and WORDS.unit("leaves", 1) == "leaf"


@pytest.mark.parametrize(
    ("items", "said"), [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_listing(items: list[str], said: str) -> None:
    assert WORDS.listing(items) == WORDS.listing(iter(items)) == said


def test_days() -> None:
    assert WORDS.day(date(2026, 11, 5)) == "5 November 2026"
    assert WORDS.month_day("07-05") == "5 July" and WORDS.month_day("12-31") == "31 December"


def test_a_sentence_without_places_may_hold_braces() -> None:
    assert WORDS.say("a {brace}") == "a {brace}"


def test_values_are_never_read_as_places() -> None:
    assert WORDS.say("{crop}: now", crop="{x}") == "{x}: now"


def test_capital() -> None:
    assert capital("the ear leaf") == "The ear leaf" and capital("") == ""


def test_another_language_changes_sentences_units_and_order() -> None:
    other = Words(
        "de",
        {
            "{low} to {high}": "{low} bis {high}",
            "leaves": "Blätter",
            "November": "Nov.",
            "{day} {month} {year}": "{day}. {month} {year}",
        },
        UNITS,
    )
    assert other.span(20, 30) == "20 bis 30" and other.counted(4, "leaves") == "4 Blätter"
    assert other.day(date(2026, 11, 5)) == "5. Nov. 2026"


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ("08-01", "08-31", "August"),
        ("11-01", "02-28", "November to February"),
        ("07-15", "08-31", "15 July to 31 August"),
        ("07-01", "07-30", "1 July to 30 July"),
    ],
)
def test_whole_months_are_said_without_days(first: str, last: str, said: str) -> None:
    """A source that prints 'August' names no day, and neither do we."""
    assert Words().season(first, last) == said

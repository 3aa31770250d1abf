"""A language of the manual: what is true of it as a whole, and the terms of the trade in it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from .base import Id, Record, Text

Tag = Annotated[str, StringConstraints(pattern=r"^[a-z]{2,3}(-[A-Z]{2})?$")]
"""A language, or a language of one country: `es`, `es-MX` (RFC 5646)."""

UnitSystem = Literal["us", "metric", "both"]
SOURCE_LANGUAGE = "en"
"""The language in which the database and the program are written."""


class Measures(Record):
    """The words that a measure is made of, so that "12 in (30 cm)" can be cut down to one system of units."""

    numbers: tuple[Text, ...] = Field(default=(), description="Number words, longest first: `half an`, `a quarter`.")
    joins: tuple[Text, ...] = Field(default=(), description="What stands between two figures: `to`, `and`.")
    us: tuple[Text, ...] = Field(default=(), description="Units of the US, longest first: `square yard`, `in`.")
    metric: tuple[Text, ...] = Field(default=(), description="Metric units, longest first: `cm`, `m`.")


class Language(Record):
    """One language, in `languages/<language>/language.yml`."""

    language: Annotated[str, StringConstraints(pattern=r"^[a-z]{2,3}$")]
    name: Text = Field(description="Its name in itself: Español.")
    direction: Literal["ltr", "rtl"] = "ltr"
    joined: dict[str, str] = Field(
        default={},
        description="Words that melt together when a value is put into a sentence: `' de el '` to `' del '`.",
    )
    measures: Measures = Measures()
    reviewed_by: Text | None = Field(default=None, description="Who has read the whole edition; nobody if left out.")


class Term(Record):
    """A term of the trade, as it is said in this language. One list for translators and for whoever reviews them."""

    en: Text
    word: Text
    gender: Literal["m", "f", "none"] = Field(default="none", description="Of the noun, where the language has one.")
    known: Literal["printed", "memory"] = Field(description="Read in a printed text of the trade, or recalled.")
    reviewed: bool = False
    note: Text | None = None


class Variants(Record):
    """One thing that regions call by different names. Sentences write `[ear]` or `[ear:many]`; a manual picks the word.

    Each word brings its own forms, so no grammar is needed here: {mazorca: {one: mazorca, the: la mazorca}}.
    The first word is used where the manual does not say.
    """

    id: Id
    en: Text
    words: dict[Id, dict[Id, Text]] = Field(min_length=1)
    reviewed: bool = False


class TermFile(Record):
    """`languages/<language>/terms.yml`."""

    variants: tuple[Variants, ...] = ()
    terms: tuple[Term, ...] = ()

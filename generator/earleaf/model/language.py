"""A language of the manual: what is true of it as a whole, and the terms of the trade in it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from .base import Id, Record, Text

Tag = Annotated[str, StringConstraints(pattern=r"^[a-z]{2,3}(-[A-Z]{2})?$")]
"""A language, or a language of one country: `es`, `es-MX` (RFC 5646)."""

Spaced = Annotated[str, StringConstraints(strip_whitespace=False)]
"""A text whose spaces count: `' a el '` is not the end of "para el"."""
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

    language: Annotated[str, StringConstraints(pattern=r"^[a-z]{2,3}$")] = Field(
        description="Two or three letters, the same as the folder."
    )
    name: Text = Field(description="Its name in itself: Español.")
    direction: Literal["ltr", "rtl"] = Field(default="ltr", description="Which way it is written.")
    joined: dict[Spaced, Spaced] = Field(
        default={},
        description="Words that melt together when a value is put into a sentence: `' de el '` to `' del '`.",
    )
    measures: Measures = Field(default=Measures(), description="The words that measures are made of.")
    reviewed_by: Text | None = Field(default=None, description="Who has read the whole edition; nobody if left out.")


class Term(Record):
    """A term of the trade, as it is said in this language. One list for translators and for whoever reviews them."""

    en: Text = Field(description="The term in English.")
    word: Text = Field(description="The term in this language.")
    gender: Literal["m", "f", "none"] = Field(default="none", description="Of the noun, where the language has one.")
    known: Literal["printed", "memory"] = Field(description="Read in a printed text of the trade, or recalled.")
    reviewed: bool = Field(default=False, description="True once somebody of the trade has read it.")
    note: Text | None = Field(default=None, description="What a translator should know.")


class Variants(Record):
    """One thing that regions call by different names. Sentences write `[ear]` or `[ear:many]`; a manual picks the word.

    Each word brings its own forms, so no grammar is needed here: {mazorca: {one: mazorca, the: la mazorca}}.
    The first word is used where the manual does not say.
    """

    id: Id = Field(description="The id that sentences write in brackets.")
    en: Text = Field(description="The thing in English.")
    words: dict[Id, dict[Id, Text]] = Field(min_length=1, description="By id, each word with its forms.")
    reviewed: bool = Field(default=False, description="True once somebody of the trade has read it.")


class TermFile(Record):
    """`languages/<language>/terms.yml`."""

    variants: tuple[Variants, ...] = Field(default=(), description="Things that regions call by different names.")
    terms: tuple[Term, ...] = Field(default=(), description="Terms of the trade.")

"""Every word of the site goes through here: sentences by the catalogue, figures and measures by the language.

English is the source language: a sentence is its own key. Another language brings a table of sentences; nothing else
changes. A sentence that the table lacks is remembered in `missing`, so that whoever builds can leave out what needs it.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from unicodedata import combining, normalize

from babel.core import UnknownLocaleError
from babel.numbers import get_decimal_symbol

from ..model.language import SOURCE_LANGUAGE, Language, UnitSystem
from ..model.vocabulary import Unit
from .measures import one_system

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
MONTH_ENDS = frozenset(f"{m:02}-{d}" for m in range(1, 13) for d in (28, 29, 30, 31) if d >= monthrange(2001, m)[1])
"""The last days of the months, both of February."""
DAYS = {
    "mon": "Monday",
    "tue": "Tuesday",
    "wed": "Wednesday",
    "thu": "Thursday",
    "fri": "Friday",
    "sat": "Saturday",
    "sun": "Sunday",
}


_WORD = re.compile(r"[^\W\d_]{2,}")
_PLACE = re.compile(r"\{[^{}]*\}")
_DECIMAL = re.compile(r"(?<=\d)\.(?=\d)")
ENGLISH = Language(language=SOURCE_LANGUAGE, name="English")


@dataclass(frozen=True)
class Words:
    """The words of one language. `language` is its tag, such as `es-US`: the decimal mark hangs on the country."""

    language: str = SOURCE_LANGUAGE
    sentences: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, Unit] = field(default_factory=dict)
    about: Language = ENGLISH
    system: UnitSystem = "both"
    missing: set[str] = field(default_factory=set, compare=False)

    def say(self, sentence: str, **values: object) -> str:
        """The sentence in this language, with its {places} filled."""
        text = self.sentences.get(sentence)
        if text is None:
            text = sentence
            if self.lacks(sentence):
                self.missing.add(sentence)
        text = self.in_units(text)
        if self.decimal_mark != ".":
            text = _DECIMAL.sub(self.decimal_mark, text)
        if not values:
            return text
        text = text.format(**values)
        for apart, together in self.about.joined.items():
            text = text.replace(apart, together)
        return text

    def in_units(self, text: str) -> str:
        """A text with each "12 in (30 cm)" as the manual wants it."""
        return one_system(text, self.about.measures, self.system)

    def lacks(self, sentence: str) -> bool:
        """Whether this language should have the sentence and has not. What holds no word needs no translation."""
        return (
            self.about.language != SOURCE_LANGUAGE
            and sentence not in self.sentences
            and _WORD.search(_PLACE.sub("", sentence)) is not None
        )

    @cached_property
    def decimal_mark(self) -> str:
        """The mark between the whole and the part as the language's country writes it; a point where nobody knows."""
        try:
            return get_decimal_symbol(self.language.replace("-", "_"))
        except UnknownLocaleError:
            return "."

    def number(self, value: float) -> str:
        """A figure without needless decimals."""
        return f"{value:g}".replace(".", self.decimal_mark)

    def span(self, low: float, high: float | None) -> str:
        """'20 to 30', 'at least 20' or '20'."""
        if high is None:
            return self.say("at least {n}", n=self.number(low))
        if high == low:
            return self.number(low)
        return self.say("{low} to {high}", low=self.number(low), high=self.number(high))

    def unit(self, unit_id: str, count: float | None = None) -> str:
        """The unit's word, in the form the count wants (None: many)."""
        unit = self.units[unit_id]
        return self.say(unit.one if count == 1 else unit.many)

    def counted(self, count: float, unit_id: str) -> str:
        """'4 leaves'."""
        return self.say("{n} {unit}", n=self.number(count), unit=self.unit(unit_id, count))

    def day(self, when: date) -> str:
        """'25 November 2026'."""
        return self.say("{day} {month} {year}", day=when.day, month=self.say(MONTHS[when.month - 1]), year=when.year)

    def short_day(self, when: date) -> str:
        """'25 Nov 2026', where room is dear."""
        month = self.short_month(when.month)
        return self.say("{day} {short_month} {year}", day=when.day, short_month=month, year=when.year)

    def short_month(self, month: int) -> str:
        """The first three letters of a month, 1 to 12: 'Jul'."""
        return self.say(MONTHS[month - 1])[:3]

    def month_day(self, text: str) -> str:
        """'15 July' from '07-15'."""
        month, day = text.split("-")
        return self.say("{day} {month}", day=int(day), month=self.say(MONTHS[int(month) - 1]))

    def season(self, first: str, last: str) -> str:
        """'15 July to 1 September'; whole months as 'July' or 'July to August', as sources print them."""
        if first.endswith("-01") and last in MONTH_ENDS:
            months = [self.say(MONTHS[int(day[:2]) - 1]) for day in (first, last)]
            if months[0] == months[1]:
                return months[0]
            return self.say("{first} to {last}", first=months[0], last=months[1])
        return self.say("{first} to {last}", first=self.month_day(first), last=self.month_day(last))

    def listing(self, words: Iterable[str]) -> str:
        """'a, b and c'."""
        items = list(words)
        if len(items) < 2:
            return "".join(items)
        return self.say("{first} and {last}", first=", ".join(items[:-1]), last=items[-1])


def capital(text: str) -> str:
    """The text with its first letter large: a part's name at the start of a line."""
    return text[:1].upper() + text[1:]


def alphabetical(text: str) -> tuple[str, str]:
    """The key by which words stand in a list: accents count only between words that are alike without them.

    The Spanish ñ is a letter of its own, after n.

    >>> sorted(["Coco", "Cítricos", "Cebada"], key=alphabetical)
    ['Cebada', 'Cítricos', 'Coco']
    """
    apart = normalize("NFD", text.casefold().replace("ñ", "n\uffff"))
    return "".join(c for c in apart if not combining(c)), text


def first_letter(text: str) -> str:
    """The letter under which a word is found: É under E, Ñ under Ñ."""
    letter = text[:1].upper()
    return letter if letter == "Ñ" else normalize("NFD", letter)[:1]

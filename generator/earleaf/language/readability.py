"""How hard a text is: published formulas over words, sentences and syllables.

A formula is a smoke alarm. It sees long words and long sentences; it does not see whether a text is true or clear.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from .sentences import THING, sentences, words
from .syllables import syllables


@dataclass(frozen=True)
class Counts:
    """What every formula asks for. Add two to get the counts of both texts."""

    words: int = 0
    sentences: int = 0
    syllables: int = 0

    def __add__(self, other: Counts) -> Counts:
        return Counts(self.words + other.words, self.sentences + other.sentences, self.syllables + other.syllables)

    @property
    def words_per_sentence(self) -> float:
        return self.words / self.sentences

    @property
    def syllables_per_word(self) -> float:
        return self.syllables / self.words


def flesch_reading_ease(c: Counts) -> float:
    """Reading ease of English, 0 (hard) to 100 (easy). Source: R. Flesch (1948), J. Appl. Psychol. 32:221-233."""
    return 206.835 - 1.015 * c.words_per_sentence - 84.6 * c.syllables_per_word


def flesch_kincaid_grade(c: Counts) -> float:
    """School grade of English. Source: Kincaid et al. (1975), U.S. Naval Technical Training, Report 8-75."""
    return 0.39 * c.words_per_sentence + 11.8 * c.syllables_per_word - 15.59


def szigriszt_pazos(c: Counts) -> float:
    """Reading ease of Spanish. Source: F. Szigriszt Pazos (1993), thesis, Universidad Complutense de Madrid."""
    return 206.835 - 62.3 * c.syllables_per_word - c.words_per_sentence


def fernandez_huerta(c: Counts) -> float:
    """Reading ease of Spanish, older. Source: J. Fernández Huerta (1959), as put right by G. Law (2011).

    Often printed with sentences per 100 words in the last term, which makes short sentences score worse. The term is
    words per sentence (LINGUIST List 22.2332).
    """
    return 206.84 - 60 * c.syllables_per_word - 1.02 * c.words_per_sentence


INFLESZ = ((40, "very hard"), (55, "somewhat hard"), (65, "normal"), (80, "fairly easy"))
"""Below each value, in Spanish. Source: I. M. Barrio Cantalejo et al. (2008), An. Sist. Sanit. Navar. 31:135-152."""


def inflesz(score: float) -> str:
    """The band of a Szigriszt-Pazos score."""
    return next((name for below, name in INFLESZ if score < below), "very easy")


@dataclass(frozen=True)
class Measure:
    """The formula that a language is judged by, and which way is better."""

    name: str
    better: Literal["low", "high"]

    def passes(self, score: float, target: float) -> bool:
        return score <= target if self.better == "low" else score >= target


MEASURES = {"en": Measure("grade", "low"), "es": Measure("INFLESZ", "high")}


def count(texts: Iterable[str], language: str, names: Iterable[str] = ()) -> Counts:
    """The counts of headings, items, cells and paragraphs together. KeyError for a language without a counter."""
    total, known = Counts(), tuple(names)
    for sentence in (sentence for text in texts for sentence in sentences(text)):
        found = words(sentence, known)
        if found:
            said = sum(1 if word == THING else syllables(word, language) for word in found)
            total += Counts(len(found), 1, said)
    return total


def score(c: Counts, language: str) -> float:
    """The score of the language's own measure: a school grade in English, Szigriszt-Pazos in Spanish."""
    return flesch_kincaid_grade(c) if language == "en" else szigriszt_pazos(c)


def score_text(text: str, language: str, names: Iterable[str] = ()) -> float:
    """The score of one text. ValueError for a text without a word, KeyError for a language without a counter."""
    counts = count([text], language, names)
    if not counts.words:
        raise ValueError("there is no word to score")
    return score(counts, language)

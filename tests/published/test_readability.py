"""Readability formulas against their published constants, printed examples and known errors.

Outside authorities, named again beside each check:
- English: R. Flesch (1948), J. Appl. Psychol. 32:221-233; J. P. Kincaid et al. (1975), U.S. Naval Technical Training
  Command, Research Branch Report 8-75; both constants as the US Department of Veterans Affairs prints them.
- Spanish: F. Szigriszt Pazos (1993); bands of I. M. Barrio Cantalejo et al. (2008), An. Sist. Sanit. Navar. 31:135-152;
  J. Fernández Huerta (1959), put right by G. Law (2011), LINGUIST List 22.2332.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earleaf.language.readability import (
    Counts,
    count,
    fernandez_huerta,
    flesch_kincaid_grade,
    flesch_reading_ease,
    inflesz,
    score_text,
    szigriszt_pazos,
)

CAT = "The cat sat on the mat."
PLATYPUS = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."


def wrong_fernandez_huerta(c: Counts) -> float:
    """The form that is widely printed: sentences per 100 words in the last term, not words per sentence."""
    return 206.84 - 60 * c.syllables_per_word - 1.02 * (100 * c.sentences / c.words)


def texts(least_words: int = 1) -> st.SearchStrategy[Counts]:
    """Counts that a text can have: a word or more a sentence, a syllable or more a word."""
    return st.builds(
        lambda sentences, words, syllables: Counts(sentences * words, sentences, sentences * words + syllables),
        st.integers(1, 200),
        st.integers(least_words, 40),
        st.integers(0, 5000),
    )


@pytest.mark.parametrize(
    ("counts", "ease", "grade"),
    [
        (Counts(6, 1, 6), 116.145, -1.45),
        (Counts(100, 8, 130), 84.17, 4.62),
        (Counts(1, 1, 1), 121.22, -3.40),  # easiest text there can be: stated limits of both scales
        (Counts(13, 1, 24), 37.5, 11.3),  # the platypus sentence: 13 words, 24 syllables, as printed with both scores
    ],
)
def test_english_formulas(counts: Counts, ease: float, grade: float) -> None:
    """Printed scores have one or two decimals; the first pair is exact arithmetic."""
    assert flesch_reading_ease(counts) == pytest.approx(ease, abs=0.06)
    assert flesch_kincaid_grade(counts) == pytest.approx(grade, abs=0.06)


def test_a_childrens_book_by_its_printed_averages() -> None:
    """5.7 words a sentence and 1.02 syllables a word: grade -1.3, printed for a reader of 50 words."""
    assert flesch_kincaid_grade(Counts(5700, 1000, 5814)) == pytest.approx(-1.3, abs=0.05)


def test_whole_way_from_text_to_score() -> None:
    """Six words of one syllable are 116.145. A library once gave this sentence 124.61, later 116.5 (textstat, #28)."""
    assert count([CAT], "en") == Counts(6, 1, 6)
    assert flesch_reading_ease(count([CAT], "en")) == pytest.approx(116.145)
    assert score_text(CAT, "en") == pytest.approx(-1.45)


def test_our_count_of_the_printed_sentence() -> None:
    """13 words and 24 syllables are printed with the scores."""
    assert count([PLATYPUS], "en") == Counts(13, 1, 24)


@pytest.mark.parametrize(
    ("counts", "value", "band"), [(Counts(100, 8, 190), 75.97, "fairly easy"), (Counts(100, 5, 210), 56.0, "normal")]
)
def test_szigriszt_pazos(counts: Counts, value: float, band: str) -> None:
    assert szigriszt_pazos(counts) == pytest.approx(value, abs=0.006)
    assert inflesz(szigriszt_pazos(counts)) == band


@pytest.mark.parametrize(
    ("value", "band"),
    [
        (39.9, "very hard"),
        (40, "somewhat hard"),
        (54.9, "somewhat hard"),
        (55, "normal"),
        (64.9, "normal"),
        (65, "fairly easy"),
        (79.9, "fairly easy"),
        (80, "very easy"),
    ],
)
def test_bands_of_inflesz(value: float, band: str) -> None:
    """0-40, 40-55, 55-65, 65-80, 80-100 (Barrio Cantalejo 2008)."""
    assert inflesz(value) == band


@pytest.mark.parametrize(
    ("counts", "right", "wrong"), [(Counts(100, 8, 190), 80.09, 84.68), (Counts(100, 5, 210), 60.44, 75.74)]
)
def test_fernandez_huerta_is_the_right_form(counts: Counts, right: float, wrong: float) -> None:
    """Never tested at ten words a sentence: there the wrong form gives the same (see below)."""
    assert counts.words_per_sentence != 10
    assert fernandez_huerta(counts) == pytest.approx(right, abs=0.006)
    assert wrong_fernandez_huerta(counts) == pytest.approx(wrong, abs=0.006)


def test_the_trap_at_ten_words_a_sentence() -> None:
    """At ten words a sentence both forms agree, so a test there proves nothing."""
    ten = Counts(100, 10, 200)
    assert fernandez_huerta(ten) == pytest.approx(wrong_fernandez_huerta(ten))


@given(texts(2))
def test_shorter_sentences_never_read_harder(c: Counts) -> None:
    """What each formula promises: the same words in more sentences are easier. The wrong form breaks the promise."""
    split = Counts(c.words, 2 * c.sentences, c.syllables)
    assert flesch_reading_ease(split) > flesch_reading_ease(c)
    assert flesch_kincaid_grade(split) < flesch_kincaid_grade(c)
    assert szigriszt_pazos(split) > szigriszt_pazos(c)
    assert fernandez_huerta(split) > fernandez_huerta(c)
    assert wrong_fernandez_huerta(split) < wrong_fernandez_huerta(c)


@given(texts(), texts())
def test_a_page_is_all_its_sentences_together(a: Counts, b: Counts) -> None:
    """The score of two texts lies between theirs: counts are added, scores are not averaged by page."""
    low, high = sorted((a.words_per_sentence, b.words_per_sentence))
    assert low <= (a + b).words_per_sentence <= high


def test_a_text_without_words_has_no_score() -> None:
    with pytest.raises(ValueError, match="no word"):
        score_text(" ... ", "en")

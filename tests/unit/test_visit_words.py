"""Every reason of a visit plan has plain words; none shows its id, a place left open or a date of a computer."""

from __future__ import annotations

import re
from datetime import date

import pytest

from earleaf.planning.working_days import Reason, Why
from earleaf.views.visit_words import SENTENCES, reason_text, week_day
from earleaf.views.words import Words

WORDS = Words()
DAYS = (date(2027, 6, 28), date(2027, 7, 1))
DATES_OF = {
    Why.PAST: (0, 1),
    Why.HOLIDAY: (1,),
    Why.MAY_BE_TOO_EARLY: (0, 1),
    Why.MAY_BE_TOO_LATE: (0, 1),
    Why.WAITS_FOR_MAIL: (2,),
    Why.NO_MAILING_DAY: (1,),
    Why.ARRIVES_CLOSED: (1, 2),
    Why.LAB_CLOSED: (1, 2),
    Why.RESTS_WEEKEND: (1,),
    Why.RESTS_HOLIDAY: (1,),
    Why.NOT_FRESH: (2,),
    Why.IN_TIME: (2,),
    Why.TOO_LATE: (2,),
    Why.ONLY_IF_FAST: (2,),
    Why.NO_DAY_IN_TIME: (1,),
    Why.NO_OPENING: (0, 1, 2),
    Why.NO_CLOSING: (0, 1, 2),
    Why.NO_WINDOW: (2,),
}
"""How many days each reason may come with, as `Reason` tells; an id that is not here has none."""
CASES = [(why, n) for why in Why for n in DATES_OF.get(why, (0,))]


@pytest.mark.parametrize(("why", "days"), CASES)
def test_every_reason_reads_as_sentences(why: Why, days: int) -> None:
    text = reason_text(WORDS, Reason(why, DAYS[:days], 3, "14:00"))
    assert text[0].isupper() and text.endswith(".")
    assert "{" not in text and "None" not in text
    assert ("-" not in why or str(why) not in text) and why.name not in text
    assert not re.search(r"[0-9]{4}-[0-9]{2}", text)
    assert all(len(sentence.split()) <= 15 for sentence in text.split(". "))


def test_no_id_is_without_words() -> None:
    assert set(SENTENCES) == set(Why)
    assert all(texts[0] for texts in SENTENCES.values())


@pytest.mark.parametrize("why", [Why.TOO_LATE, Why.IN_TIME, Why.LAB_CLOSED, Why.NOT_FRESH, Why.NO_OPENING])
def test_both_days_are_said_with_their_weekday(why: Why) -> None:
    """28 June 2027 is a Monday, 1 July a Thursday (the calendar of ISO 8601, by `date.weekday`)."""
    text = reason_text(WORDS, Reason(why, DAYS))
    assert "Monday 28 June" in text and "Thursday 1 July" in text


def test_the_hour_is_said() -> None:
    assert "14:00" in reason_text(WORDS, Reason(Why.CUT_OFF, clock="14:00"))
    assert "14:00" in reason_text(WORDS, Reason(Why.AFTER_CUT_OFF, clock="14:00"))


def test_other_languages_translate_each_sentence() -> None:
    class Marked(dict[str, str]):
        def get(self, key: str, default: str | None = None) -> str:  # type: ignore[override]
            return f"«{key}»"

    words = Words("qq", Marked())
    assert all(reason_text(words, Reason(why, DAYS[:n])).startswith("«") for why, n in CASES)


def test_a_day_with_its_weekday() -> None:
    assert week_day(WORDS, date(2027, 7, 2)) == "Friday 2 July"

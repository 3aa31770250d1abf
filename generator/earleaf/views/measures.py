"""'12 in (30 cm)' cut down to the one system of units that a manual wants."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from ..model.language import Measures, UnitSystem

NUMBER = r"-?\d[\d.,/]*"


def one_system(text: str, measures: Measures, system: UnitSystem) -> str:
    """The text with each pair of measures cut down to one; untouched for `both`, or where only one is given.

    >>> english = Measures(joins=("to",), us=("in",), metric=("cm",))
    >>> one_system("Cut 6 to 8 in (15 to 20 cm) up.", english, "metric")
    'Cut 15 to 20 cm up.'
    >>> one_system("Cut 6 to 8 in (15 to 20 cm) up.", english, "us")
    'Cut 6 to 8 in up.'
    """
    if system == "both" or "(" not in text or not measures.us or not measures.metric:
        return text
    us_first, metric_first = _pairs(measures)
    keep_us = system == "us"
    text = us_first.sub(r"\1" if keep_us else r"\2", text)
    return metric_first.sub(r"\2" if keep_us else r"\1", text)


@lru_cache
def _pairs(measures: Measures) -> tuple[re.Pattern[str], re.Pattern[str]]:
    """A US measure with a metric one in brackets, and the other way round."""
    us, metric = _measure(measures, measures.us), _measure(measures, measures.metric)
    return re.compile(rf"(?<![\w-])({us}) \(({metric})\)"), re.compile(rf"(?<![\w-])({metric}) \(({us})\)")


def _measure(measures: Measures, units: Sequence[str]) -> str:
    """One figure or two, then a unit; a unit alone stands for one of it."""
    number = "|".join([NUMBER, *map(re.escape, measures.numbers)])
    joins = "|".join(map(re.escape, measures.joins)) or "(?!)"
    unit = "|".join(map(re.escape, units))
    return rf"(?:(?:{number}) (?:(?:{joins}) (?:{number}) )?)?(?:{unit})"

"""The cell `maturity` of a planting: a hybrid's rating, or a maturity group, as a timing model understands it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from ..model.development import Development, Rating
from .load import Database

RATING = re.compile(r"([0-9]{2,5}(?:\.[0-9]+)?)( from emergence)?")


@dataclass(frozen=True)
class Maturity:
    """The total from planting that a hybrid is rated by, in the unit of the model; or its group. Or neither."""

    rating: float | None = None
    group: Literal["early", "mid", "late"] | None = None


def read_maturity(db: Database, model: Development | None, text: str) -> Maturity:
    """The maturity in the words of a model; empty where it has none.

    ValueError, with what was found and what to do, for what is outside the published range.
    """
    if model is not None and model.rating is not None:
        total = rating_total(model.rating, text)
        if total is None:
            raise ValueError(f"maturity is {text[:40]!r}, {_range(db, model.rating)}", _hint(model.rating))
        return Maturity(rating=total)
    if model is not None and model.groups:
        for group in model.groups:
            if text.lower() == group:
                return Maturity(group=group)
        allowed = f"allowed: {', '.join(model.groups)}; or leave the cell empty"
        raise ValueError(f"maturity is {text[:40]!r}, no group of the published table", allowed)
    return Maturity()


def rating_total(rating: Rating, text: str) -> float | None:
    """The total from planting that a rating means; None outside what is printed.

    >>> rule = Rating(stage="R6", usual=2700, least=2100, most=2900, before={"R1": 1300}, from_emergence=115,
    ...               say=["Known."], rows=["corn.a.t1"])
    >>> rating_total(rule, "2700"), rating_total(rule, "2600 from emergence"), rating_total(rule, "105")
    (2700.0, 2715.0, None)
    """
    match = RATING.fullmatch(text)
    if match is None or (match[2] and rating.from_emergence is None):
        return None
    total = float(match[1]) + (rating.from_emergence or 0.0 if match[2] else 0.0)
    return total if rating.least <= total <= rating.most else None


def _range(db: Database, rating: Rating) -> str:
    """The range that is printed, and who prints it."""
    rows = [db.timing[name] for name in rating.rows if name in db.timing]
    who = dict.fromkeys(row.source for row in rows if row.amount in (rating.least, rating.most))
    return f"not from {rating.least:g} to {rating.most:g} as published ({', '.join(who)})"


def _hint(rating: Rating) -> str:
    wanted = f"give the degree-days from planting to {rating.stage} that are printed for the hybrid, such as "
    wanted += f"{rating.usual:g}"
    if rating.from_emergence is not None:
        wanted += f", or `{rating.usual - rating.from_emergence:g} from emergence`"
    return f"{wanted}; days of relative maturity are not understood; or leave the cell empty"

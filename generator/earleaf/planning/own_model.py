"""A crop's timing model as one planting has it: its maturity, its late day, and the stage that was seen in it.

Each step takes a model and gives a model, so that one and the same forecast reads all of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from ..agronomy.development import adjusted, from_rating, late_planting, restarted
from ..database.load import Database
from ..database.maturity import Maturity
from ..database.timing import codes_of, crop_points, start_kind
from ..model.crop import Crop
from ..model.development import Development, Leg, Need, Point

Floats = NDArray[np.float64]
LATE_CAP = "ndawn-small-grain-late"
"""How a small grain counts once it has two leaves, whatever was counted before."""


def with_maturity(db: Database, crop: Crop, model: Development, maturity: Maturity | None) -> Development:
    """The model of one hybrid or one maturity group, with the figures that are printed for it."""
    if maturity is None or (maturity.rating is None and maturity.group is None):
        return model
    legs = []
    for leg in model.legs:
        needs = _needs(db, crop, leg)
        if maturity.rating is not None:
            needs = _rated(db, crop, model, needs, maturity.rating)
        elif maturity.group is not None:
            needs = [_grouped(db, model, need, maturity.group) for need in needs]
        legs.append(leg.model_copy(update={"needs": tuple(needs)}))
    return model.model_copy(update={"legs": tuple(legs)})


def with_planting_day(db: Database, crop: Crop, model: Development, planted: date) -> Development:
    """The model with its rule for a late planting worked in: the day a stage is seen is no late planting."""
    late = model.late
    if late is None:
        return model
    month, day = map(int, late.after.split("-"))
    shift = late_planting([(planted - date(planted.year, month, day)).days], late.per_day)
    legs = []
    for leg in model.legs:
        needs = _needs(db, crop, leg)
        for i, need in enumerate(needs):
            if need.stage == late.stage:
                needs[i] = _with_figures(need, adjusted(_figures(need), shift=shift)[0, 0])
        legs.append(leg.model_copy(update={"needs": tuple(needs)}))
    return model.model_copy(update={"legs": tuple(legs), "late": None})


def seen_from(db: Database, crop: Crop, model: Development, code: str, after: str | None = None) -> Development | None:
    """The model that counts on from a stage on the day it was seen; None where no published count goes on from it.

    Clocks of one kind are one clock: the differences between their totals go on. A clock that starts at the stage goes
    first, and one that starts at a later stage follows. A clock that started before and does not hold the stage is left
    out. `after`: only clocks that this event started are asked, such as those of the growth after a cut.
    """
    codes = codes_of(db, crop)
    place = codes.index(code)
    first = [leg for leg in model.legs if leg.start == code]
    later = [leg for leg in model.legs if start_kind(leg, codes) == "stage" and codes.index(leg.start) > place]
    clocks: dict[str, list[Leg]] = {}
    for leg in model.legs:
        if leg not in first and leg not in later and after in (None, leg.start):
            clocks.setdefault(_clock(leg), []).append(leg)
    carried = []
    for legs in clocks.values():
        needs = [need for leg in legs for need in _needs(db, crop, leg)]
        if (found := _carried(codes, legs[0], needs, code)) is not None:
            carried.append(found)
    if not first and not carried:
        return None
    return model.model_copy(update={"legs": (*first, *carried, *later), "late": None})


def _clock(leg: Leg) -> str:
    """What makes two legs one clock: start, method, limits."""
    parts = (leg.start, leg.first_day, leg.method, leg.unit, leg.lower, leg.upper, leg.early_upper, leg.early_until)
    return repr((*parts, leg.frost))


def _carried(codes: Sequence[str], leg: Leg, needs: Iterable[Need], code: str) -> Leg | None:
    """A clock that goes on from a stage of its own; None where it does not hold the stage."""
    ordered = sorted(needs, key=lambda need: (codes.index(need.stage or ""), _middle(need)))
    place = codes.index(code)
    at = next((i for i, need in enumerate(ordered) if place in _span(codes, need)), None)
    if at is None:
        return None
    left = restarted([_figures(need) for need in ordered], [at])[0]
    on = [_with_figures(need, row) for need, row in zip(ordered[at + 1 :], left[at + 1 :], strict=True)]
    seen = ordered[at].model_copy(update={"stage": code, "low": 0.0, "typical": 0.0, "high": 0.0})
    update: dict[str, object] = {"start": code, "first_day": "after", "needs": (seen, *on)}
    if leg.early_until is not None:
        rest = leg.early_until - _middle(ordered[at])
        update["early_until"] = rest if rest > 0 else None
        if rest <= 0:
            update |= {"early_upper": None, "method": LATE_CAP}
    return leg.model_copy(update=update)


def _span(codes: Sequence[str], need: Need) -> range:
    first = codes.index(need.stage or "")
    return range(first, (codes.index(need.stage_to) if need.stage_to else first) + 1)


def _needs(db: Database, crop: Crop, leg: Leg) -> list[Need]:
    """The dated points of a leg, runs written out, each with its total from the start of the leg."""
    codes = codes_of(db, crop)
    return [_need(leg, point) for point in crop_points(db, crop, leg) if point.stage in codes]


def _need(leg: Leg, point: Point) -> Need:
    return Need(
        stage=point.stage,
        stage_to=point.stage_to,
        low=point.low,
        typical=point.typical,
        high=point.high,
        basis=point.basis,
        rows=leg.needs[point.entry].rows,
    )


def _figures(need: Need) -> list[float]:
    """Low, typical and high; NaN in the middle of a bracket."""
    low, high = need.low, need.high
    assert low is not None and high is not None
    return [low, float("nan") if need.typical is None else need.typical, high]


def _middle(need: Need) -> float:
    low, typical, high = _figures(need)
    return (low + high) / 2 if need.typical is None else typical


def _with_figures(need: Need, figures: Floats | Sequence[float]) -> Need:
    low, typical, high = map(float, figures)
    return need.model_copy(update={"low": low, "typical": None if np.isnan(typical) else typical, "high": high})


def _rated(db: Database, crop: Crop, model: Development, needs: list[Need], total: float) -> list[Need]:
    """The needs of a hybrid rated `total`: its stages counted back from the rating.

    The distances are those of a mid-season hybrid. They would put the silk of an early one weeks too early, so no stage
    goes beyond the low and high that are printed for it. Nothing before comes after the first rated stage.
    """
    codes, rating = codes_of(db, crop), model.rating
    assert rating is not None
    before = {**rating.before, rating.stage: 0.0}
    span = max(before.values())
    figures = from_rating([total], [1 - less / span for less in before.values()], span)[0]
    rated = dict(zip(before, figures, strict=True))
    out = {}
    for need in needs:
        if need.stage in rated and need.stage != rating.stage:
            low, _, high = _figures(need)
            out[need.stage] = min(float(np.clip(rated[need.stage][0], low, high)), total)
        elif need.stage == rating.stage:
            out[need.stage] = total
    if not out:
        return needs
    opening = min(out, key=codes.index)
    made = []
    for need in needs:
        if need.stage in out:
            made.append(_with_figures(need, [out[need.stage]] * 3))
        elif codes.index(need.stage or "") < codes.index(opening):
            made.append(_with_figures(need, [min(value, out[opening]) for value in _figures(need)]))
        else:
            made.append(need)
    return made


def _grouped(db: Database, model: Development, need: Need, group: str) -> Need:
    """The figure of one maturity group, where the rows of a need are printed by group."""
    rows = [db.timing[name] for name in need.rows if name in db.timing]
    bound = next((b for g, b in model.groups.items() if g == group), None)
    if bound is None or not any((row.group or "").split(" ")[0] in model.groups for row in rows):
        return need
    value = getattr(need, bound)
    return need if value is None else _with_figures(need, [value] * 3)

"""Every figure of a timing model is printed by a row it names, and every timing row is used."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product

from ...model.crop import Crop
from ...model.development import Development, Leg, Need, Pace, bounds
from ...model.evidence import TimingRow
from ...model.finding import Finding
from ..ask import Path
from ..load import Database
from ..timing import codes_of, crop_points, figures, mismatch, named_rows
from .base import Context, Faults, Rule
from .timing import clock_faults

CLOSE = 0.6
"""Rounding of a figure that a source prints in the other unit, and of the middle of a range."""
PIECES = 3
"""How many printed figures a computed one may be the sum of."""
UNCHECKED = frozenset({"derived"})
Triple = tuple[float, float | None, float]
HINTS = {
    "range": "give low and high as a row prints them; typical is the middle",
    "band": "give low and high as a row prints them; typical is the middle",
    "band-reading": "use borders or middles of the bands",
    "bracket": "both ends are printed figures, or 0 for the start of the leg",
    "observed": "low and high are figures that the rows print",
    "computed": "it must be the sum of printed figures; say `derived` and how, if it is more than a sum",
}


def check(db: Database, context: Context) -> Iterator[Finding]:
    f = Faults(db, RULE.name)
    used: set[str] = set()
    for crop in db.crops.values():
        for i, model in enumerate(crop.development):
            used |= {row for _, row in named_rows(model)}
            found = [
                x for j, leg in enumerate(model.legs) for x in _leg(db, f, crop, ("development", i, "legs", j), leg)
            ]
            yield from found or [*_groups(db, f, crop, i, model), *_rating(db, f, crop, i, model)]
            yield from _late(db, f, crop, i, model)
    for key, row in db.timing.items():
        if key not in used and row.crop in db.crops:
            hint = f"list it under `development` in crops/{row.crop}.yml, if only as differs, or delete it"
            yield f.row(key, f"no timing model uses row {key}", hint)


def _leg(db: Database, f: Faults, crop: Crop, where: Path, leg: Leg) -> Iterator[Finding]:
    """Every entry of a leg that has no other fault: what follows from another fault is not told again."""
    if list(clock_faults(leg)):
        return
    for k, need in enumerate(leg.needs):
        each = bounds(need)
        if each is None or not each[0] <= (each[0] if each[1] is None else each[1]) <= each[2]:
            continue
        if all(name in db.timing for name in need.rows):
            yield from _need(db, f, crop, (*where, "needs", k), leg, need, each)


def _need(
    db: Database, f: Faults, crop: Crop, where: Path, leg: Leg, need: Need | Pace, each: Triple
) -> Iterator[Finding]:
    rows = [db.timing[name] for name in need.rows]
    basis = need.basis if isinstance(need, Need) else "printed"
    if basis in UNCHECKED:
        if not need.how:
            said = f"{basis} figures without `how`"
            yield f.at("crop", crop.crop, where, said, "say in a sentence how the figures came about")
        return
    for row in rows:
        if why := mismatch(row, leg):
            yield f.at(
                "crop", crop.crop, (*where, "rows"), f"row {row.row}: {why}", "use rows of the same unit and base"
            )
            return
    if (basis == "bracket") != (each[1] is None):
        hint = "a bracket is a window: leave typical out; every other basis has one"
        yield f.at("crop", crop.crop, where, f"a {basis} {'without' if each[1] is None else 'with'} typical", hint)
        return
    about = rows if isinstance(need, Pace) else [r for r in rows if _about(db, crop, r, need)]
    printed = {round(x, 4) for row in about for x in figures(row, leg)}
    for key, value in zip(("low", "typical", "high"), each, strict=True):
        if value is not None and not _holds(basis, key, value, each, about, leg):
            told = ", ".join(f"{x:g}" for x in sorted(printed)) or "no figure for this stage"
            said = f"{key} {value:g} is not what the rows print: {told}"
            at = (*where, key) if getattr(need, key) is not None else (*where, "typical")
            yield f.at("crop", crop.crop, at, said, HINTS.get(basis, "carry over a figure that a row prints"))
            return


def _about(db: Database, crop: Crop, row: TimingRow, need: Need) -> bool:
    """Whether a row speaks of this stage: it names none, or one of those the need stands for."""
    codes = codes_of(db, crop)
    if row.stage not in codes or need.stage not in codes or need.basis in ("computed", "bracket"):
        return True
    a, b = codes.index(row.stage), codes.index(row.stage_to or row.stage)
    c, d = codes.index(need.stage), codes.index(need.stage_to or need.stage)
    return a <= d and c <= b


def _holds(basis: str, key: str, value: float, each: Triple, rows: list[TimingRow], leg: Leg) -> bool:
    """Whether one figure of a need is what its basis says it is."""
    low, _, high = each
    printed = [x for row in rows for x in figures(row, leg)]
    if key == "typical" and basis in ("range", "band"):
        return abs(value - (low + high) / 2) <= CLOSE
    if key == "typical" and basis == "observed":
        return True  # between low and high, which the timing rule keeps
    if basis == "bracket" and value == 0:
        return True
    if basis == "band-reading":
        printed += [(row.low + row.high) / 2 for row in rows if row.low is not None and row.high is not None]
    if any(_same(value, x, exact=not _converted(rows, leg)) for x in printed):
        return True
    return basis == "computed" and _is_sum(value, rows, leg)


def _converted(rows: list[TimingRow], leg: Leg) -> bool:
    return any(row.amount_unit in ("gdd-c", "gdd-f") and row.amount_unit[-1] != leg.unit.lower() for row in rows)


def _same(a: float, b: float, exact: bool) -> bool:
    return abs(a - b) <= (1e-6 if exact else CLOSE)


def _is_sum(value: float, rows: list[TimingRow], leg: Leg) -> bool:
    """Whether a figure is the sum of one figure each of two or three rows."""
    choices = [figures(row, leg) for row in rows]
    return any(
        abs(sum(picked) - value) <= CLOSE
        for size in range(2, PIECES + 1)
        for some in combinations(choices, size)
        for picked in product(*some)
    )


def _groups(db: Database, f: Faults, crop: Crop, i: int, model: Development) -> Iterator[Finding]:
    """Where rows are printed by maturity group, each group's figure stands where `groups` says."""
    for j, leg in enumerate(model.legs):
        for k, need in enumerate(leg.needs):
            each = bounds(need)
            if each is None or (isinstance(need, Need) and need.basis != "printed"):
                continue
            by_key = dict(zip(("low", "typical", "high"), each, strict=True))
            for row in (db.timing[name] for name in need.rows if name in db.timing):
                key = next((b for g, b in model.groups.items() if (row.group or "").split(" ")[0] == g), None)
                if key and not any(_same(x, by_key[key] or 0, exact=False) for x in figures(row, leg)):
                    said = f"{key} is not the figure of the {row.group} group in {row.row}"
                    where: Path = ("development", i, "legs", j, "needs", k)
                    yield f.at("crop", crop.crop, where, said, "put the figure of each group where `groups` says")


def _rating(db: Database, f: Faults, crop: Crop, i: int, model: Development) -> Iterator[Finding]:
    """A rating agrees with the needs: its own stage at `usual`, the others that much earlier."""
    rating = model.rating
    if rating is None:
        return
    where: Path = ("development", i, "rating")
    if not rating.least <= rating.usual <= rating.most:
        said = f"least {rating.least:g}, usual {rating.usual:g}, most {rating.most:g} do not grow"
        yield f.at("crop", crop.crop, where, said, "least comes first, most last")
        return
    typical = {p.name: p.typical for leg in model.legs for p in crop_points(db, crop, leg) if p.typical is not None}
    named = {need.stage for leg in model.legs for need in leg.needs if isinstance(need, Need)}
    for stage, less in {rating.stage: 0.0, **rating.before}.items():
        at = (*where, "usual") if stage == rating.stage else (*where, "before", stage)
        if stage in typical and abs(typical[stage] - (rating.usual - less)) > CLOSE:
            said = f"{stage} is typically at {typical[stage]:g}, but {rating.usual:g} less {less:g} is not that"
            yield f.at("crop", crop.crop, at, said, "make the needs and the rating agree")
            return
        if stage not in typical and stage not in named:
            said = f"no leg has the stage {stage!r}"
            yield f.at("crop", crop.crop, at, said, "name stages that the legs reach")


def _late(db: Database, f: Faults, crop: Crop, i: int, model: Development) -> Iterator[Finding]:
    late = model.late
    if late is None or any(name not in db.timing for name in late.rows):
        return
    if not any(late.per_day == db.timing[name].amount for name in late.rows):
        said = f"no row prints {late.per_day:g} a day"
        where: Path = ("development", i, "late", "per_day")
        yield f.at("crop", crop.crop, where, said, "carry over the figure that a row prints")


RULE = Rule("timing-not-supported", "Every figure of a timing model is printed by a row, and every row is used.", check)

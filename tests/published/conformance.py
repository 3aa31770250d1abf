"""What one crop of the manual says, held against facts written down apart from the database.

Outside authority: the publications named in tables/*.yml (what to take, how many, at which stage) and in rows/*.csv
(how long or how warm, and how to handle a sample). Each was written down there a second time, so that a slip in either
place shows. `faults` takes what a reader gets, as data: the tests call it with the built site, the mutants with a
database in which one figure was changed.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations, pairwise, product
from pathlib import Path

from test_tables import (
    COVERED_BY,
    HERE,
    ROWS,
    Json,
    Row,
    counts_the_same,
    holds,
    id_of,
    protocols_of,
    published_of,
    read_json,
    said_by,
    same_words,
)

from earleaf.database.load import Database
from earleaf.model.development import Development, Leg, Need, Pace, Rating, bounds
from earleaf.model.source import NOT_PUBLICATIONS
from earleaf.planning.localise import localise
from earleaf.rendering import data_lists
from earleaf.rendering.data import protocol_data
from earleaf.views.words import Words

MAIN_CROPS = (
    "corn", "soybean", "wheat", "small-grains", "alfalfa", "cotton", "potato", "sorghum", "rice", "sugar-beet",
    "dry-bean", "grape", "apple", "strawberry",
)  # fmt: skip
"""The crops that tests/data/test_shipped_database.py wants treated fully."""


@dataclass(frozen=True)
class Outputs:
    """What a reader gets about one crop: stages, protocols and published rows as data, timing models as records."""

    crop: str
    codes: list[str]
    protocols: list[Json]
    sampling: list[Json]
    timing: list[Json]
    handling: list[Json]
    models: tuple[Development, ...]


def of_site(built: Path, db: Database, crop: str) -> Outputs:
    """From the files of the built site; the timing models as the calendars were made from them."""
    return Outputs(
        crop,
        [stage.code for stage in db.stages[db.crops[crop].stage_system]],
        protocols_of(built, crop),
        [row for row in published_of(built, crop) if row["crop"] == crop],
        [row for row in read_json(built / "data/v1/evidence-timing.json") if row["crop"] == crop],
        read_json(built / "data/v1/evidence-handling.json"),
        db.crops[crop].development,
    )


def of_database(db: Database, crop: str) -> Outputs:
    """The same from a database in memory, for one crop: nothing else is made."""
    alone = replace(db, crops={crop: db.crops[crop]})
    record, words = alone.crops[crop], Words()
    return Outputs(
        crop,
        [stage.code for stage in db.stages[record.stage_system]],
        [protocol_data(alone, words, localise(alone, record, protocol)) for protocol in record.protocols],
        [row for row in data_lists.evidence(alone) if row["crop"] == crop],
        [row for row in data_lists.timing_rows(alone) if row["crop"] == crop],
        data_lists.handling_rows(alone),
        record.development,
    )


def faults(said: Outputs) -> list[str]:
    """Where the outputs and the publications do not agree, in words."""
    return [fault for check in CHECKS for fault in check(said)]


def publications(row: Json) -> bool:
    return row["source"] not in NOT_PUBLICATIONS


# Published rows, both ways


def codes_of(row: Json) -> tuple[str, ...]:
    first = row["stage_from"]
    return (first, row["stage_to"] or first) if first else ()


def twin(published: Json, own: bool = False) -> Row | None:
    """The statement of tables/*.yml that this published row repeats: source, part, count, stage and its codes."""
    crops = {published["crop"], *(() if own else COVERED_BY.get(published["crop"], ()))}
    alike = (row for row in ROWS if row.crop in crops and row.said == said_by(published))
    for row in alike:
        if row.codes == codes_of(published) and same_words(published["stages"], row.stage):
            return row
    return None


def sampling_rows(said: Outputs) -> Iterator[str]:
    """Every row of a publication stands in the tables, and every row of the tables is there, as often."""
    shown = [row for row in said.sampling if publications(row)]
    for row in shown:
        if twin(row, own=True) is None:
            yield f"no table says {said_by(row)} at {row['stages']!r} ({codes_of(row)})"
    wanted = Counter((row.said, row.codes) for row in ROWS if row.crop == said.crop)
    there = Counter((said_by(row), codes_of(row)) for row in shown)
    for what in wanted - there:
        yield f"{what} is not there"


# Protocols


def basis_of(protocol: Json, specimen: Json) -> list[Row]:
    """The statements of the tables that a bag rests on."""
    found = (twin(row) for row in protocol["published"] if row["row"] in specimen["basis"])
    return [row for row in found if row is not None]


def bags(said: Outputs) -> Iterator[tuple[str, Json, Json, list[Row]]]:
    for protocol in said.protocols:
        for specimen in protocol["specimens"]:
            rows = basis_of(protocol, specimen)
            yield f"{said.crop}/{protocol['protocol']}", protocol, specimen, rows


def parts(said: Outputs) -> Iterator[str]:
    """Each bag holds the part that the first statement names that it rests on; the order is that of the crop file."""
    for name, protocol, specimen, rows in bags(said):
        part = id_of(specimen["part"])
        named = [row.part for row in rows if row.part]
        if part and named and part not in named:
            yield f"{name}: none of its sources takes {part}"
        for accepted in protocol["also_accepted"]:
            sources = {row.source for row in ROWS if row.crop == said.crop and row.part == id_of(accepted["part"])}
            asked = set(accepted["sources"]) - NOT_PUBLICATIONS
            if asked and not asked <= sources:
                yield f"{name}: {asked - sources} do not take {id_of(accepted['part'])}"


def of_sources(crop: str, sources: list[str]) -> list[Row]:
    """The statements of these publications about a crop, or about the group it is printed with."""
    return [row for row in ROWS if row.source in sources and row.crop in COVERED_BY.get(crop, (crop,))]


def counts(said: Outputs) -> Iterator[str]:
    """The count is printed: both ends by one source, or each end as such an end by another."""
    for name, protocol, specimen, basis in bags(said):
        count = specimen["count"]
        if count is None or (count["source"] and set(count["source"]) <= NOT_PUBLICATIONS):
            continue
        rows = of_sources(said.crop, count["source"]) if count["source"] else basis
        printed = [row.said[2:4] for row in rows if counts_the_same(row, count["unit"])]
        ends = (count["min"], count["max"])
        lows, highs = {low for low, _ in printed}, {high for _, high in printed}
        trade = {figure for row in protocol["published"] if row["row"] in specimen["basis"] and not publications(row)
                 for figure in (row["count_min"], row["count_max"])}  # fmt: skip
        apart = count["min"] in lows | highs | trade and count["max"] in lows | highs | trade
        if printed and ends not in printed and not apart:
            yield f"{name}: no source prints {ends} {count['unit']}, but {printed}"
        if not printed and basis and not count["source"]:
            yield f"{name}: no source counts in {count['unit']}"


WALKED = {"leaves", "petioles", "plants", "stems", "stalks"}


def walks(said: Outputs) -> Iterator[str]:
    """What is taken at all spots together is a number that a source prints, or lies in the range it prints.

    Where a publication itself says how to walk, it is just the number of that publication."""
    for name, _, specimen, basis in bags(said):
        count, spots = specimen["count"], specimen["spots"]
        if spots is None or count is None:
            continue
        own = of_sources(said.crop, spots["source"])
        total = spots["number"] * spots["each"]
        if own:
            if total not in {figure for row in own for figure in row.said[2:4]}:
                yield f"{name}: {spots['source']} prints no {total}"
            continue
        if count["unit"] not in WALKED or (count["source"] and set(count["source"]) <= NOT_PUBLICATIONS):
            continue
        rows = of_sources(said.crop, count["source"]) if count["source"] else basis
        if total < count["min"] or (count["max"] is not None and total > count["max"]):
            yield f"{name}: {total} is not the count of its own page"
        counted = [row for row in rows if counts_the_same(row, count["unit"])]
        if counted and not any(holds(row, total) for row in counted):
            yield f"{name}: {total} {count['unit']} stand in no table"


OWN_ENDS = {("soybean", "young-plants", "to"): "V3", ("rice", "tillering", "from"): "V4"}
"""Windows that we cut shorter than the source: two trials cut whole soybeans from V4 on for other limits; rice is told
by its side shoots, which come from the fourth collar on."""
LEFT_OPEN = {
    ("kstate-corn", "corn"): {"VT"},  # 'until reproductive growth': from tassel on all others take the ear leaf
    # 'seedling': see OWN_ENDS; 'before or during flowering': all others wait for bloom
    ("mu-field", "soybean"): {"V4", "V5", "V6", "V7", "V8", "V9", "V10"},
    ("umn-plant", "soybean"): {"V4"},
    ("ab-micro", "small-grains"): {"10.5.3"},  # 'before grain filling'
    ("uc-rice1981", "rice"): {"V1", "V2", "V3"},  # 'each growth stage': see OWN_ENDS
}
"""Stages that one source names, and no protocol: the page says so as a gap, or its other sources stop before."""


def span(codes: list[str], ends: tuple[str, ...]) -> list[str]:
    """The stages from one to another, both included; none where there are no ends."""
    return codes[codes.index(ends[0]) : codes.index(ends[1]) + 1] if ends else []


def taken_at(said: Outputs, row: Row) -> set[str]:
    """The stages of all protocols that take the part of a statement, or show the statement."""
    stages: set[str] = set()
    for protocol in said.protocols:
        shown = {said_by(published) for published in protocol["published"]}
        takes = {id_of(s["part"]) for s in protocol["specimens"]} | {
            id_of(a["part"]) for a in protocol["also_accepted"]
        }
        if row.part in takes or row.said in shown:
            stages.update(span(said.codes, (protocol["stages"]["from"], protocol["stages"]["to"])))
    return stages


def windows(said: Outputs) -> Iterator[str]:
    """A window opens where a source of it opens, or right after another window; it closes where one closes, or right
    before another. Where a source takes a part, some protocol does. Windows of corn and soybean do not overlap."""
    ends = [(p["stages"]["from"], p["stages"]["to"]) for p in said.protocols]
    place = said.codes.index
    after = {said.codes[place(last) + 1] for _, last in ends if last != said.codes[-1]}
    before = {said.codes[place(first) - 1] for first, _ in ends if first != said.codes[0]}
    if said.crop in ("corn", "soybean"):
        for (_, last), (first, _) in pairwise(sorted(ends, key=lambda window: place(window[0]))):
            if place(first) <= place(last):
                yield f"{said.crop}: two windows hold {first}"
    for protocol in said.protocols:
        rows = [row for specimen in protocol["specimens"] for row in basis_of(protocol, specimen)]
        mapped = [row.codes for row in rows if row.codes]
        first, last = protocol["stages"]["from"], protocol["stages"]["to"]
        name = f"{said.crop}/{protocol['protocol']}"
        if not mapped:
            continue
        covered = {n for a, b in mapped for n in range(place(a), place(b) + 1)}
        opens, closes = (OWN_ENDS.get((said.crop, protocol["protocol"], end)) for end in ("from", "to"))
        if first not in ({codes[0] for codes in mapped} | after if opens is None else {opens}):
            yield f"{name}: no source begins at {first}: {mapped}"
        if last not in ({codes[1] for codes in mapped} | before if closes is None else {closes}):
            yield f"{name}: no source ends at {last}: {mapped}"
        for row in rows:
            none = set(span(said.codes, row.codes)) - taken_at(said, row)
            lost = sorted(none - LEFT_OPEN.get((row.source, said.crop), set()))
            if lost:
                yield f"{name}: {row.id} takes {row.part} at {lost}, and no protocol does"
        if not covered.issuperset(range(place(first), place(last) + 1)) or place(first) > place(last):
            yield f"{name}: its sources do not cover {first} to {last}: {mapped}"


MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
IN_WORDS = {"mid": 15, "early": 1, "late": 31, "end of": 31, "through": 31, "last two weeks of": 31}


def days_in(text: str) -> set[str]:
    """Month-days that a sentence prints: '15 July to 1 September', 'mid-July through August'."""
    found = set()
    for number, month in enumerate(MONTHS, 1):
        for day in re.findall(rf"(\d{{1,2}}) {month}", text):
            found.add(f"{number:02d}-{int(day):02d}")
        for word, day in IN_WORDS.items():
            if re.search(rf"\b{word}(?: to \w+)?[ -]{month}", text, re.I):
                found.add(f"{number:02d}-{day:02d}")
    return found


def times(said: Outputs) -> Iterator[str]:
    """Dates, and days after an event, stand in the words of the source."""
    for protocol in said.protocols:
        name = f"{said.crop}/{protocol['protocol']}"
        for dates in protocol["dates"]:
            printed = [days_in(row.stage) for row in of_sources(said.crop, dates["source"])]
            if any(printed) and (dates["from"], dates["to"]) not in [(min(d), max(d)) for d in printed if d]:
                yield f"{name}: {dates['from']} to {dates['to']} is not printed by {dates['source']}"
        for after in protocol["after"]:
            texts = [row.stage for row in of_sources(said.crop, after["source"])]
            ends = f"{after['days_from']} to {after['days_to']} days"
            if not any(ends in text for text in texts):
                yield f"{name}: {ends} is not printed by {after['source']}"


# How long, how warm, and how to handle


@cache
def written(name: str) -> Counter[tuple[str, ...]]:
    """The statements of rows/<name>.csv, each with how often it is made."""
    with (HERE / "rows" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return Counter(told({key: number(value) for key, value in row.items()}, name) for row in rows)


FIELDS = {
    "timing": (
        "source", "crop", "group", "from_event", "to_stage", "stage", "stage_to", "method", "lower", "upper", "unit",
        "amount", "low", "high", "date_from", "date_to", "amount_unit",
    ),
    "handling": ("source", "topic", "value", "unit", "rule"),
}  # fmt: skip


def number(text: str) -> str | float:
    return float(text) if re.fullmatch(r"-?\d+(\.\d+)?", text) else text


def told(row: Json, name: str) -> tuple[str, ...]:
    def text(value: object) -> str:
        value = number(value) if isinstance(value, str) else value
        return "" if value is None else f"{value:g}" if isinstance(value, (int, float)) else str(value)

    return tuple(text(row.get(key)) for key in FIELDS[name])


def both_ways(shown: list[Json], name: str, wanted: Counter[tuple[str, ...]]) -> Iterator[str]:
    there = Counter(told(row, name) for row in shown if publications(row))
    for row in there - wanted:
        yield f"not written down: {row}"
    for row in wanted - there:
        yield f"not there: {row}"


def timing_rows(said: Outputs) -> Iterator[str]:
    wanted = Counter({row: often for row, often in written("timing").items() if row[1] == said.crop})
    yield from both_ways(said.timing, "timing", wanted)


def handling_rows(said: Outputs) -> Iterator[str]:
    yield from both_ways(said.handling, "handling", written("handling"))


CLOSE = 0.6
"""Figures are printed without decimals; half of one is lost on each side, and a tenth in the change of unit."""
Three = tuple[float | None, float | None, float | None]

FRACTIONS = {"R2": 0.2, "R3": 0.3, "R4": 0.4, "R5": 0.6, "R6": 1.0}
"""How far from silk to black layer a stage is, of corn: 260, 390, 520, 780 of 1300 in the high-plains table."""


def corn_derived() -> dict[str, Three]:
    """Corn after the leaves, worked out again from printed figures.

    Univ. of Wisconsin prints tassel at 1200, R3 at 1550 and black layer at 2400 to 2600 for early hybrids; a state
    climate office prints 2700 to black layer; Kansas State Univ. prints 1300 from silk to black layer; Purdue Univ.
    prints 115 to emergence, 82 a leaf to V10, then 50; the high-plains table prints silk at 1272.5 and maturity at 2900
    for late hybrids, counted from two leaves.
    """
    leaves = 115 + 82 * 10
    low, middle, high = 2500.0 - 1300, 2700.0 - 1300, round(1272.5 + 115 + 82 * 2)
    ends = (2400.0, 2700.0, 2900.0)
    out: dict[str, Three] = {"VT": (1200, leaves + 50 * 8, leaves + 50 * 10), "R1": (low, middle, high)}
    for stage, part in FRACTIONS.items():
        out[stage] = tuple(a + part * (b - a) for a, b in zip((low, middle, high), ends, strict=True))  # type: ignore[assignment]
    return out | {"R3": (1550, *out["R3"][1:])}


DERIVED: dict[str, dict[str, Three]] = {
    "corn": corn_derived(),
    # Iowa State Univ. PM 1945: a joint every 5 to 7 days; 3 to 6 days from coming up to the single leaves is recalled.
    "soybean": {"V2": (3 + 5, None, 6 + 7)},
    # Univ. of Nebraska: shoots after three weeks.
    "potato": {"II": (21, 21, None)},
}
CAPS = {"wheat": (70.0, 395.0), "small-grains": (70.0, 384.0)}
"""North Dakota State Univ.: the highest warmth that counts, in F, and until which total: spring wheat, barley."""
FROST = {"alfalfa": -2.8}
"""The night of the last hard frost, 27 F, as in the words of the source."""


def factor(row: Json, leg: Leg) -> float:
    return {("gdd-c", "F"): 9 / 5, ("gdd-f", "C"): 5 / 9}.get((row["amount_unit"], leg.unit), 1.0)


def printed(rows: list[Json], leg: Leg) -> list[list[float]]:
    """The figures of each row in the unit of the leg."""
    keys = ("amount", "low", "high")
    return [[row[key] * factor(row, leg) for key in keys if row[key] is not None] for row in rows]


def near(value: float, others: list[float], how_near: float = CLOSE) -> bool:
    return any(abs(value - other) <= how_near for other in others)


def needs(said: Outputs) -> Iterator[str]:
    """Each figure of a timing model is printed by the rows it names, or follows from them as its basis says."""
    known = {row["row"]: row for row in said.timing}
    for model in said.models:
        for leg in model.legs:
            name = f"{said.crop}/{model.model}/{leg.leg}"
            yield from clocks(name, leg, known, CAPS.get(said.crop), FROST.get(said.crop))
            for need in leg.needs:
                rows = [known[row] for row in need.rows if row in known and publications(known[row])]
                for key, value, wanted in unfit(need, leg, rows, said.crop):
                    yield f"{name}: {key} {value:g} of {point_of(need)} is not {wanted}"
        if model.rating is not None:
            yield from rating(said.crop, model.rating)
        if model.late is not None:
            amounts = [known[row]["amount"] for row in model.late.rows if row in known]
            events = " ".join(known[row]["from_event"] or "" for row in model.late.rows if row in known)
            if model.late.per_day not in amounts:
                yield f"{said.crop}: no row prints {model.late.per_day:g} for each day of late planting"
            month, day = (int(number) for number in model.late.after.split("-"))
            if f"after {day} {MONTHS[month - 1]}" not in events:
                yield f"{said.crop}: no row counts from {model.late.after}"


def point_of(need: Need | Pace) -> str:
    return f"{need.first} to {need.last}" if isinstance(need, Pace) else need.stage or need.at or ""


def unfit(need: Need | Pace, leg: Leg, rows: list[Json], crop: str) -> Iterator[tuple[str, float, object]]:
    """(key, value, what it should be) of each figure that its rows do not bear out."""
    low, typical, high = bounds(need) or (None, None, None)
    basis = need.basis if isinstance(need, Need) else "printed"
    each = printed(rows, leg)
    flat = [figure for figures in each for figure in figures]
    if basis == "derived" and isinstance(need, Need):
        ours = DERIVED.get(crop, {}).get(need.stage or "", (None, None, None))
        for key, value, right in zip(("low", "typical", "high"), (low, typical, high), ours, strict=True):
            if right is not None and value is not None and not near(value, [right], 0.5):
                yield key, value, right
        return
    sums = [sum(some) for size in (2, 3) for rows_ in combinations(each, size) for some in product(*rows_)]
    middles = [(row["low"] + row["high"]) / 2 * factor(row, leg) for row in rows if row["low"] and row["high"]]
    allowed = flat + {"computed": sums, "band-reading": middles, "bracket": [0.0]}.get(basis, [])
    turned = any(factor(row, leg) != 1 for row in rows) or basis in ("computed", "range", "band")
    for key, value in (("low", low), ("high", high)):
        if value is not None and not near(value, allowed, CLOSE if turned else 1e-6):
            yield key, value, allowed
    if typical is None:
        return
    if basis in ("range", "band") and low is not None and high is not None:
        allowed = [(low + high) / 2]
    if basis == "observed" and low is not None and high is not None:
        if not low <= typical <= high:
            yield "typical", typical, (low, high)
    elif not near(typical, allowed, CLOSE if turned else 1e-6):
        yield "typical", typical, allowed


def in_f(value: float, unit: str | None) -> float:
    return value * 9 / 5 + 32 if unit == "C" else value


def clocks(
    name: str, leg: Leg, known: dict[str, Json], cap: tuple[float, float] | None, frost: float | None
) -> Iterator[str]:
    """The limits of a leg are those of the rows it counts by; 0.2 F for a base that was rounded in the other unit."""
    rows = [known[row] for need in leg.needs for row in need.rows if row in known]
    for key in ("lower", "upper"):
        ours = getattr(leg, key)
        theirs = [in_f(row[key], row["unit"]) for row in rows if row[key] is not None and row["method"] == leg.method]
        if ours is not None and theirs and not near(in_f(ours, leg.unit), theirs, 0.2):
            yield f"{name}: {key} {ours:g} {leg.unit} is none of {sorted(set(theirs))} F"
    if leg.early_upper is not None and (leg.early_upper, leg.early_until) != cap:
        yield f"{name}: the cap is {cap}, not {leg.early_upper, leg.early_until}"
    if leg.frost is not None and leg.frost != frost:
        yield f"{name}: a hard frost is {frost}, not {leg.frost}"


def rating(crop: str, ours: Rating) -> Iterator[str]:
    """The rating of a hybrid: 2700 to black layer, sold from 2100 to 2900; 1300 from silk on, in the same fractions;
    115 from planting to coming up (Nielsen and others 2002)."""
    span = 1300.0
    before = {"R1": span, **{stage: span * (1 - part) for stage, part in FRACTIONS.items() if part < 1}}
    if (ours.least, ours.usual, ours.most, ours.from_emergence) != (2100, 2700, 2900, 115):
        yield f"{crop}: rating {ours.least, ours.usual, ours.most, ours.from_emergence}"
    for stage, amount in ours.before.items():
        if abs(before.get(stage, -1) - amount) > 0.5:
            yield f"{crop}: {stage} is {before.get(stage)} before black layer, not {amount:g}"


CHECKS: tuple[Callable[[Outputs], Iterator[str]], ...] = (
    sampling_rows, parts, counts, walks, windows, times, timing_rows, handling_rows, needs,
)  # fmt: skip

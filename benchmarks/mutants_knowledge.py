"""Do the checks against publications see a wrong figure? One figure or part of the database is changed at a time.

    python benchmarks/mutants_knowledge.py          all of them, kept as figures/mutants-knowledge.json
    python benchmarks/mutants_knowledge.py --show   with each that is not seen

The files are not touched: a record in memory gets another value. What a reader would get of that crop is then held
against the tables of tests/published/ by the same functions as in the tests. What no publication prints (common
practice, an invented lab) is told by a rule, from the source that stands beside the value, and counted apart.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from quality import Figure, keep

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests/published"), str(ROOT / "tests")]

from conformance import MAIN_CROPS, faults, of_database  # noqa: E402

from earleaf.database.check import check  # noqa: E402
from earleaf.database.load import Database, load_protocols  # noqa: E402
from earleaf.database.manual import load_manual  # noqa: E402
from earleaf.database.rules.base import Context  # noqa: E402
from earleaf.model.crop import Count, Crop, Specimen, Spots  # noqa: E402
from earleaf.model.development import Need  # noqa: E402
from earleaf.model.source import NOT_PUBLICATIONS  # noqa: E402

TODAY = date(2026, 11, 25)
LEAST, GOAL_SHARE, SEED = 300, 0.95, 2027
Keys = tuple[str | int, ...]


@dataclass(frozen=True)
class Mutant:
    """One changed value. `table` and `name` find the record, `path` the value in it; `apart` says why it is no fact."""

    crop: str
    kind: str
    table: str
    name: str
    path: Keys
    value: Any
    apart: str = ""

    @property
    def where(self) -> str:
        return f"{self.name} {'/'.join(map(str, self.path))}"

    def put_in(self, db: Database) -> Database:
        records = getattr(db, self.table)
        return replace(db, **{self.table: {**records, self.name: changed(records[self.name], self.path, self.value)}})


def changed(record: Any, path: Keys, value: Any) -> Any:
    """The record with another value at the end of the path; the old one stays as it is."""
    if not path:
        return value
    key, *rest = path
    if isinstance(record, BaseModel):
        return record.model_copy(update={str(key): changed(getattr(record, str(key)), tuple(rest), value)})
    if isinstance(record, tuple):
        assert isinstance(key, int)
        return (*record[:key], changed(record[key], tuple(rest), value), *record[key + 1 :])
    return {**record, key: changed(record[key], tuple(rest), value)}


# Which values there are, and what else they could be


def database() -> Database:
    """The shipped protocols with the labs of the demo."""
    db = load_protocols(ROOT / "protocols", ROOT)
    _, demo = load_manual(ROOT / "demo_scenario/manual.yml")
    return replace(db, labs=demo.labs, sources={**db.sources, **demo.sources})


def steps(value: float, twice: bool = True) -> list[float]:
    """One up, one down, twice as much."""
    out = [value + 1, value - 1] + ([value * 2] if twice and value not in (0, 1) else [])
    return [type(value)(one) for one in out if one > 0]


def stage_steps(db: Database, crop: Crop, code: str) -> list[str]:
    """The stages before and after."""
    codes = [stage.code for stage in db.stages[crop.stage_system]]
    place = codes.index(code)
    return [codes[n] for n in (place - 1, place + 1) if 0 <= n < len(codes)]


def other_parts(db: Database, crop: Crop, part: str, dice: random.Random) -> list[str]:
    """Two other parts that some protocol of a crop of this form takes; one of the same family where there is one."""
    grown = [other for other in db.crops.values() if other.form == crop.form]
    taken = {s.part for other in grown for p in other.protocols for s in p.take if s.part} - {part}
    kin = sorted(other for other in taken if db.parts[other].family == db.parts[part].family)
    first = [dice.choice(kin)] if kin else []
    rest = sorted(taken - set(first))
    return first + ([dice.choice(rest)] if rest else [])


def trade(sources: tuple[str, ...]) -> bool:
    return bool(sources) and set(sources) <= NOT_PUBLICATIONS


def published(db: Database, specimen: Specimen) -> list[Any]:
    return [row for name in specimen.basis if (row := db.sampling[name]).source not in NOT_PUBLICATIONS]


COMMON, LAB, OURS = "common practice", "what an invented lab wants", "our choice inside a printed range"


def count_apart(db: Database, specimen: Specimen, end: float | None) -> str:
    """Why the end of a count is no published figure, or ""."""
    assert specimen.count is not None
    if trade(specimen.count.source):
        return COMMON
    said = {figure for row in published(db, specimen) for figure in (row.count_min, row.count_max)}
    return "" if specimen.count.source or end in said else COMMON


def spots_apart(count: Count | None, spots: Spots) -> str:
    """A walk is common practice as long as the bag still holds what is printed."""
    if not trade(spots.source):
        return ""
    if count is None or trade(count.source):
        return COMMON
    total = spots.number * spots.each
    return COMMON if count.min <= total <= (count.max or total) else ""


def of_protocols(db: Database, crop: Crop, dice: random.Random) -> Iterator[Mutant]:
    for i, protocol in enumerate(crop.protocols):
        rows = [row for specimen in protocol.take for row in published(db, specimen)]
        for j, specimen in enumerate(protocol.take):
            at: Keys = ("protocols", i, "take", j)

            def one(kind: str, path: Keys, value: Any, apart: str = "") -> Mutant:
                return Mutant(crop.crop, kind, "crops", crop.crop, (*at, *path), value, apart)  # noqa: B023

            if specimen.part:
                named = any(row.part for row in published(db, specimen))
                for part in other_parts(db, crop, specimen.part, dice):
                    yield one("part of a protocol", ("part",), part, "" if named else COMMON)
            count, spots = specimen.count, specimen.spots
            for end in ("min", "max"):
                value = getattr(count, end) if count else None
                for other in steps(value) if value is not None else ():
                    yield one("count of a protocol", ("count", end), other, count_apart(db, specimen, value))
            for key in ("number", "each") if spots else ():
                for other in steps(getattr(spots, key)):
                    walked = changed(spots, (key,), other)
                    yield one("spots of a protocol", ("spots", key), other, spots_apart(count, walked))
        mapped = any(row.stage_from for row in rows)
        for end in ("first", "last"):
            for code in stage_steps(db, crop, getattr(protocol.window, end)):
                path: Keys = ("protocols", i, "window", end)
                apart = "" if mapped else COMMON
                yield Mutant(crop.crop, "stages of a protocol", "crops", crop.crop, path, code, apart)
        for j, after in enumerate(protocol.after):
            for key in ("days_from", "days_to"):
                for other in steps(getattr(after, key)):
                    path = ("protocols", i, "after", j, key)
                    yield Mutant(crop.crop, "days after an event", "crops", crop.crop, path, other)
        for j, dates in enumerate(protocol.dates):
            for key in ("first", "last"):
                month, _, day = getattr(dates, key).partition("-")
                for other in (f"{month}-{int(day) - 1:02d}", f"{int(month) % 12 + 1:02d}-{day}"):
                    path = ("protocols", i, "dates", j, key)
                    yield Mutant(crop.crop, "dates of a protocol", "crops", crop.crop, path, other)


def of_sampling_rows(db: Database, crop: Crop, dice: random.Random) -> Iterator[Mutant]:
    for name, row in db.sampling.items():
        if row.crop != crop.crop:
            continue
        apart = COMMON if row.source in NOT_PUBLICATIONS else ""

        def one(kind: str, key: str, value: Any) -> Mutant:
            return Mutant(crop.crop, kind, "sampling", name, (key,), value, apart)  # noqa: B023

        if row.part:
            for part in other_parts(db, crop, row.part, dice):
                yield one("part of a published row", "part", part)
        for key in ("count_min", "count_max"):
            value = getattr(row, key)
            for other in steps(value) if value is not None else ():
                yield one("count of a published row", key, other)
        for key in ("stage_from", "stage_to"):
            code = getattr(row, key)
            for other_code in stage_steps(db, crop, code) if code else ():
                yield one("stages of a published row", key, other_code)


def of_timing(db: Database, crop: Crop) -> Iterator[Mutant]:
    for name, row in db.timing.items():
        if row.crop != crop.crop:
            continue
        apart = COMMON if row.source in NOT_PUBLICATIONS else ""
        for key in ("amount", "low", "high", "lower", "upper"):
            value = getattr(row, key)
            kind = "limit of a timing row" if key in ("lower", "upper") else "figure of a timing row"
            for other in steps(value, twice=key == "amount") if value is not None else ():
                yield Mutant(crop.crop, kind, "timing", name, (key,), other, apart)
        for other_code in stage_steps(db, crop, row.stage) if row.stage else ():
            yield Mutant(crop.crop, "stage of a timing row", "timing", name, ("stage",), other_code, apart)
    for i, model in enumerate(crop.development):
        at: Keys = ("development", i)
        for j, leg in enumerate(model.legs):
            for key in ("lower", "upper", "early_upper", "early_until", "frost"):
                value = getattr(leg, key)
                for other in (value + 1, value - 1) if value is not None else ():
                    path: Keys = (*at, "legs", j, key)
                    yield Mutant(crop.crop, "limit of a timing model", "crops", crop.crop, path, other)
            for k, need in enumerate(leg.needs):
                for key in ("low", "typical", "high"):
                    value = getattr(need, key)
                    chosen = isinstance(need, Need) and need.basis == "observed" and key == "typical"
                    for other in steps(value) if value is not None else ():
                        path = (*at, "legs", j, "needs", k, key)
                        yield Mutant(crop.crop, "figure of a timing model", "crops", crop.crop, path, other,
                                     OURS if chosen else "")  # fmt: skip
        for name in ("usual", "least", "most", "from_emergence") if model.rating else ():
            for other in steps(getattr(model.rating, name)):
                yield Mutant(crop.crop, "rating of a hybrid", "crops", crop.crop, (*at, "rating", name), other)
        for stage, amount in model.rating.before.items() if model.rating else ():
            for other in steps(amount):
                path = (*at, "rating", "before", stage)
                yield Mutant(crop.crop, "rating of a hybrid", "crops", crop.crop, path, other)
        for other in steps(model.late.per_day) if model.late else ():
            yield Mutant(crop.crop, "rating of a hybrid", "crops", crop.crop, (*at, "late", "per_day"), other)


def of_handling(db: Database) -> Iterator[Mutant]:
    """Each figure in the value or the words of a published rule of handling, one up."""
    for name, row in db.handling_rows.items():
        apart = COMMON if row.source in NOT_PUBLICATIONS else ""
        for key in ("value", "rule"):
            text = getattr(row, key) or ""
            figures = [n for n, word in enumerate(text.split(" ")) if word.isdigit()]
            for place in figures:
                words = text.split(" ")
                words[place] = str(int(words[place]) + 1)
                yield Mutant("corn", "figure of a handling row", "handling_rows", name, (key,), " ".join(words), apart)


def of_labs(db: Database, dice: random.Random) -> Iterator[Mutant]:
    for lab in db.labs.values():
        for i, entry in enumerate(lab.protocols):
            if entry.crop not in MAIN_CROPS:
                continue
            for end in ("min", "max"):
                value = getattr(entry.count, end) if entry.count else None
                for other in steps(value) if value is not None else ():
                    yield Mutant(entry.crop, "what a lab wants", "labs", lab.lab, ("protocols", i, "count", end), other,
                                 LAB)  # fmt: skip
            for key in ("number", "each") if entry.spots else ():
                for other in steps(getattr(entry.spots, key)):
                    yield Mutant(entry.crop, "what a lab wants", "labs", lab.lab, ("protocols", i, "spots", key), other,
                                 LAB)  # fmt: skip
            for part in other_parts(db, db.crops[entry.crop], entry.part, dice) if entry.part else ():
                yield Mutant(entry.crop, "what a lab wants", "labs", lab.lab, ("protocols", i, "part"), part, LAB)


def every_mutant(db: Database) -> list[Mutant]:
    dice = random.Random(SEED)
    found: list[Mutant] = []
    for crop in (db.crops[name] for name in MAIN_CROPS):
        found += [*of_protocols(db, crop, dice), *of_sampling_rows(db, crop, dice), *of_timing(db, crop)]
    return [*found, *of_handling(db), *of_labs(db, dice)]


# Judging


def seen(db: Database, mutant: Mutant) -> list[str]:
    """What the checks against publications say of it; nothing where they do not see it."""
    return faults(of_database(mutant.put_in(db), mutant.crop))


def alone(db: Database, crop: str) -> Database:
    """One crop with its rows: the rules over it are quick."""
    return replace(
        db,
        crops={crop: db.crops[crop]},
        left_out={name: other for name, other in db.crops.items() if name != crop},
        published_ids={},
        sampling={name: row for name, row in db.sampling.items() if row.crop in (crop, "any-crop")},
        timing={name: row for name, row in db.timing.items() if row.crop == crop},
    )


class Rules:
    """What the rules of the check say of a mutant, beyond what they say without it."""

    def __init__(self, db: Database) -> None:
        self.alone = {crop: alone(db, crop) for crop in MAIN_CROPS}
        self.usual = {crop: set(check(cut, Context(TODAY, demo=True))) for crop, cut in self.alone.items()}

    def refuse(self, mutant: Mutant) -> bool:
        found = set(check(mutant.put_in(self.alone[mutant.crop]), Context(TODAY, demo=True)))
        return any(fault.level == "error" for fault in found - self.usual[mutant.crop])


BLIND = {
    "part of a protocol": "its own sources name both parts",
    "count of a protocol": "another of its own sources prints the new figure",
    "stages of a protocol": "another of its own sources begins or ends there",
    "dates of a protocol": "the new day also stands in the words of the source",
    "figure of a timing model": "another of the rows it names prints the new figure, or none prints it (our reading)",
}
"""Why the checks cannot see it, by kind: every source that a value rests on is right."""


def share(part: int, whole: int) -> str:
    return f"{part} of {whole} ({part / whole:.1%})" if whole else "none"


def main() -> int:
    db = database()
    assert not any(faults(of_database(db, crop)) for crop in MAIN_CROPS), "the database itself is refused"
    rules = Rules(db)
    every = every_mutant(db)
    by_tests = {mutant: bool(seen(db, mutant)) for mutant in every}
    by_rules = {mutant: rules.refuse(mutant) for mutant in every}
    facts = [m for m in every if not m.apart]
    caught = [m for m in facts if by_tests[m]]
    either = [m for m in facts if by_tests[m] or by_rules[m]]
    missed = [m for m in facts if not by_tests[m]]
    reached = len(caught) >= GOAL_SHARE * len(facts)
    figures = [
        Figure("Published figures and parts changed, one at a time", str(len(facts)), f"at least {LEAST}",
               len(facts) >= LEAST),
        Figure("Crops they belong to", str(len({m.crop for m in facts}))),
        Figure("Seen by the checks against publications", share(len(caught), len(facts)), "at least 95 %", reached),
        Figure("Refused by the rules of `earleaf check` alone", share(sum(by_rules[m] for m in facts), len(facts))),
        Figure("Seen by one of the two", share(len(either), len(facts))),
    ]  # fmt: skip
    for kind, count in sorted(Counter(m.kind for m in facts).items()):
        figures.append(Figure(f"Seen by publications: {kind}", share(sum(m.kind == kind for m in caught), count)))
    for why, count in sorted(Counter(m.apart for m in every if m.apart).items()):
        mine = [m for m in every if m.apart == why]
        some = sum(by_tests[m] or by_rules[m] for m in mine)
        told = f"{share(sum(by_tests[m] for m in mine), count)}; {some} with the rules"
        figures.append(Figure(f"No published figure, counted apart: {why}", told))
    left = Counter((m.kind, BLIND.get(m.kind, "not explained")) for m in missed)
    notes = [*NOTES, *(f"Not seen, {kind}: {count}; {why}." for (kind, why), count in sorted(left.items()))]
    title, command = "Wrong figures that the checks see", "python benchmarks/mutants_knowledge.py"
    keep("mutants-knowledge", title, 40, command, figures, notes)
    for figure in figures:
        print(f"{figure.what}: {figure.value}")
    if "--show" in sys.argv:
        for m in every:
            if not by_tests[m] and (not m.apart or "--apart" in sys.argv):
                print(m.kind, "|", m.where, "->", m.value, "|", m.apart, "| rules:", by_rules[m])
    return 0 if reached else 1


NOTES = [
    "A part becomes another part that a crop of the same form gives. A number goes one up, one down, or doubles. A "
    "stage moves by one. Only the value changes; sentences that repeat it do not.",
    "A value is counted apart where the source beside it is common practice, or an invented lab of the demo. How many "
    "spots to walk is common practice as long as the bag still holds the printed number.",
    "The database holds no sufficiency ranges, so none was changed.",
]


if __name__ == "__main__":
    sys.exit(main())

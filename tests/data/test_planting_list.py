"""Every way we know to get the team's own lists wrong, each with the message it must give, and its line."""

from __future__ import annotations

import doctest
from datetime import date

import pytest

from earleaf.database import maturity
from earleaf.database.manual import ManualDatabase
from earleaf.database.planting_list import ListFile, OwnPlanting, read_plantings
from earleaf.model import planting
from earleaf.model.finding import Finding
from earleaf.site.build import Prepared

HEAD = "id,crop,planted,maturity,station,lab,scout,field"
GOOD = "c1,corn,2027-04-28,2700,valley-floor,larkmoor,Fern Invented,Otterpond"
TODAY = date(2027, 7, 1)


@pytest.fixture(scope="module")
def db(demo: Prepared) -> ManualDatabase:
    assert isinstance(demo.db, ManualDatabase)
    return demo.db


def read(
    db: ManualDatabase, plantings: str | bytes, seen: str | None = None
) -> tuple[tuple[OwnPlanting, ...], list[Finding]]:
    data = plantings if isinstance(plantings, bytes) else plantings.encode()
    saw = None if seen is None else ListFile("seen.csv", seen.encode())
    return read_plantings(ListFile("plantings.csv", data), saw, db, TODAY)


def told(findings: list[Finding]) -> list[str]:
    return [f"{f.file}:{f.line} {f.level}: {f.message} | {f.hint}" for f in findings]


def test_a_good_list(db: ManualDatabase) -> None:
    own, findings = read(db, f"{HEAD}\n{GOOD}\n", "id,stage,day\nc1,V6,2027-06-12\nc1,VE,2027-05-11\n")
    assert findings == []
    (one,) = own
    assert one.planting.planted == date(2027, 4, 28) and one.region.region == "valley-floor"
    assert one.maturity is not None and one.maturity.rating == 2700
    assert [s.stage for s in one.sightings] == ["VE", "V6"]


@pytest.mark.parametrize(
    "data",
    [
        b"\xef\xbb\xbf" + f"{HEAD}\n{GOOD}\n".encode(),
        f"{HEAD}\r\n{GOOD}\r\n".encode(),
        f"{HEAD}\n\n{GOOD}\n\n".encode(),
        f"{HEAD}\n{GOOD.replace('Otterpond', chr(34) + 'Otterpond, north' + chr(34))}\n".encode(),
        b"lab,station,crop,id,planted\nlarkmoor,valley-floor,corn,c1,2027-04-28\n",
    ],
    ids=["byte-order mark", "CRLF", "empty lines", "quoted comma", "other order, no optional columns"],
)
def test_forms_that_programs_write(db: ManualDatabase, data: bytes) -> None:
    own, findings = read(db, data)
    assert findings == [] and len(own) == 1


BAD_LISTS = {
    "semicolons": (f"{HEAD}\n{GOOD}".replace(",", ";"), 1, "set apart by semicolons", "with commas"),
    "tabs": (f"{HEAD}\n{GOOD}".replace(",", "\t"), 1, "set apart by tabs", "with commas"),
    "unknown column": (f"{HEAD},latitude\n{GOOD},41.9", 1, "unknown column 'latitude'", "allowed: id, crop"),
    "near column": (f"{HEAD}\n{GOOD}".replace("planted", "plantet"), 1, "unknown column 'plantet'", "'planted'"),
    "missing column": (f"{HEAD}\n{GOOD}".replace("station,", "").replace("valley-floor,", ""), 1,
                       "no column 'station'", "start with: id,crop"),
    "twice a column": (f"{HEAD},id\n{GOOD},c1", 1, "a column name is there twice", "keep one"),
    "empty": ("", 1, "no header line", "start with: id,crop"),
    "only the names": (f"{HEAD}\n", 1, "no planting in this list", "one row for each"),
    "not UTF-8": (f"{HEAD}\n{GOOD}é".encode("latin-1"), 2, "not UTF-8", "UTF-8"),
    "open quote": (f'{HEAD}\n"{GOOD}', 2, "", "quotes"),
    "too many cells": (f"{HEAD}\n{GOOD},north", 2, "9 cells under 8 columns", "quotes"),
    "twice an id": (f"{HEAD}\n{GOOD}\n{GOOD}", 3, "id 'c1' is here twice (first on line 2)", "its own"),
    "id with a date": (f"{HEAD}\n{GOOD.replace('c1', 'c-20270428')}", 2, "column id is 'c-20270428'", "date"),
    "id with capitals": (f"{HEAD}\n{GOOD.replace('c1', 'C1')}", 2, "column id is 'C1'", "small letters"),
    "no id": (f"{HEAD}\n{GOOD.replace('c1', '')}", 2, "column id is empty", "a value"),
    "American day": (f"{HEAD}\n{GOOD.replace('2027-04-28', '04/28/2027')}", 2, "column planted is '04/28/2027'",
                     "a date such as 2026-11-25"),
    "no such day": (f"{HEAD}\n{GOOD.replace('04-28', '02-30')}", 2, "column planted is '2027-02-30'", "a date"),
    "a number for a day": (f"{HEAD}\n{GOOD.replace('2027-04-28', '46505')}", 2, "column planted is '46505'", "a date"),
    "no day": (f"{HEAD}\n{GOOD.replace('2027-04-28', '')}", 2, "planted is empty", "give the day"),
    "day of another season": (f"{HEAD}\n{GOOD.replace('2027', '2026')}", 2,
                              "planted is 2026-04-28, outside the season 2027-01-01 to 2027-12-31", "correct the day"),
    "unknown crop": (f"{HEAD}\n{GOOD.replace('corn', 'cron')}", 2, "unknown crop 'cron'", "did you mean 'corn'"),
    "several models": (f"{HEAD}\n{GOOD.replace('corn', 'wheat').replace('2700', '')}", 2,
                       "wheat has 2 timing models", "wheat/winter-wheat-two-legs"),
    "unknown model": (f"{HEAD}\n{GOOD.replace('corn', 'wheat/winter').replace('2700', '')}", 2,
                      "wheat has no model 'winter'", "wheat/winter-wheat-two-legs"),
    "unknown station": (f"{HEAD}\n{GOOD.replace('valley-floor', 'valley-flor')}", 2,
                        "unknown station 'valley-flor'", "did you mean 'valley-floor'"),
    "unknown lab": (f"{HEAD}\n{GOOD.replace('larkmoor', 'larkmor')}", 2, "unknown lab 'larkmor'",
                    "did you mean 'larkmoor'"),
    "relative maturity": (f"{HEAD}\n{GOOD.replace('2700', '105')}", 2,
                          "maturity is '105', not from 2100 to 2900 as published (hprcc-corn", "days of relative"),
    "rating too high": (f"{HEAD}\n{GOOD.replace('2700', '2900 from emergence')}", 2, "not from 2100 to 2900", "2700"),
    "no group": (f"{HEAD}\n{GOOD.replace('corn', 'sorghum').replace('2700', 'II')}", 2,
                 "maturity is 'II', no group", "early, mid, late"),
    "scout of two lines": (f"{HEAD}\n{GOOD.replace('Fern Invented', chr(34) + 'Fern' + chr(10) + 'I' + chr(34))}", 3,
                           "column scout", "a name on one line"),
    "scout without letters": (f"{HEAD}\n{GOOD.replace('Fern Invented', '!!!')}", 2, "column scout", "Latin letters"),
    "two scouts, one calendar": (f"{HEAD}\n{GOOD}\n{GOOD.replace('c1', 'c2').replace('Fern I', 'fern i')}", 3,
                                 "would share one calendar", "one person in one way"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD_LISTS)
def test_one_fault_in_the_list_of_plantings(db: ManualDatabase, name: str) -> None:
    data, line, message, hint = BAD_LISTS[name]
    findings = read(db, data)[1]
    assert len(findings) == 1, told(findings)
    assert (findings[0].line, findings[0].level) == (line, "error"), told(findings)
    assert message in findings[0].message and hint in findings[0].hint, told(findings)


BAD_SIGHTINGS = {
    "unknown planting": ("c2,V6,2027-06-12", "unknown planting 'c2'", "did you mean 'c1'"),
    "unknown stage": ("c1,V66,2027-06-12", "corn has no stage 'V66'", "did you mean 'V6'"),
    "before planting": ("c1,VE,2027-04-20", "day is 2027-04-20, before 2027-04-28", "correct one of"),
    "in the future": ("c1,V6,2027-07-02", "day is 2027-07-02, and today is 2027-07-01", "what was seen"),
    "no day": ("c1,V6,", "column day is empty", "a value"),
    "two stages on one day": ("c1,V6,2027-06-12\nc1,V7,2027-06-12", "a second stage on 2027-06-12", "keep one"),
    "backwards": ("c1,V8,2027-06-12\nc1,V6,2027-06-20", "V6 on 2027-06-20 comes before V8", "does not go back"),
}


@pytest.mark.parametrize("name", BAD_SIGHTINGS)
def test_one_fault_in_the_list_of_sightings(db: ManualDatabase, name: str) -> None:
    rows, message, hint = BAD_SIGHTINGS[name]
    findings = read(db, f"{HEAD}\n{GOOD}\n", f"id,stage,day\n{rows}\n")[1]
    assert len(findings) == 1, told(findings)
    assert findings[0].file == "seen.csv" and findings[0].line == 2 + rows.count("\n")
    assert findings[0].level == "error"
    assert message in findings[0].message and hint in findings[0].hint, told(findings)


def test_all_faults_of_both_lists_are_told_at_once(db: ManualDatabase) -> None:
    rows = [GOOD, GOOD.replace("c1", "c2").replace("corn", "cron"), GOOD.replace("c1", "c3").replace("larkmoor", "x")]
    findings = read(db, "\n".join([HEAD, *rows]), "id,stage,day\nc1,V99,2027-06-12\nc9,V6,2027-06-12\n")[1]
    assert [(f.file, f.line) for f in findings] == [
        ("plantings.csv", 3),
        ("plantings.csv", 4),
        ("seen.csv", 2),
        ("seen.csv", 3),
    ]


def test_a_planting_with_a_fault_is_not_unknown_to_the_sightings(db: ManualDatabase) -> None:
    for plantings in (f"{HEAD}\n{GOOD.replace('corn', 'cron')}", f"{HEAD}\n{GOOD.replace('04-28', '02-30')}"):
        findings = read(db, plantings, "id,stage,day\nc1,V6,2027-06-12\n")[1]
        assert [f.file for f in findings] == ["plantings.csv"], told(findings)


def test_a_crop_without_a_timing_is_kept_with_a_warning(db: ManualDatabase) -> None:
    own, findings = read(db, f"{HEAD}\nb1,blueberry,,,hill-farms,larkmoor,,Hedge\n")
    assert len(own) == 1 and own[0].model is None
    assert [f.level for f in findings] == ["warning"]
    assert "no published timing of blueberry found" in findings[0].message


def test_a_maturity_that_moves_nothing_is_a_warning(db: ManualDatabase) -> None:
    own, findings = read(db, f"{HEAD}\ns1,soybean,2027-05-10,2.5,valley-floor,larkmoor,,\n")
    assert [f.level for f in findings] == ["warning"] and "no published figure" in findings[0].message
    assert own[0].maturity is not None and own[0].maturity.rating is None


def test_winter_wheat_may_leave_its_day_out_or_give_that_of_autumn(db: ManualDatabase) -> None:
    row = "w1,wheat/winter-wheat-two-legs,{},,valley-floor,larkmoor,,"
    for day in ("", "2026-10-05"):
        own, findings = read(db, f"{HEAD}\n{row.format(day)}\n")
        assert findings == [] and len(own) == 1, told(findings)


def test_a_shared_station_asks_for_the_region(db: ManualDatabase) -> None:
    region = db.regions["valley-floor"].model_copy(update={"region": "valley-terrace"})
    shared = ManualDatabase(**{**vars(db), "regions": {**db.regions, "valley-terrace": region}})
    shared.weather = {**db.weather, "valley-terrace": db.weather["valley-floor"]}
    shared.regions = {k.replace("valley-floor", "valley-bottom"): v for k, v in shared.regions.items()}
    shared.weather = {k.replace("valley-floor", "valley-bottom"): v for k, v in shared.weather.items()}
    findings = read(shared, f"{HEAD}\n{GOOD}\n")[1]
    assert "serves" in findings[0].message and "valley-terrace" in findings[0].hint
    own, findings = read(shared, f"{HEAD}\n{GOOD.replace('valley-floor', 'valley-terrace')}\n")
    assert findings == [] and own[0].region.region == "valley-terrace"


def test_nothing_in_the_bytes_raises(db: ManualDatabase) -> None:
    for data in (b"\x00\x01", b"id,crop\x00", b'"', b",,,,\n,,,,", HEAD.encode() + b"\n" + b"," * 7, b"\xff\xfe"):
        own, findings = read(db, data)
        assert own == () and any(f.level == "error" for f in findings), data


def test_the_examples_in_the_text_are_true() -> None:
    for module in (maturity, planting):
        result = doctest.testmod(module)
        assert result.failed == 0 and result.attempted > 0, module.__name__

"""Every way we know to get a timing model wrong, each with the message it must give. Data and form as in test_faults."""
# ruff: noqa: E501  (the data below is written as its authors write it, one record a line)

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from test_faults import CORN, Case, fits, line_of

from earleaf.model.finding import Finding
from earleaf.site.build import prepare
from small_manual import FILES as SMALL
from small_manual import write

ROWS = "protocols/evidence/timing.csv"
FILES = dict(SMALL)
FILES[CORN] += """\
development:
- model: corn-small
  status: usable
  confidence: Good for leaves.
  restart: Start again from what you see.
  depends_on: The hybrid.
  legs:
  - leg: leaves
    from: planting
    method: modified-86-50
    lower: 50
    upper: 86
    unit: F
    needs:
    - {stage: VE, low: 100, typical: 115, high: 120, rows: [corn.uni-a.t1]}
    - {from: V1, to: V6, typical: 82, high: 84, rows: [corn.uni-a.t2, corn.uni-b.t1]}
    - {stage: VT, low: 1000, typical: 1100, high: 1200, basis: range, rows: [corn.uni-b.t2]}
    - {stage: R1, after: VT, low: 160, typical: 166, high: 170, basis: computed, how: Two leaves more., rows: [corn.uni-a.t2, corn.uni-b.t1, corn.uni-a.t5]}
  - leg: after silk
    from: R1
    method: days
    unit: days
    needs:
    - {stage: R2, low: 8, high: 12, basis: bracket, rows: [corn.uni-a.t3]}
    - {at: milk, typical: 20, basis: derived, how: Twice ten days., rows: [corn.uni-a.t3]}
  - leg: by group
    from: 05-01
    method: simple-avg-method1
    lower: 10
    unit: C
    needs:
    - {at: grain, low: 500, typical: 550, high: 600, rows: [corn.uni-b.t3, corn.uni-b.t4]}
  rating:
    stage: R1
    usual: 1266
    least: 1100
    most: 1400
    before: {VT: 166}
    say: [Take the rating of your hybrid.]
    rows: [corn.uni-a.t5]
  late:
    stage: R1
    after: 05-01
    per_day: 6.8
    say: [A late planting needs less.]
    rows: [corn.uni-a.t4]
  groups: {early: low, late: high}
  adjustments:
  - what: soil
    say: [Cold soil slows it.]
  calendars:
  - {place: North, hemisphere: north, rows: [corn.uni-a.t6]}
  alternatives:
  - {alternative: corn-other, say: Another count., rows: [corn.uni-b.t5]}
  differs: [corn.uni-b.t6]
"""
FILES[ROWS] = """\
row,source,crop,method,lower,upper,unit,from_event,to_stage,stage,stage_to,amount,low,high,date_from,date_to,amount_unit,group,note
corn.uni-a.t1,uni-a,corn,modified-86-50,50,86,F,planting,coming up,VE,,115,100,120,,,gdd-f,,
corn.uni-a.t2,uni-a,corn,modified-86-50,50,86,F,each collar,next collar,,,82,,,,,gdd-f,,
corn.uni-a.t3,uni-a,corn,days,,,,silk,blister,R2,,,8,12,,,days,,
corn.uni-a.t4,uni-a,corn,modified-86-50,50,86,F,each day later,less,,,6.8,,,,,gdd-f,,
corn.uni-a.t5,uni-a,corn,modified-86-50,50,86,F,planting,leaf,,,78,,86,,,gdd-f,,
corn.uni-a.t6,uni-a,corn,,,,,,tassel,VT,,,,,07-10,07-20,date,North,
corn.uni-b.t1,uni-b,corn,modified-86-50,50,86,F,each collar,next collar,,,84,,,,,gdd-f,,
corn.uni-b.t2,uni-b,corn,modified-86-50,50,86,F,planting,tassel,VT,,,1000,1200,,,gdd-f,,
corn.uni-b.t3,uni-b,corn,simple-avg-method1,50,,F,a day in May,grain,,,900,990,,,,gdd-f,early,
corn.uni-b.t4,uni-b,corn,simple-avg-method1,10,,C,a day in May,grain,,,600,550,600,,,gdd-c,late,
corn.uni-b.t5,uni-b,corn,days,,,,planting,tassel,VT,,70,,,,,days,,
corn.uni-b.t6,uni-b,corn,days,,,,planting,tassel,VT,,75,,,,,days,,
"""

T, S = "timing", "timing-not-supported"
VE = "{stage: VE, low: 100, typical: 115, high: 120, rows: [corn.uni-a.t1]}"
R1 = "{stage: R1, after: VT, low: 160, typical: 166, high: 170,"
GRAIN = "{at: grain, low: 500, typical: 550, high: 600,"


def corn(
    name: str,
    old: str,
    new: str,
    rule: str,
    at: int | str,
    says: tuple[str, ...],
    hint: tuple[str, ...],
    also: tuple[str, ...] = (),
) -> Case:
    return Case(name, CORN, old, new, rule, at, says, hint, also=also)


def row(
    name: str,
    old: str,
    new: str,
    rule: str,
    at: int | str,
    says: tuple[str, ...],
    hint: tuple[str, ...],
    also: tuple[str, ...] = (),
) -> Case:
    return Case(name, ROWS, old, new, rule, at, says, hint, also=also)


NAMES = [
    corn("unknown timing row", "differs: [corn.uni-b.t6]", "differs: [corn.uni-b.t66]", T, "differs: [corn.uni-b.t66]", ("unknown timing row 'corn.uni-b.t66'",), ("did you mean 'corn.uni-b.t6'?",), (S,)),
    corn("row of another crop", "rows: [corn.uni-b.t5]}", "rows: [corn.uni-b.t5, bean.uni-a.t1]}", T, "- {alternative:", ("unknown timing row 'bean.uni-a.t1'",), ("corn.uni-a",)),
    corn("unknown stage of a need", "{stage: R2, low: 8", "{stage: R22, low: 8", T, "- {stage: R22", ("unknown stage 'R22'",), ("did you mean 'R2'?",)),
    corn("unknown stage of a pace", "to: V6, typical: 82", "to: V9, typical: 82", T, "- {from: V1, to: V9", ("unknown stage 'V9'",), ("V6",)),
    corn("unknown method", "method: days", "method: day", "not-allowed", "method: day", ("method is 'day'",), ("did you mean 'days'?",)),
    corn("method spelled with underscores", "method: modified-86-50", "method: modified_86_50", "not-allowed", "method: modified_86_50", ("'modified_86_50'",), ("did you mean 'modified-86-50'?",)),
    corn("unknown start", "from: R1\n    method", "from: silking\n    method", T, "from: silking", ("unknown start 'silking'",), ("a stage code", "planting", "first-cut")),
    corn("a day that is none", "from: 05-01\n    method", "from: 05-41\n    method", T, "from: 05-41", ("unknown start '05-41'",), ("01-01",)),
    corn("unknown basis", "basis: range", "basis: ranges", "not-allowed", "basis: ranges", ("basis is 'ranges'",), ("did you mean 'range'?",)),
    corn("counted on from no point", "after: VT, low: 160", "after: V7, low: 160", T, "after: V7", ("'V7' is no earlier point",), ("did you mean 'VT'?",)),
    corn("counted on from a later point", "{stage: VT, low: 1000", "{stage: VT, after: R1, low: 1000", T, "after: R1", ("'R1' is no earlier point",), ("V1",)),
    corn("a point without a name", "{at: milk, typical", "{typical", T, "- {typical: 20", ("no stage and no `at`",), ("which point",)),
    corn("figure of a sentence without a source", "[Cold soil slows it.]", "[Cold soil slows it by 3 days.]", "figure-without-source", "say: [Cold", ("by 3 days",), ("{say: ..., source: an-id}",)),
    corn("unknown source of a sentence", "confidence: Good for leaves.", "confidence: {say: Good for leaves., source: uni-z}", "unknown-name", "confidence:", ("unknown source 'uni-z'",), ("uni-a",)),
    corn("model without a restart rule", "  restart: Start again from what you see.\n", "", "missing-key", "- model: corn-small", ("'restart' is missing in development.0",), ("add it",)),
    corn("no rows under a need", "rows: [corn.uni-a.t1]}\n    - {from", "rows: []}\n    - {from", "empty-value", "- {stage: VE", ("rows is an empty list",), ("at least one",)),
]  # fmt: skip

CLOCKS = [
    corn("upper is missing", "    upper: 86\n", "", T, "method: modified-86-50", ("modified-86-50 needs `upper`",), ("warmth no longer counts",)),
    corn("lower is missing", "    lower: 10\n    unit: C", "    unit: C", T, "method: simple-avg-method1", ("simple-avg-method1 needs `lower`",), ("base temperature",)),
    corn("limits swapped", "lower: 50\n    upper: 86", "lower: 86\n    upper: 50", T, "upper: 50", ("upper 50 is not above lower 86",), ("swap",)),
    corn("limits of another method", "lower: 50\n    upper: 86", "lower: 48\n    upper: 86", T, "lower: 48", ("modified-86-50 is made for lower 50, upper 86 F or lower 10, upper 30 C", "got lower 48, upper 86 F"), ("another method",)),
    corn("limits in C under F", "upper: 86\n    unit: F", "upper: 86\n    unit: C", T, "lower: 50", ("is made for lower 50, upper 86 F or lower 10, upper 30 C",), ("in F or C",)),
    corn("days with a base", "method: days\n    unit: days", "method: days\n    lower: 50\n    unit: days", T, "lower: 50\n    unit: days", ("lower is given, but the leg counts days",), ("remove it",)),
    corn("warmth counted in days", "upper: 86\n    unit: F", "upper: 86\n    unit: days", T, "unit: days", ("method modified-86-50 with unit days",), ("`method: days`",)),
    corn("unknown unit", "upper: 86\n    unit: F", "upper: 86\n    unit: K", "not-allowed", "unit: K", ("unit is 'K'",), ("'days'",)),
    corn("small grains without the early cap", "method: simple-avg-method1\n    lower: 10\n    unit: C", "method: ndawn-small-grain\n    lower: 0\n    upper: 35\n    unit: C", T, "method: ndawn", ("`early_upper` and `early_until`",), ("add both",)),
    corn("frost without a figure", "from: R1\n    method", "from: last-hard-frost\n    method", T, "from: last-hard-frost", ("`frost` go together",), ("how cold",)),
    corn("a base that is no number", "lower: 10\n", "lower: nan\n", "wrong-type", "lower: nan", ("lower",), ("a number",)),
]  # fmt: skip

SUMS = [
    corn("low above typical", "{stage: VE, low: 100", "{stage: VE, low: 116", T, "- {stage: VE", ("low 116, typical 115, high 120 do not grow",), ("low comes first",)),
    corn("high below low in a bracket", "low: 8, high: 12", "low: 12, high: 8", T, "- {stage: R2", ("low 12, high 8 do not grow",), ("low comes first",)),
    corn("half a bracket", "low: 8, high: 12", "low: 8", T, "- {stage: R2", ("no typical, and not both low and high",), ("of a bracket",)),
    corn("stages out of order", VE, VE.replace("VE", "R2"), T, "- {from: V1", ("V1 stands after a later stage",), ("sort by stage",), (S, T, T)),
    corn("a sum that shrinks", "low: 1000, typical: 1100, high: 1200", "low: 100, typical: 110, high: 120", T, "- {stage: VT", ("VT has a smaller low sum (100 < 592) than V6",), ("`after`",), (S,)),
    corn("a pace at the start", "    - " + VE + "\n", "", T, "- {from: V1", ("a pace has nothing before it",), ("first stage",), (S,)),
    corn("a model twice", "  differs: [corn.uni-b.t6]\n", "  differs: [corn.uni-b.t6]\n- model: corn-small\n  status: partial\n  confidence: Thin.\n  restart: Look.\n  depends_on: Much.\n  legs:\n  - {leg: a, from: planting, method: days, unit: days, needs: [{stage: VT, typical: 70, rows: [corn.uni-b.t5]}]}\n", T, "- model: corn-small\n  status: partial", ("model 'corn-small' is also in crops/corn.yml",), ("another id",)),
]  # fmt: skip

SUPPORT = [
    corn("a figure no row prints", "typical: 115, high: 120", "typical: 116, high: 120", S, "- {stage: VE", ("typical 116 is not what the rows print: 100, 115, 120",), ("carry over",)),
    corn("a pace no row prints", "typical: 82, high: 84", "typical: 82, high: 85", S, "- {from: V1", ("high 85", "82, 84"), ("carry over",)),
    corn("a row of another stage", "basis: range, rows: [corn.uni-b.t2]", "basis: range, rows: [corn.uni-b.t2, corn.uni-a.t1]".replace("b.t2, corn.uni-a.t1", "a.t1"), S, "- {stage: VT", ("low 1000", "no figure for this stage"), ("as a row prints them",), (S,)),
    corn("a middle that is none", "low: 1000, typical: 1100", "low: 1000, typical: 1150", S, "- {stage: VT", ("typical 1150",), ("typical is the middle",)),
    corn("a sum that does not add up", R1, R1.replace("166", "163.2"), S, "- {stage: R1", ("typical 163.2 is not what the rows print: 78, 82, 84, 86",), ("say `derived` and how",)),
    corn("a bracket with a date", "low: 8, high: 12", "low: 8, typical: 10, high: 12", S, "- {stage: R2", ("a bracket with typical",), ("leave typical out",)),
    corn("no typical outside a bracket", "typical: 1100, high: 1200, basis: range", "high: 1200, basis: range", S, "- {stage: VT", ("a range without typical",), ("a bracket is a window",)),
    corn("derived without saying how", "basis: derived, how: Twice ten days.", "basis: derived", S, "- {at: milk", ("derived figures without `how`",), ("in a sentence",)),
    corn("days under degree-days", "rows: [corn.uni-a.t1]}\n    - {from", "rows: [corn.uni-a.t1, corn.uni-a.t3]}\n    - {from", S, "- {stage: VE", ("corn.uni-a.t3", "the leg sums degree-days, the row does not"), ("same unit and base",)),
    corn("degree-days under days", "basis: bracket, rows: [corn.uni-a.t3]", "basis: bracket, rows: [corn.uni-a.t3, corn.uni-a.t1]", S, "- {stage: R2", ("corn.uni-a.t1", "the leg counts days, the row does not"), ("same unit and base",)),
    row("row from another base", "uni-b,corn,simple-avg-method1,10,,C,a day in May,grain", "uni-b,corn,simple-avg-method1,8,,C,a day in May,grain", S, "- {at: grain", ("corn.uni-b.t4", "counts from 10 C, the row from 8 C"), ("same unit and base",)),
    corn("groups the wrong way round", "groups: {early: low, late: high}", "groups: {early: high, late: low}", S, "- {at: grain", ("high is not the figure of the early group in corn.uni-b.t3",), ("where `groups` says",), (S,)),
    corn("rating and needs disagree", "usual: 1266", "usual: 1300", S, "usual: 1300", ("R1 is typically at 1266, but 1300 less 0 is not that",), ("agree",)),
    corn("rating out of its range", "least: 1100", "least: 1290", S, "rating:", ("least 1290, usual 1266, most 1400 do not grow",), ("least comes first",)),
    corn("rating of a stage no leg has", "before: {VT: 166}", "before: {VT: 166, V20: 700}", S, "before: {VT", ("no leg has the stage 'V20'",), ("that the legs reach",)),
    corn("late planting no row prints", "per_day: 6.8", "per_day: 7", S, "per_day: 7", ("no row prints 7 a day",), ("carry over",)),
    corn("timing row on no page", "  differs: [corn.uni-b.t6]\n", "", S, "corn.uni-b.t6,uni-b", ("no timing model uses row corn.uni-b.t6",), ("if only as differs",)),
]  # fmt: skip

TABLE = [
    row("source of a timing row", "corn.uni-b.t5,uni-b", "corn.uni-b.t5,uni-x", T, 12, ("unknown source 'uni-x'",), ("uni-b",)),
    row("crop of a timing row", "corn.uni-b.t6,uni-b,corn", "corn.uni-b.t6,uni-b,corm", T, 13, ("unknown crop 'corm'",), ("did you mean 'corn'?",), (T,)),
    row("timing row about another crop", "corn.uni-b.t6,uni-b,corn", "corn.uni-b.t6,uni-b,bean", T, "differs: [corn.uni-b.t6]", ("row corn.uni-b.t6 is about bean",), ("rows of this crop",), (T,)),
    row("stage of a timing row", "days,,,,planting,tassel,VT,,70", "days,,,,planting,tassel,VV,,70", T, 12, ("unknown stage 'VV'",), ("VT",)),
    row("method of a timing row", "corn.uni-b.t5,uni-b,corn,days", "corn.uni-b.t5,uni-b,corn,dayz", "bad-cell", 12, ("method is 'dayz'",), ("'days'",)),
    row("timing row without a figure", "tassel,VT,,70,", "tassel,VT,,,", T, 12, ("row corn.uni-b.t5 prints no figure",), ("an amount, or low and high",)),
    row("date row without a date", "07-10,07-20,date", "07-10,,date", T, 7, ("row corn.uni-a.t6 prints no figure",), ("date_from and date_to",)),
    row("range with one end", "R2,,,8,12,", "R2,,,8,,", T, 4, ("low is 8 and high is None",), ("both ends",), (S,)),
    row("degree-days without a base", "corn.uni-b.t2,uni-b,corn,modified-86-50,50,86,F", "corn.uni-b.t2,uni-b,corn,modified-86-50,,86,F", T, 9, ("sums degree-days from no base",), ("lower and unit",)),
    row("a date that is none", "07-10,07-20,date", "07-10,31 July,date", "bad-cell", 7, ("date_to is '31 July'",), ("month and day",)),
    row("unknown column of timing", "from_event,to_stage", "from,to_stage", "unknown-key", 1, ("unknown column 'from'",), ("from_event",)),
    row("a cell that is not a number", "VT,,70,", "VT,,seventy,", "bad-cell", 12, ("amount is 'seventy'",), ("a number",)),
    row("a cell that is no finite number", "VT,,70,", "VT,,inf,", "bad-cell", 12, ("amount is 'inf'",), ("a number",)),
    row("timing row twice", "corn.uni-b.t6,uni-b", "corn.uni-b.t5,uni-b", "duplicate-id", 13, ("'corn.uni-b.t5' is here twice",), ("new id",), (T,)),
]  # fmt: skip

CASES = [*NAMES, *CLOCKS, *SUMS, *SUPPORT, *TABLE]


def apply(folder: Path, case: Case) -> dict[str, str]:
    """Break the small manual; the texts of its files after that."""
    assert isinstance(case.new, str)
    assert FILES[case.file].count(case.old) == 1, f"{case.old!r} is not once in {case.file}"
    changed = FILES | {case.file: FILES[case.file].replace(case.old, case.new)}
    (folder / case.file).write_text(changed[case.file], "utf-8", newline="")
    return changed


def findings(folder: Path, today: date) -> list[Finding]:
    return prepare(folder / "manual.yml", today).findings


@pytest.fixture
def timed(tmp_path: Path) -> Path:
    write(tmp_path, FILES)
    return tmp_path


def test_the_small_manual_with_timing_has_no_faults(timed: Path, today: date) -> None:
    assert findings(timed, today) == []


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_timing_fault_is_told(case: Case, timed: Path, today: date) -> None:
    texts = apply(timed, case)
    found = findings(timed, today)
    told = "\n".join(str(f) for f in found)
    place = case.file
    if isinstance(case.at, str) and case.at not in texts[place]:
        place = CORN if place == ROWS else ROWS
    line = line_of(case.at, texts[place])
    mine = [f for f in found if (f.rule, f.file, f.line) == (case.rule, place, line) and fits(case, f)]
    assert len(mine) == 1, told or "nothing was found"
    assert mine[0].hint
    assert sorted(f.rule for f in found if f != mine[0]) == sorted(case.also), told


def test_case_names_are_all_different() -> None:
    assert len({case.name for case in CASES}) == len(CASES) >= 60


def test_a_manual_without_the_crop_has_no_faults_of_its_timing(timed: Path, today: date) -> None:
    text = FILES["manual.yml"].replace("crops: [corn, bean]", "crops: [bean]")
    (timed / "manual.yml").write_text(text, "utf-8")
    assert findings(timed, today) == []


def test_a_timing_table_that_is_no_text_is_one_fault(timed: Path, today: date) -> None:
    """Rows that were not read must not make every use of them a fault."""
    (timed / ROWS).write_bytes(b"\x00\xff\xfe")
    assert [f.rule for f in findings(timed, today)] == ["not-utf-8"]

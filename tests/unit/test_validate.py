"""From values to records: where a fault is, and what is said about it."""

from __future__ import annotations

from earleaf.database.validate import build
from earleaf.database.yaml_lines import parse_yaml
from earleaf.model.base import Cited, Record
from earleaf.model.crop import Count, Protocol
from earleaf.model.finding import Finding
from earleaf.model.stages import Stage, StageSeries, StageSystem

SYSTEM = "system: s\nname: S\nsource: a\nstages:\n"


def faults(record: type[Record], text: str) -> list[Finding]:
    return sorted(build(record, parse_yaml(text.encode(), "x.yml"), "x.yml")[1])


def test_a_good_file_becomes_a_record() -> None:
    value, found = build(Count, parse_yaml(b"{min: 20, max: 30, unit: leaves}", "x.yml"), "x.yml")
    assert value == Count(min=20, max=30, unit="leaves") and found == []


def test_a_sentence_may_be_plain_or_cited() -> None:
    for text in ("say: Take it.", "say: Take it.\nsource: a-b", "say: Take it.\nsource: [a-b, c]"):
        assert faults(Cited, text) == []


def test_every_fault_of_a_file_is_told_with_its_line() -> None:
    found = faults(Count, "min: -1\nmax: many\nunit: Leaves\nuntil: 3\n")
    assert [(f.line, f.rule) for f in found] == [
        (1, "out-of-range"),
        (2, "wrong-type"),
        (3, "bad-form"),
        (4, "unknown-key"),
    ]


def test_not_a_number_and_endless_are_no_counts() -> None:
    assert [f.rule for f in faults(Count, "min: nan\nmax: inf\nunit: leaves\n")] == ["wrong-type"] * 2


def test_a_stage_is_judged_as_what_it_is_nearest_to() -> None:
    """A stage or a series may stand there: only the faults of the nearer one are told."""
    one = faults(StageSystem, SYSTEM + "- {code: V1, name: one}\n")
    assert [(f.rule, f.message) for f in one] == [("missing-key", "'look' is missing in stages.0")]
    run = faults(StageSystem, SYSTEM + "- {series: V, first: 1, last: x, name: n, look: l}\n")
    assert [(f.rule, f.message) for f in run] == [("wrong-type", "stages.0.last is 'x'")]
    both = faults(StageSystem, SYSTEM + "- {code: V1, name: n, look: l}\n- word\n")
    assert [(f.rule, f.line) for f in both] == [("wrong-type", 6)]


def test_a_series_and_a_stage_are_read_as_such() -> None:
    text = SYSTEM + "- {code: VE, name: up, look: l}\n- {series: V, first: 1, last: 2, name: '{n}', look: l}\n"
    value, _ = build(StageSystem, parse_yaml(text.encode(), "x.yml"), "x.yml")
    assert value is not None
    assert isinstance(value.stages[0], Stage) and isinstance(value.stages[1], StageSeries)
    assert [stage.code for stage in value.expanded()] == ["VE", "V1", "V2"]


def test_a_faulty_item_does_not_make_its_list_empty() -> None:
    text = (
        "protocol: p\ntitle: t\nshort_id: abcd\nchecked_on: 2026-01-01\nwindow: {from: R1, to: R2}\n"
        "see: [now]\ntake:\n- part: No Id\n"
    )
    assert [(f.line, f.rule) for f in faults(Protocol, text)] == [(8, "bad-form")]


def test_allowed_keys_are_those_of_the_place() -> None:
    found = faults(StageSystem, SYSTEM + "- {code: V1, name: n, look: {say: x, sorce: a}}\n")
    assert [f.hint for f in found] == ["did you mean 'source'? allowed: say, source"]

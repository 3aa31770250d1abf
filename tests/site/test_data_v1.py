"""The published data: valid against the schemas beside it, complete, clockless, agreeing with the pages."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match
from jsonschema.validators import extend
from site_tree import SiteTree, report, words_of

from earleaf.database.load import Database

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = "data/v1/schema/"


def protocols(data: dict[str, Any]) -> dict[str, Any]:
    return {n: d for n, d in data.items() if n.startswith(("data/v1/crops/", "data/v1/labs/"))}


def test_every_schema_is_a_schema(data: dict[str, Any]) -> None:
    found = [n for n in data if n.startswith(SCHEMA)]
    assert len(found) >= 3
    for name in found:
        Draft202012Validator.check_schema(data[name])


def test_every_data_file_follows_the_schema_beside_it(data: dict[str, Any]) -> None:
    """The index names the schema of each file; no file is missing there, and none is listed in vain."""
    follows = {n: kind["schema"] for kind in data["data/v1/index.json"]["files"] for n in kind["files"]}
    assert follows.keys() == {n for n in data if not n.startswith(SCHEMA)}
    check = {n: Draft202012Validator(data[n]) for n in set(follows.values())}
    errors = ((n, best_match(check[follows[n]].iter_errors(data[n]))) for n in follows)
    wrong = [(n, e.json_path, e.message[:160]) for n, e in errors if e]
    assert not wrong, report(wrong)


def test_each_schema_refuses_a_file_of_another_kind(data: dict[str, Any]) -> None:
    """A schema that takes anything checks nothing."""
    kinds = {kind["schema"]: kind["files"][0] for kind in data["data/v1/index.json"]["files"]}
    assert len(kinds) >= 16
    for schema in kinds:
        check = Draft202012Validator(data[schema])
        assert [s for s, name in kinds.items() if check.is_valid(data[name])] == [schema]


def test_the_schema_refuses_a_broken_file(data: dict[str, Any]) -> None:
    check = Draft202012Validator(data[f"{SCHEMA}protocol.json"])
    good = next(iter(protocols(data).values()))
    assert check.is_valid(good)
    assert not check.is_valid({k: v for k, v in good.items() if k != "part"})
    assert not check.is_valid({**good, "data_version": 2})
    assert not check.is_valid({**good, "specimens": []})


def test_files_are_written_sorted_and_end_in_a_newline(site: SiteTree, data: dict[str, Any]) -> None:
    wrong = [
        n for n, d in data.items() if site.files[n].decode() != json.dumps(d, ensure_ascii=False, sort_keys=True) + "\n"
    ]
    assert not wrong, report(wrong)


def test_the_index_is_complete(site: SiteTree, data: dict[str, Any], manual_db: Database) -> None:
    index = data["data/v1/index.json"]
    listed = {p["data"] for c in index["crops"] for p in c["protocols"]}
    assert listed == {n for n in data if n.startswith("data/v1/crops/")}
    assert [c["id"] for c in index["crops"]] == list(manual_db.crops)
    assert {lab["id"] for lab in index["labs"]} == set(manual_db.labs)
    assert {p["short_id"] for c in index["crops"] for p in c["protocols"]} == {
        p.short_id for c in manual_db.crops.values() for p in c.protocols
    }


def test_every_lab_has_every_protocol(data: dict[str, Any], manual_db: Database) -> None:
    base = {n.removeprefix("data/v1/crops/") for n in data if n.startswith("data/v1/crops/")}
    for lab in manual_db.labs:
        head = f"data/v1/labs/{lab}/"
        assert {n.removeprefix(head) for n in data if n.startswith(head)} == base


def page_links(data: dict[str, Any]) -> Iterator[tuple[str, str]]:
    index = data["data/v1/index.json"]
    for entry in [*index["labs"], *(p for c in index["crops"] for p in c["protocols"])]:
        yield "index", entry["page"]
    for name, one in protocols(data).items():
        yield name, one["page"]


def test_links_to_pages_exist(site: SiteTree, data: dict[str, Any]) -> None:
    lost = [(n, p) for n, p in page_links(data) if p not in site.pages]
    assert not lost, report(lost)


def test_evidence_holds_every_row_once(data: dict[str, Any], manual_db: Database) -> None:
    rows = [r["row"] for r in data["data/v1/evidence.json"]]
    assert rows == sorted(set(rows))
    lost = sorted(manual_db.sampling.keys() - set(rows))
    assert not lost and set(rows) <= manual_db.sampling.keys(), report(lost)


def test_evidence_rows_say_what_the_tables_say(data: dict[str, Any], manual_db: Database) -> None:
    fields = (
        "source",
        "crop",
        "part",
        "count_min",
        "count_max",
        "count_unit",
        "stage_from",
        "stage_to",
        "condition",
    )
    wrong = [
        (r["row"], f, r[f], getattr(manual_db.sampling[r["row"]], f))
        for r in data["data/v1/evidence.json"]
        for f in fields
        if r[f] != getattr(manual_db.sampling[r["row"]], f)
    ]
    assert not wrong, report(wrong)


def sources_in(value: Any) -> Iterator[str]:
    """Every source id below a value: under `source`, `sources` or `basis`."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key == "source" and isinstance(inner, str):
                yield inner
            elif key in ("source", "sources") and isinstance(inner, list):
                yield from inner
            else:
                yield from sources_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from sources_in(inner)


def test_every_source_in_the_data_is_known(data: dict[str, Any], manual_db: Database) -> None:
    lost = sorted(
        {
            (s, n)
            for n, d in data.items()
            if not n.startswith(SCHEMA)
            for s in sources_in(d)
            if s not in manual_db.sources
        }
    )
    assert not lost, report(lost)


def test_every_part_count_and_walk_in_the_data_has_a_source(data: dict[str, Any]) -> None:
    bare = [
        (n, key)
        for n, d in protocols(data).items()
        for s in d["specimens"]
        for key in ("part", "count", "spots")
        if s[key] is not None and not s["sources"][key]
    ]
    assert not bare, report(bare)


def span(count: dict[str, Any] | None) -> str:
    if count is None:
        return ""
    return f"{count['min']:g}-{count['max']:g}" if count["max"] else f"{count['min']:g}"


def test_pages_and_data_agree_on_part_and_count(site: SiteTree, data: dict[str, Any]) -> None:
    wrong = []
    for name, one in protocols(data).items():
        page = site.pages[one["page"]]
        whats, counts = page.find_class("el-what"), page.find_class("el-count")
        for s, what, count in zip(one["specimens"], whats, counts, strict=True):
            part = s["part"] or {"id": "", "text": ""}
            told = [
                what.get("data-part") == part["id"],
                part["text"].lower() in words_of(what).lower(),
                count.get("data-count") == span(s["count"]),
                count.get("data-unit") == (s["count"] or {"unit": ""})["unit"],
            ]
            if s["spots"] and s["count"] and "each of" in words_of(count):
                told.append(words_of(count).startswith(f"{s['spots']['each']} "))
                told.append(f"each of {s['spots']['number']} " in words_of(count))
            if not all(told):
                wrong.append((name, told))
    assert len(protocols(data)) == len(site.handouts)
    assert not wrong, report(wrong)


def test_pages_and_data_agree_on_the_sources_of_the_count(site: SiteTree, data: dict[str, Any]) -> None:
    wrong = []
    for name, one in protocols(data).items():
        counts = site.pages[one["page"]].find_class("el-count")
        for s, count in zip(one["specimens"], counts, strict=True):
            said = set((count.get("data-source") or "").split())
            if said != {*s["sources"]["count"], *(s["sources"]["spots"] if s["spots"] else ())}:
                wrong.append((name, sorted(said), s["sources"]["count"]))
    assert not wrong, report(wrong)


def test_top_level_part_and_count_are_those_of_the_first_bag(data: dict[str, Any]) -> None:
    wrong = [
        n for n, d in protocols(data).items() if any(d[k] != d["specimens"][0][k] for k in ("part", "count", "spots"))
    ]
    assert not wrong, report(wrong)


CLOCK = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d|\b\d\d:\d\d:\d\d\b|generated|built_at|timestamp", re.I)


def test_no_time_of_the_build(site: SiteTree) -> None:
    bad = [
        (n, m.group())
        for n, b in site.files.items()
        if n.startswith("data/v1/") and not n.startswith(SCHEMA) and n != "data/v1/evidence.json"
        for m in [CLOCK.search(b.decode())]
        if m
    ]
    bad += [
        (a, m.group())
        for a, p in site.pages.items()
        for m in [CLOCK.search(p.xpath("string(//body)"))]
        if m and m.group() != "generated"
    ]
    assert not bad, report(bad)


# YAML files against the schemas that editors read. BaseLoader keeps every scalar a string, as the program
# reads it; so figures and yes/no are taken by their looks.


def looks(pattern: str) -> Any:
    return lambda _checker, value: isinstance(value, str) and re.fullmatch(pattern, value) is not None


PLAIN = Draft202012Validator.TYPE_CHECKER.redefine_many(
    {
        "integer": looks(r"-?\d+"),
        "number": looks(r"-?\d+(\.\d+)?"),
        "boolean": looks("true|false"),
        "null": looks("|null|~"),
    }
)


def of_figure(rule: str) -> Any:
    """A limit of size, applied to a figure kept as a string."""
    check = Draft202012Validator.VALIDATORS[rule]
    return lambda v, limit, value, schema: check(v, limit, float(value), schema) if v.is_type(value, "number") else ()


LIMITS = ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum")
Plain = extend(Draft202012Validator, validators={rule: of_figure(rule) for rule in LIMITS}, type_checker=PLAIN)

YAML_FILES = [
    ("manual", "demo_scenario/manual.yml"),
    ("sources", "demo_scenario/sources.yml"),
    ("sources", "protocols/sources.yml"),
    ("plant-parts", "protocols/vocabulary/plant-parts.yml"),
    *(("lab", p.relative_to(ROOT).as_posix()) for p in sorted(ROOT.glob("demo_scenario/labs/*.yml"))),
    *(("crop", p.relative_to(ROOT).as_posix()) for p in sorted(ROOT.glob("protocols/crops/*.yml"))),
    *(("stages", p.relative_to(ROOT).as_posix()) for p in sorted(ROOT.glob("protocols/stages/*.yml"))),
    *(("group", p.relative_to(ROOT).as_posix()) for p in sorted(ROOT.glob("protocols/groups/*.yml"))),
]


def is_constant(error: Any) -> bool:
    """A const or enum of a figure or yes/no cannot match a string; nothing else is ignored."""
    return error.validator in ("const", "enum") and not isinstance(error.validator_value, str | list)


@pytest.mark.parametrize(("kind", "file"), YAML_FILES, ids=[f for _, f in YAML_FILES])
def test_yaml_files_follow_the_editor_schema(data: dict[str, Any], kind: str, file: str) -> None:
    loaded = yaml.load((ROOT / file).read_text("utf-8"), Loader=yaml.BaseLoader)
    schema = data[f"{SCHEMA}{kind}.json"]
    wrong = [(e.json_path, e.message[:140]) for e in Plain(schema).iter_errors(loaded) if not is_constant(e)]
    assert not wrong, report(wrong, 8)


def test_the_editor_schema_refuses_an_unknown_key(data: dict[str, Any]) -> None:
    loaded = yaml.load((ROOT / "demo_scenario/manual.yml").read_text("utf-8"), Loader=yaml.BaseLoader)
    assert not Plain(data[f"{SCHEMA}manual.json"]).is_valid({**loaded, "colour": "green"})

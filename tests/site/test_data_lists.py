"""The lists and tables of the published data, against the files of the database read by Python's own csv and yaml.

Outside authority: RFC 4180 for the tables, BCP 47 for language tags.
"""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from site_tree import SiteTree, report

ROOT = Path(__file__).resolve().parents[2]
EVIDENCE = ROOT / "protocols/evidence"
TABLES = {"sampling": "evidence", "handling": "evidence-handling", "timing": "evidence-timing"}


def read(tree: SiteTree, name: str) -> Any:
    return json.loads(tree.files[f"data/v1/{name}.json"])


def table(tree: SiteTree, name: str) -> list[dict[str, str]]:
    text = tree.files[f"data/v1/csv/{name}.csv"].decode("utf-8")
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def source_rows(name: str) -> dict[str, dict[str, str]]:
    """The tables of the database as anybody would read them."""
    found: dict[str, dict[str, str]] = {}
    for path in sorted(EVIDENCE.glob(f"{name}*.csv")):
        with path.open(encoding="utf-8", newline="") as lines:
            found |= {row["row"]: row for row in csv.DictReader(lines)}
    return found


@pytest.mark.parametrize("name", TABLES)
def test_a_table_says_what_the_database_says(tree: SiteTree, name: str) -> None:
    """The demo shows every crop, so every row must be there, cell by cell."""
    rows, known = table(tree, name), source_rows(name)
    assert [r["row"] for r in rows] == sorted(known)
    wrong = [
        (r["row"], key, r[key], value)
        for r in rows
        for key, value in known[r["row"]].items()
        if r[key] != " ".join(value.split()) and not same_figure(r[key], value)
    ]
    assert not wrong, report(wrong)


def same_figure(a: str, b: str) -> bool:
    return bool(re.fullmatch(r"-?[\d.]+", a) and re.fullmatch(r"-?[\d.]+", b)) and float(a) == float(b)


@pytest.mark.parametrize("name", TABLES)
def test_a_table_and_its_json_hold_the_same_rows(tree: SiteTree, name: str) -> None:
    rows, data = table(tree, name), read(tree, TABLES[name])
    assert [r["row"] for r in rows] == [r["row"] for r in data]
    assert [r["source"] for r in rows] == [r["source"] for r in data]


@pytest.mark.parametrize("name", TABLES)
def test_a_table_keeps_to_rfc_4180(tree: SiteTree, name: str) -> None:
    """Lines end in CRLF, the last too; a head line; as many fields in every line; UTF-8 without a mark."""
    content = tree.files[f"data/v1/csv/{name}.csv"]
    assert content.endswith(b"\r\n") and not content.startswith(b"\xef\xbb\xbf")
    assert content.count(b"\n") == content.count(b"\r\n")
    rows = list(csv.reader(io.StringIO(content.decode("utf-8"), newline=""), strict=True))
    assert len({len(row) for row in rows}) == 1 and len(set(rows[0])) == len(rows[0])


@pytest.mark.parametrize("name", TABLES)
def test_each_row_of_a_table_cites_its_source_in_full(tree: SiteTree, name: str) -> None:
    listed = {s["id"]: s for s in read(tree, "sources")}
    for row in table(tree, name):
        source = listed[row["source"]]
        assert source["title"].rstrip(".") in row["citation"] and source["authors"].rstrip(".") in row["citation"]
        assert row["source_url"] == (source["url"] or "") and row["source_read"] == source["read"]


def plain(path: str) -> Any:
    return yaml.safe_load((ROOT / path).read_text("utf-8"))


def test_lists_hold_every_id_of_their_file(tree: SiteTree) -> None:
    files = {
        "parts": plain("protocols/vocabulary/plant-parts.yml")["parts"],
        "units": plain("protocols/vocabulary/units.yml")["units"],
        "cautions": plain("protocols/vocabulary/cautions.yml")["cautions"],
        "faults": plain("protocols/vocabulary/faults.yml")["faults"],
        "sources": plain("protocols/sources.yml")["sources"] + plain("demo_scenario/sources.yml")["sources"],
    }
    for name, known in files.items():
        assert sorted(x["id"] for x in read(tree, name)) == sorted(x["id"] for x in known), name
    parts = {x["id"]: x for x in read(tree, "parts")}
    assert all(parts[x["id"]]["find"] == " ".join(x["find"].split()) for x in files["parts"])


def test_handling_holds_every_topic_of_its_file(tree: SiteTree) -> None:
    base, data = plain("protocols/handling.yml")["handling"], read(tree, "handling")
    assert data["every_crop"].keys() == base.keys()
    assert [s["say"] for s in data["every_crop"]["bag"]["say"]] == base["bag"]["say"]
    for path in (ROOT / "protocols/groups").glob("*.yml"):
        group = yaml.safe_load(path.read_text("utf-8"))
        assert data["groups"][path.stem].keys() == group.get("handling", {}).keys()


def test_stages_are_written_out_in_order(tree: SiteTree) -> None:
    corn = next(s for s in read(tree, "stages") if s["system"] == "corn-leaf-collar")
    codes = [stage["code"] for stage in corn["stages"]]
    assert codes.index("VE") < codes.index("V6") < codes.index("VT") < codes.index("R1") and "corn" in corn["crops"]
    assert f"{corn['page']}index.html" in tree.files


def test_each_fact_of_a_lab_has_a_source_and_a_day(tree: SiteTree) -> None:
    labs = read(tree, "labs")
    assert {lab["lab"] for lab in labs} == {p.stem for p in (ROOT / "demo_scenario/labs").glob("*.yml")}
    for lab in labs:
        facts = [lab[key] for key in ("receives", "transit", "turnaround", "fee", "sample_id", "material") if lab[key]]
        for fact in (*facts, *lab["closed"], *lab["handling"].values(), *lab["protocols"]):
            assert fact["source"] and fact["checked_on"], (lab["lab"], fact)


def test_there_is_one_copy_for_all_languages(tree: SiteTree) -> None:
    assert not [n for n in tree.files if re.match(r"[a-z]{2}/(data/v1/|sitemap|robots)", n)]
    for edition, way in (("", "../"), ("es/", "../../")):
        (link,) = tree.pages[f"{edition}sources/"].xpath("//a[contains(@href, 'sampling.csv')]")
        assert link.get("href") == f"{way}data/v1/csv/sampling.csv"
        for page in ("sources/", "data/", "calendars/corn/"):
            links = tree.pages[f"{edition}{page}"].xpath("//a[contains(@href, 'data/v1/')]/@href")
            lost = [x for x in links if tree.resolve(f"{edition}{page}index.html", x)[0] not in tree.files]
            assert links and not lost, report(lost)


def test_languages_have_their_words(tree: SiteTree) -> None:
    listed = read(tree, "languages")
    assert [(x["language"], x["page"]) for x in listed] == [("en", ""), ("es-US", "es/")]
    english, spanish = (json.loads(tree.files[x["words"]]) for x in listed)
    assert english["crops"]["apple"] == "Apple" and spanish["crops"]["apple"] == "Manzano"
    assert spanish["crops"].keys() == english["crops"].keys() and spanish["parts"].keys() <= english["parts"].keys()
    bags = (s for n, b in tree.files.items() if n.startswith("data/v1/crops/") for s in json.loads(b)["specimens"])
    shown = {bag["part"]["id"] for bag in bags if bag["part"]}
    assert shown and not (lost := shown - spanish["parts"].keys()), report(sorted(lost))
    assert {t["en"] for t in spanish["terms"]} == {t["en"] for t in plain("protocols/languages/es/terms.yml")["terms"]}
    names = next(c["names"] for c in read(tree, "index")["crops"] if c["id"] == "apple")
    assert names == {"en": "Apple", "es-US": "Manzano"}

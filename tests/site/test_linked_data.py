"""What pages say to programs, against the vocabulary of schema.org and against the pages themselves.

Outside authority: schema.org release 12.0, its tables of types and properties. The terms that we use, with what they
belong to and what they take, are in tests/published/schema_org_terms.csv, compared with the release when written.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from site_tree import SiteTree, report, words_of

ROOT = Path(__file__).resolve().parents[2]
SITE = "https://manual.wrenfold.example/"


def terms(kind: str) -> dict[str, dict[str, str]]:
    with (ROOT / "tests/published/schema_org_terms.csv").open(encoding="utf-8", newline="") as lines:
        return {row["term"]: row for row in csv.DictReader(lines) if row["kind"] == kind}


TYPES, PROPERTIES = terms("type"), terms("property")


def kinds(name: str) -> set[str]:
    """A type and all that it is a kind of."""
    return {name}.union(*(kinds(parent) for parent in TYPES[name]["belongs_to"].split()))


def takes(wanted: set[str], value: Any) -> bool:
    """Whether a property that takes these types takes this value."""
    if isinstance(value, dict):
        return bool(kinds(value["@type"]) & wanted)
    if isinstance(value, bool):
        return "Boolean" in wanted
    if not isinstance(value, str) or not value:
        return False
    if "Text" in wanted:
        return True
    if "URL" in wanted:
        return bool(urlsplit(value).scheme and urlsplit(value).netloc)
    return "Date" in wanted and date.fromisoformat(value).isoformat() == value


def faults(thing: dict[str, Any]) -> Iterator[str]:
    """Everything in a thing that the vocabulary does not have."""
    kind = thing.get("@type")
    if kind not in TYPES:
        yield f"no type {kind!r}"
        return
    for key, value in thing.items():
        if key.startswith("@"):
            continue
        if key not in PROPERTIES:
            yield f"no property {key!r}"
            continue
        if not kinds(kind) & set(PROPERTIES[key]["belongs_to"].split()):
            yield f"{key} is no property of {kind}"
        for one in value if isinstance(value, list) else [value]:
            if not takes(set(PROPERTIES[key]["takes"].split()), one):
                yield f"{key} takes {PROPERTIES[key]['takes']}, not {one!r}"
            if isinstance(one, dict):
                yield from faults(one)


@pytest.fixture(scope="module")
def said(tree: SiteTree) -> dict[str, dict[str, Any]]:
    """What each page says to programs, by address."""
    found = {}
    for address, page in tree.pages.items():
        scripts = page.xpath("/html/head/script[@type='application/ld+json']/text()")
        assert len(scripts) < 2
        if scripts:
            found[address] = json.loads(scripts[0])
    return found


def test_the_checker_knows_wrong_from_right() -> None:
    right = {"@type": "HowTo", "name": "A", "step": {"@type": "HowToSection", "itemListElement": ["B"]}}
    assert not list(faults(right))
    for wrong in (
        {"@type": "Recipe"},
        {"@type": "HowTo", "steps": "A"},
        {"@type": "Organization", "step": "A"},
        {"@type": "HowTo", "license": "CC BY"},
        {"@type": "Dataset", "distribution": {"@type": "Organization", "name": "A"}},
        {"@type": "Dataset", "dateModified": True},
    ):
        assert list(faults(wrong)), wrong


def test_every_page_keeps_to_the_vocabulary(said: dict[str, dict[str, Any]]) -> None:
    wrong = [(address, fault) for address, thing in said.items() for fault in faults(thing)]
    assert not wrong, report(wrong)
    assert {thing["@context"] for thing in said.values()} == {"https://schema.org"}


def test_every_handout_is_a_how_to_and_nothing_else_is(tree: SiteTree, said: dict[str, dict[str, Any]]) -> None:
    assert {a for a, thing in said.items() if thing["@type"] == "HowTo"} == tree.handouts.keys()
    assert {a for a, thing in said.items() if thing["@type"] == "Dataset"} == {"data/", "es/data/"}


def test_a_how_to_says_what_its_page_says(tree: SiteTree, said: dict[str, dict[str, Any]]) -> None:
    """Each step stands on the page in the same order; title, day, language and bag are those of the page."""
    wrong: list[object] = []
    for address, page in tree.handouts.items():
        thing, main = said[address], words_of(page.xpath("//main")[0])
        sections = page.xpath("//section[contains(@class, 'el-step')]")
        for told, shown in zip(thing["step"], sections, strict=True):
            lines = [re.sub(r"\s*[\dpm ]+$", "", words_of(x)) for x in shown.xpath(".//ul[1]/li")]
            texts = [re.sub(r"\s*[\dpm ]+$", "", " ".join(x.split())) for x in told["itemListElement"]]
            if list(dict.fromkeys(lines)) != texts or told["name"] != words_of(shown.xpath("h2")[0]):
                wrong.append((address, told["name"], [x for x in texts if x not in lines]))
        if thing["url"] != f"{SITE}{address}" or thing["inLanguage"].split("-")[0] != page.get("lang").split("-")[0]:
            wrong.append((address, thing["url"], thing["inLanguage"]))
        if "supply" in thing and thing["supply"]["name"].split()[0] not in main.lower():
            wrong.append((address, thing["supply"]))
        if words_of(page.find_class("el-what")[0]) not in thing["yield"]:
            wrong.append((address, thing["yield"]))
    assert not wrong, report(wrong)


def test_the_dataset_lists_files_that_are_there(tree: SiteTree, said: dict[str, dict[str, Any]]) -> None:
    types = {"json": "application/json", "csv": "text/csv"}
    for address in ("data/", "es/data/"):
        files = said[address]["distribution"]
        for file in files:
            name = file["contentUrl"].removeprefix(SITE)
            assert name in tree.files and file["encodingFormat"] == types[name.rsplit(".", 1)[1]]
        assert {f"{SITE}data/v1/index.json", f"{SITE}data/v1/csv/sampling.csv"} <= {f["contentUrl"] for f in files}


def test_what_is_said_to_programs_is_light(tree: SiteTree) -> None:
    most = max(
        len(x.encode())
        for page in tree.handouts.values()
        for x in page.xpath("/html/head/script[@type='application/ld+json']/text()")
    )
    assert most < 4000

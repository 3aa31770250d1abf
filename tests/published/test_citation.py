"""CITATION.cff against the rules of the Citation File Format 1.2.0.

Outside authority: the format's schema guide 1.2.0 (doi 10.5281/zenodo.5171937): required keys, known keys, the form of
a date and of authors. The SPDX list names the licence.
"""

from __future__ import annotations

import re
import tomllib
from datetime import date
from pathlib import Path

import yaml

ROOT = Path(__file__).resolve().parents[2]
REQUIRED = {"authors", "cff-version", "message", "title"}
KNOWN = REQUIRED.union(
    ("abstract", "commit", "contact", "date-released", "doi", "identifiers", "keywords", "license", "license-url"),
    ("preferred-citation", "references", "repository", "repository-artifact", "repository-code", "type", "url"),
    ("version",),
)


def test_the_citation_file_keeps_to_its_format() -> None:
    cff = yaml.load((ROOT / "CITATION.cff").read_text("utf-8"), Loader=yaml.BaseLoader)
    assert cff.keys() >= REQUIRED and not cff.keys() - KNOWN
    assert cff["cff-version"] == "1.2.0" and cff["type"] in ("software", "dataset")
    assert cff["authors"] and all(set(a) & {"name", "family-names"} for a in cff["authors"])
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", cff["date-released"]) and date.fromisoformat(cff["date-released"])
    assert len(cff["keywords"]) == len(set(cff["keywords"]))


def test_the_citation_file_says_what_the_package_says() -> None:
    cff = yaml.load((ROOT / "CITATION.cff").read_text("utf-8"), Loader=yaml.BaseLoader)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert (cff["version"], cff["license"]) == (project["version"], project["license"])
    assert cff["title"].lower() == project["name"]

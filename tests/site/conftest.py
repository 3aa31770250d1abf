"""What the tests of the built site share."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from site_tree import SiteTree

from earleaf.database.load import Database
from earleaf.site.build import Prepared


@pytest.fixture(scope="session")
def site(built: Path) -> SiteTree:
    """The English edition of the demo manual in the plain shell, parsed."""
    return SiteTree(built, others=("es",))


@pytest.fixture(scope="session")
def spanish(built: Path) -> SiteTree:
    """The Spanish edition of the same site."""
    return SiteTree(built / "es", alone=True)


@pytest.fixture(scope="session")
def tree(pages_only: Path) -> SiteTree:
    """Both editions of the site without cards."""
    return SiteTree(pages_only)


@pytest.fixture(scope="session")
def manual_db(demo: Prepared) -> Database:
    """The database of the demo manual: the shipped one with the invented labs and sources."""
    return demo.db


@pytest.fixture(scope="session")
def data(site: SiteTree) -> dict[str, Any]:
    """Every JSON file below data/v1, by name."""
    return {n: json.loads(b) for n, b in site.files.items() if n.startswith("data/v1/") and n.endswith(".json")}

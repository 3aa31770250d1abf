"""The shipped database: no findings, wide enough, resting on sources that were read, nothing hidden."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from earleaf.database.ask import basis_rows, protocols
from earleaf.database.check import check
from earleaf.database.load import Database
from earleaf.database.rules.base import Context
from earleaf.model.source import NOT_PUBLICATIONS
from earleaf.rendering.schema import editor_files

TREATED_FULLY = {
    "corn": 4, "soybean": 3, "wheat": 4, "small-grains": 3, "alfalfa": 2, "cotton": 3, "potato": 3, "sorghum": 2,
    "rice": 2, "sugar-beet": 2, "dry-bean": 2, "grape": 3, "apple": 2, "strawberry": 3,
}  # fmt: skip


def test_it_passes_every_rule(database: Database, today: date) -> None:
    found = check(database, Context(today))
    assert not found, "\n".join(str(f) for f in found)


def published(database: Database) -> list[str]:
    """Protocols whose part is said by at least one publication that was read."""
    return [
        f"{crop.crop}/{protocol.protocol}"
        for crop, _, protocol in protocols(database)
        if any(
            row.part and row.source not in NOT_PUBLICATIONS
            for specimen in protocol.take
            for row in basis_rows(database, specimen)
        )
    ]


def test_it_is_wide_enough(database: Database) -> None:
    assert len(database.crops) >= 55
    assert len(published(database)) >= 90


@pytest.mark.parametrize(("crop", "least"), TREATED_FULLY.items())
def test_main_crops_are_treated_fully(database: Database, crop: str, least: int) -> None:
    assert len(database.crops[crop].protocols) >= least


def test_no_address_of_a_copy_is_cited(database: Database) -> None:
    """Document sites, news mirrors and reprints are where a text was read, never what is cited."""
    copies = ("docplayer", "studylib", "scribd", "docslib", "yumpu", "paperzz", "pdfslide", "docsbay", "farms.com",
              "farmprogress", "farmpress", "agfax", "scilit", "documentop", "blogspot", "hostwiki",
              "proxy")  # fmt: skip
    cited = {s.id: str(s.url) for s in database.sources.values() if s.url}
    assert cited and not {k: u for k, u in cited.items() if any(c in u for c in copies)}


def test_no_published_address_is_lost(database: Database) -> None:
    here = {f"{crop.crop}/{protocol.protocol}": protocol.short_id for crop, _, protocol in protocols(database)}
    assert len(database.published_ids) >= 150
    assert {a: s for a, (s, _) in database.published_ids.items()}.items() <= here.items()


def test_editor_schemas_are_those_of_the_model(root: Path) -> None:
    stale = [n for n, c in editor_files().items() if (root / "protocols/schema" / n).read_bytes() != c]
    assert not stale, f"run `make schema`: {stale}"

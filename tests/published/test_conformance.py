"""Every main crop of the built manual against the tables and rows that were written down apart from the database.

Outside authority: the publications named in tables/*.yml and rows/*.csv; see conformance.py for what is compared.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from conformance import CHECKS, MAIN_CROPS, faults, of_database, of_site, written
from test_tables import ROWS

from earleaf.site.build import Prepared


@pytest.mark.parametrize("crop", MAIN_CROPS)
def test_a_crop_says_what_its_publications_print(built: Path, demo: Prepared, crop: str) -> None:
    assert not faults(of_site(built, demo.db, crop))


@pytest.mark.parametrize("crop", MAIN_CROPS)
def test_the_database_in_memory_says_the_same_as_the_site(built: Path, demo: Prepared, crop: str) -> None:
    """So that what is found out with a database in memory holds for what a reader gets."""
    site, memory = of_site(built, demo.db, crop), of_database(demo.db, crop)
    assert (site.codes, site.models) == (memory.codes, memory.models)
    for mine in ("protocols", "timing", "handling"):
        assert getattr(site, mine) == json.loads(json.dumps(getattr(memory, mine))), mine
    assert {row["row"] for row in site.sampling} == {row["row"] for row in memory.sampling}


def test_much_is_written_down_twice() -> None:
    """The checks above are worth what they see."""
    assert sum(row.crop in MAIN_CROPS for row in ROWS) >= 150
    assert written("timing").total() >= 430 and written("handling").total() >= 120
    assert len(CHECKS) == 9


def test_all_main_crops_have_their_stages_as_codes() -> None:
    coded = [row for row in ROWS if row.crop in MAIN_CROPS and row.codes]
    assert len(coded) >= 130 and all(len(row.codes) == 2 for row in coded)

"""Published rows beside a page: in what they agree and differ. The page: 20 ear leaves, VT to R1."""

from __future__ import annotations

import pytest

from earleaf.database.load import Database
from earleaf.model.crop import Count, Spots
from earleaf.model.evidence import SamplingRow
from earleaf.planning.compare import compare_rows, differences
from earleaf.planning.localise import localise


def said(db: Database, **cells: object) -> tuple[str, ...]:
    """In what a row of these cells differs from corn at silk."""
    row = SamplingRow.model_validate(
        {"row": "corn.x.1", "source": "uni-a", "crop": "corn", "stage_text": "silk", **cells}
    )
    return differences(db, localise(db, db.crops["corn"], db.crops["corn"].protocols[1]), row)


@pytest.mark.parametrize(
    "cells",
    [
        {},
        {"part": "ear-leaf"},
        {"stage_from": "R1"},
        {"stage_from": "V6", "stage_to": "VT"},
        {"part": "ear-leaf", "count_min": 15, "count_max": 25, "count_unit": "leaves"},
        {"part": "ear-leaf", "count_min": 20, "count_max": 20, "count_unit": "leaves"},
        {"part": "ear-leaf", "count_min": 15, "count_max": 25, "count_unit": "plants"},
        {"part": "ear-leaf", "count_min": 10, "count_unit": "leaves"},
        {"part": "ear-leaf", "count_min": 20, "count_unit": "leaves"},
        {"part": "ear-leaf", "count_min": 4, "count_unit": "locations"},
    ],
    ids=str,
)
def test_it_agrees(cells: dict[str, object], small: Database) -> None:
    assert said(small, **cells) == ()


@pytest.mark.parametrize(
    ("cells", "fields"),
    [
        ({"part": "opposite-leaf"}, ("part",)),
        ({"part": "opposite-leaf", "count_min": 50, "count_unit": "leaves"}, ("part",)),
        ({"part": "ear-leaf", "count_min": 25, "count_max": 30, "count_unit": "leaves"}, ("count",)),
        ({"part": "ear-leaf", "count_min": 5, "count_max": 10, "count_unit": "leaves"}, ("count",)),
        ({"part": "ear-leaf", "count_min": 25, "count_unit": "leaves"}, ("count",)),
        ({"count_min": 25, "count_unit": "plants"}, ("count",)),
        ({"part": "ear-leaf", "count_min": 10, "count_unit": "locations"}, ("count",)),
        ({"stage_from": "R2"}, ("stage",)),
        ({"stage_from": "VE", "stage_to": "V6"}, ("stage",)),
        ({"part": "whole-tops", "stage_from": "VE"}, ("part", "stage")),
        ({"part": "ear-leaf", "count_min": 30, "count_unit": "leaves", "stage_from": "R2"}, ("count", "stage")),
    ],
    ids=str,
)
def test_it_differs(cells: dict[str, object], fields: tuple[str, ...], small: Database) -> None:
    assert said(small, **cells) == fields


def test_a_whole_plant_counted_in_plants_is_not_one_leaf_a_plant(small: Database) -> None:
    """Twenty plants cut whole are no twenty leaves."""
    corn = small.crops["corn"]
    row = SamplingRow.model_validate(
        {
            "row": "corn.x.1",
            "source": "uni-a",
            "crop": "corn",
            "stage_text": "young",
            "part": "whole-tops",
            "count_min": 40,
            "count_unit": "plants",
        }
    )
    assert differences(small, localise(small, corn, corn.protocols[0]), row) == ("count",)


def test_every_row_of_the_page_once_and_basis_first(small: Database) -> None:
    corn = small.crops["corn"]
    rows = compare_rows(small, localise(small, corn, corn.protocols[1]))
    assert [(c.row.row, c.differs_in) for c in rows] == [("corn.uni-a.2", ()), ("corn.uni-b.1", ("part",))]
    assert [c.agrees for c in rows] == [True, False]


def test_a_lab_that_takes_the_other_leaf_turns_the_table_round(small: Database) -> None:
    corn = small.crops["corn"]
    rows = compare_rows(small, localise(small, corn, corn.protocols[1], small.labs["stonewell"]))
    assert {c.row.row: c.differs_in for c in rows} == {"corn.uni-a.2": ("part",), "corn.uni-b.1": ()}


def count_differs(
    db: Database, count: dict[str, object] | None, spots: dict[str, int] | None, row: dict[str, object]
) -> bool:
    """Whether a row of this count differs from ear leaves counted and walked so."""
    corn = db.crops["corn"]
    bag = (
        corn.protocols[1]
        .take[0]
        .model_copy(
            update={
                "count": Count.model_validate(count) if count else None,
                "spots": Spots.model_validate(spots) if spots else None,
            }
        )
    )
    page = corn.protocols[1].model_copy(update={"take": (bag,)})
    changed = corn.model_copy(update={"protocols": (corn.protocols[0], page)})
    cells = {"row": "corn.x.1", "source": "uni-a", "crop": "corn", "stage_text": "silk", "part": "ear-leaf", **row}
    return differences(db, localise(db, changed, page), SamplingRow.model_validate(cells)) == ("count",)


def test_a_page_without_a_walk_is_judged_by_its_count(small: Database) -> None:
    """The least that the page asks for is what lies in the bag."""
    fifteen: dict[str, object] = {"min": 15, "max": 25, "unit": "leaves"}
    assert not count_differs(small, fifteen, None, {"count_min": 15, "count_unit": "leaves"})
    assert count_differs(small, fifteen, None, {"count_min": 16, "count_unit": "leaves"})
    assert not count_differs(small, fifteen, None, {"count_min": 10, "count_max": 15, "count_unit": "leaves"})
    assert not count_differs(small, fifteen, None, {"count_min": 50, "count_unit": "locations"})


def test_a_page_that_counts_places_asks_for_places(small: Database) -> None:
    """Twenty places, walked at five spots of one leaf: it is twenty that the page asks for, not five."""
    places: dict[str, object] = {"min": 20, "max": 25, "unit": "locations"}
    walk = {"number": 5, "each": 1}
    assert not count_differs(small, places, walk, {"count_min": 20, "count_max": 25, "count_unit": "locations"})
    assert not count_differs(small, places, walk, {"count_min": 20, "count_unit": "leaves"})


def test_a_page_that_counts_nothing_differs_from_no_count(small: Database) -> None:
    assert not count_differs(small, None, None, {"count_min": 20, "count_unit": "leaves"})
    assert not count_differs(small, None, {"number": 5, "each": 4}, {"count_min": 9, "count_unit": "locations"})
